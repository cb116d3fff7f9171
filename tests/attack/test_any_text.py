"""Whatever is typed, or stands in an address or a log: an answer, or InputError alone."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

import weldref
from tests.attack.corpus import CELLS
from tests.effort import times
from weldref.audit.report import against, read_baseline
from weldref.audit.uploads import Upload, audit_log_upload, plain_name, read_upload
from weldref.calculate.by_name import compute, convert
from weldref.core.gas import parse_mixture
from weldref.core.situation import LABELS, describe
from weldref.core.units import Units, parse_number
from weldref.dashboard.calculators.address import read as read_calculation
from weldref.dashboard.settings.address import _accepted
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.logs.columns import read_columns

light = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
WORDS = (
    "1/8", "3/32", ".035", "11 ga", "6 mm", "250 in/min", "E7018", "ER70S-6", "GMAW", "mig",
    "mild steel", "75/25", "98 Ar / 2 O2", "SG-AC-25", "3G", "DCEP", "DCEP and", "in", "°C", "%",
)  # fmt: skip
# Not `sampled_from`, which would print every cell of a million characters.
pool = WORDS + CELLS
hostile = st.integers(0, len(pool) - 1).map(lambda index: pool[index])
texts = (
    hostile
    | st.text(st.characters(), max_size=40)
    | st.text("0123456789-+/.eE ,xAr%CO2HN", max_size=40)
    | st.builds("{} {}".format, hostile, hostile)
)
CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "diameter", "thickness", "joint",
    "position", "polarity", "gas",
)  # fmt: skip


def answered(ask: Callable[[], object]) -> object:
    """Ask, or see that the refusal is one short line."""
    try:
        return ask()
    except InputError as error:
        assert str(error).isprintable()
        assert 0 < len(str(error)) <= 1000
        return None


@light
@given(texts, st.sampled_from(["length", "current", "speed", "flow", "temperature"]))
@example("9" * 5000 + "/2", "length")
@example("9" * 400 + "/1", "length")
def test_any_value_with_a_unit(text: str, dimension: str) -> None:
    units = {"length": "in", "current": "A", "speed": "in/min", "flow": "L/min", "temperature": "F"}
    found = answered(lambda: Units(open_store()).parse(text, dimension, units[dimension], "value"))
    assert found is None or found.si == found.si  # type: ignore[attr-defined]  # not NaN
    number = parse_number(text)
    assert number is None or abs(number) >= 0


@light
@given(texts)
def test_any_gas(text: str) -> None:
    found = answered(lambda: parse_mixture(text))
    if isinstance(found, dict):
        assert sum(share.low for share in found.values()) == pytest.approx(100)


@light
@given(st.dictionaries(st.sampled_from(CONDITIONS), texts, min_size=1, max_size=2))
@example({"process": "\udcff"})
@example({"electrode": "\udcff"})
@example({"gas": "\udcff"})
def test_any_situation(conditions: dict[str, str]) -> None:
    found = answered(lambda: describe(open_store(), **conditions))  # type: ignore[arg-type]
    assert found is None or set(found.given()) <= set(LABELS)  # type: ignore[attr-defined]


def test_hostile_words_in_every_place() -> None:
    for text in (*CELLS, "\udcff"):
        for name in ("current", "gas_flow", text):
            answered(partial(weldref.check, process="SMAW", **{name: text}))
        answered(partial(weldref.source, text))
        answered(partial(compute, text, {}))


@light
@given(texts, st.sampled_from(["m", "m/s", "degC", "J/m", ""]))
def test_any_unit_of_a_formula(unit: str, wanted: str) -> None:
    with suppress(ValueError):
        convert(1.0, unit, wanted)
    answered(lambda: compute("fillet-throat", {"leg": unit}))
    answered(lambda: compute("fillet-throat", {"leg": f"1 {unit}"}))


ENDLESS = """
import signal
from weldref.calculate.by_name import compute, convert
from weldref.errors import InputError
from weldref.core.gas import parse_mixture
from weldref.logs.columns import read_columns
from weldref.data.store import open_store
from weldref.core.units import Units

store = open_store()
signal.setitimer(signal.ITIMER_PROF, 20)  # ends the process
for unit in ("in*9**9**9", "in*9^9^9", "in*(9)**9**9", "in*9\u00b7\u00b79\u00b7\u00b79",
             "in*9\u2079\u2079\u2079\u2079\u2079\u2079", "in*2**3**3**3",
             "in*2\u00b2\u00b2\u00b2\u00b2\u00b2\u00b2\u00b2", "in*3* *3* *3"):
    try:
        convert(1.0, unit, "m")
    except ValueError:
        pass
    try:
        compute("fillet-throat", {"leg": f"1 {unit}"})
    except InputError:
        pass
for text in ("1 a" + " " * 200_000 + "b", "9" * 200_000, "1" + " " * 200_000 + "x",
             "SG-" + "A" * 200_000, "x (" + " " * 200_000, "a_" * 100_000):
    for ask in (lambda: Units(store).parse(text, "length", "in", "x"), lambda: parse_mixture(text),
                lambda: compute("fillet-throat", {"leg": text}),
                lambda: read_columns(store, [text, "amps"], {}, {}, "us")):
        try:
            ask()
        except InputError:
            pass
print("done")
"""


def test_nothing_typed_takes_for_ever(store: Store) -> None:
    """Towers of powers and long runs of blanks; the limit is ten times what all of them need."""
    assert store.path is not None
    done = subprocess.run(
        [sys.executable, "-c", ENDLESS], capture_output=True, text=True, check=False
    )
    assert done.stdout == "done\n", done.stderr[-500:]


@light
@given(st.dictionaries(st.sampled_from([*CONDITIONS, "current", "units", "grade"]) | texts, texts))
def test_any_address_of_the_settings(parameters: dict[str, str]) -> None:
    entries, problems = _accepted(open_store(), parameters)
    assert all(text.isprintable() for text in entries.values())
    assert all(isinstance(problem, str) and problem for problem in problems)


@light
@given(
    st.dictionaries(st.sampled_from(["formula", "leg", "units"]) | texts, texts),
    st.sampled_from(["fillet-throat", "heat-input", "wrc-1992-position"]) | texts,
)
def test_any_address_of_a_formula(parameters: dict[str, str], formula: str) -> None:
    found = read_calculation({**parameters, "formula": formula})
    assert found.formula is not None or found.problems
    for name in found.inputs:
        assert len(found.inputs[name]) <= 60
    if found.formula is not None:
        answered(lambda: compute(found.formula or "", found.inputs))


@settings(max_examples=times(8, 15), suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(texts | st.sampled_from(["process", "amps", "thickness (mm)"]), max_size=5),
    st.lists(st.lists(texts, max_size=5), max_size=4),
    st.sampled_from(",;\t|"),
)
def test_any_log(headings: list[str], rows: list[list[str]], mark: str) -> None:
    lines = [mark.join([*headings, "current"]), *(mark.join([*row, "130"]) for row in rows)]
    data = "\n".join(lines).encode("utf-8", "replace")
    answered(lambda: audit_log_upload(Upload("log.csv", data)))
    answered(lambda: read_columns(open_store(), headings, {}, {}, "us"))


@settings(max_examples=20)
@given(st.binary(max_size=200), st.sampled_from([b"", b"PAR1", b"amps\n"]))
def test_any_bytes_as_a_log(data: bytes, start: bytes) -> None:
    for name in ("log.csv", "log.parquet"):
        answered(partial(audit_log_upload, Upload(name, start + data)))


plain = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=10)
values = st.recursive(
    plain,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["findings", "rule", "what"]) | st.text(max_size=5), inner
        )
    ),
    max_leaves=12,
)


@light
@given(values | st.builds(lambda findings: {"findings": findings}, values))
def test_any_baseline(value: object) -> None:
    report = read_upload(Upload("wps.csv", b"WPS No.,7\nProcess,SMAW\n"))
    from weldref.audit.uploads import audit_read

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "earlier.json")
        path.write_text(json.dumps(value))
        earlier = answered(lambda: read_baseline(path))
    if isinstance(earlier, dict):
        answered(lambda: against(audit_read(report)[0], earlier))


@given(texts)
def test_any_name_of_an_upload(name: str) -> None:
    found = plain_name(name)
    assert found
    assert found.isprintable()
    assert "/" not in found
    assert "\\" not in found
    assert found.strip(".")
    assert len(found) <= 80
