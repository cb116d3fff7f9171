"""Whatever a file holds, reading gives a Procedure or one sentence, and loses nothing."""

from __future__ import annotations

import csv
import io
import json

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.effort import times
from tests.procedures.hostile import row, xlsx
from weldref.errors import InputError
from weldref.procedures.fields import all_fields
from weldref.procedures.model import Procedure, Range, values
from weldref.procedures.own_layout import to_json
from weldref.procedures.read import read_bytes
from weldref.procedures.tree import Leaf, as_tree, leaves

light = settings(max_examples=times(25, 60), suppress_health_check=[HealthCheck.too_slow])

SPELLINGS = sorted(
    {word for each in all_fields() for word in (*each.spellings[:3], *each.weak_spellings[:2])}
)
ENDINGS = ["mm", "in", "A", "min", "max", "unit", "F", "kJ_mm", "ipm", "GTAW", "root", "(mm)"]
PARTS = [
    "min", "max", "unit", "text", "of", "typical", "value", "words", "process", "GTAW", "Ar",
    "CO2", "passes", "name", "units", "format", "other",
]  # fmt: skip
PRINTS = [
    "90-150", "90 - 150 A", "20/23", "1500C", "Mar-32", "1/8", "3/32 in (2.4 mm)", "unlimited",
    "N/A", "GTAW Ar 100 %; GMAW 80 % Ar 20 % CO2", "root E6010; hot E8010-P1", "P-No. 1 Gr 1",
    "0", "-5", "NaN", "mm", "F", "DCEP", "max 250 F", "120 ± 10 %", "A5.1 E7018", "150 0C",
    "1,234", "0.75 Ar 0.25 CO2", "single", "WPS", "2-8", "v", "=1+1",
]  # fmt: skip
keys = (
    st.sampled_from(SPELLINGS)
    | st.builds("{}_{}".format, st.sampled_from(SPELLINGS), st.sampled_from(ENDINGS))
    | st.sampled_from(PARTS)
    | st.text(max_size=12)
)
texts = st.sampled_from(PRINTS) | st.text(max_size=20)
scalars = st.none() | st.booleans() | st.integers() | st.floats() | texts
trees = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=6),
    max_leaves=40,
)
files = st.dictionaries(keys, trees, max_size=8)


def read(data: bytes, name: str) -> tuple[Procedure, ...]:
    """Read, or see that the refusal is one sentence."""
    try:
        return read_bytes(data, name)
    except InputError as error:
        assert "\n" not in str(error)
        return ()


@light
@given(files)
def test_any_json_value_is_kept_whole(value: dict[str, object]) -> None:
    value.pop("format", None)
    data = json.dumps(value).encode()
    found = read(data, "x.json")
    kept = {place for one in found for _, each in values(one) for place in _places(each)}
    for leaf in leaves(as_tree(json.loads(data))) if found else ():
        inside = any(leaf.place.startswith(f"{place}/") for place in kept)
        kept_or_said = leaf.place in kept or inside or _repeats(leaf.text, found)
        assert leaf.blank or kept_or_said or _contradicts(leaf, found), leaf


def _places(value: object) -> tuple[str, ...]:
    also = value.also_at if isinstance(value, Range) else ()
    return (str(getattr(value, "place", "")), *also)


def _contradicts(leaf: Leaf, found: tuple[Procedure, ...]) -> bool:
    """A second value for a field that has one is named as a slip, as printed."""
    slips = {(slip.place, slip.value) for one in found for slip in one.slips}
    return (leaf.place, leaf.text) in slips


def _repeats(text: str, found: tuple[Procedure, ...]) -> bool:
    """A text may only repeat what stands elsewhere, or name what a group speaks of."""
    shown = {str(each).casefold() for one in found for _, each in values(one)}
    said = shown | {each.text.casefold() for one in found for _, each in values(one)}
    named = {getattr(each, "of", "") for one in found for _, each in values(one)}
    roles = {gas.role for one in found for gas in one.gases}
    kinds = {one.kind for each in found for one in each.heat_treatments}
    joined = " ".join(said)
    wanted = text.casefold()
    return (
        wanted in said
        or text in named | kinds
        or wanted in joined
        or (wanted.removesuffix(" gas") in roles)
    )


# Garbage has endless variety: the same examples on every run keep this test from failing by luck.
@settings(light, derandomize=True, max_examples=times(50, 150))
@given(files)
def test_model_to_json_to_model(value: dict[str, object]) -> None:
    for procedure in read(json.dumps(value).encode(), "x.json"):
        (again,) = read_bytes(to_json(procedure).encode(), "x.json")
        assert again == procedure


@light
@given(trees)
def test_any_value_as_json_and_yaml(value: object) -> None:
    read(json.dumps(value).encode(), "x.json")
    text = yaml.dump(value, allow_unicode=True)
    read(text.encode("utf-8", "replace"), "x.yaml")


@light
@given(st.binary(max_size=300), st.sampled_from(["", "PK\x03\x04", "{", "wps: ", "WPS,"]))
def test_any_bytes(data: bytes, start: str) -> None:
    for name in ("x.json", "x.yaml", "x.csv", "x.xlsx", "x"):
        read(start.encode() + data, name)


@light
@given(st.lists(st.lists(keys | texts, max_size=7), max_size=10))
def test_any_cells_as_csv_and_xlsx(rows: list[list[str]]) -> None:
    written = io.StringIO()
    csv.writer(written).writerows(rows)
    read(written.getvalue().encode("utf-8", "replace"), "x.csv")
    sheet = "".join(
        row(number, dict(zip("ABCDEFG", map(_xml, cells), strict=False)))
        for number, cells in enumerate(rows, 1)
    )
    read(xlsx(f"<sheetData>{sheet}</sheetData>"), "x.xlsx")


def _xml(text: str) -> str:
    plain = "".join(c for c in text if c.isprintable() and c not in "<&>")
    return plain.encode("utf-8", "replace").decode()


@light
@given(
    st.text(max_size=200), st.dictionaries(st.text(max_size=10), st.text(max_size=50), max_size=3)
)
def test_any_xml_in_a_workbook(sheet: str, parts: dict[str, str]) -> None:
    clean = sheet.encode("utf-8", "replace").decode()
    more = {f"xl/{name}.xml".encode("utf-8", "replace").decode(): text.encode(
        "utf-8", "replace").decode() for name, text in parts.items()}  # fmt: skip
    read(xlsx(clean, more), "x.xlsx")
