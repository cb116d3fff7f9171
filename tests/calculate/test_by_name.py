"""Computing by name: units on every value, ranges, uncertainty, and clear refusals."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import read_csv
from weldref.calculate.by_name import all_formulas, compute, explain, listing, read_value
from weldref.cli import main
from weldref.data.folder import datasets_folder
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.formula import Symbol


def test_every_formula_points_to_a_known_source(store: Store) -> None:
    known = {row["source_id"] for row in store.rows("SELECT source_id FROM sources")}
    for formula in all_formulas().values():
        for source in formula.sources:
            assert source.source_id in known, f"{formula.name}: {source.source_id}"


def test_no_formula_is_graded_above_its_source(store: Store) -> None:
    order = ("read", "secondary", "memory")
    best = {r["source_id"]: r["how_read"] for r in store.rows("SELECT * FROM sources")}
    for formula in all_formulas().values():
        for source in formula.sources:
            assert order.index(source.how_read) >= order.index(best[source.source_id]), (
                f"{formula.name}: {source.source_id} was {best[source.source_id]} at best"
            )


@pytest.mark.parametrize("name", [row["name"] for row in listing()])
def test_every_name_can_be_explained(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    explained = explain(name)
    assert explained["title"]
    assert explained["valid"]
    assert main(["compute", name, "--explain"]) == 0
    assert all(len(line) <= 80 for line in capsys.readouterr().out.splitlines())


@pytest.mark.parametrize("name", list(all_formulas()))
def test_every_formula_is_a_small_paper(name: str) -> None:
    formula = all_formulas()[name]
    text = formula.function.__doc__ or ""
    for heading in ("Parameters", "Returns", "Examples"):
        assert heading in text, f"{name} lacks {heading}"
    for parameter in formula.symbols:
        assert parameter in text, f"{name} does not describe {parameter}"


WPS = [
    row
    for row in read_csv(datasets_folder() / "worked_examples.csv")
    if row["topic"] == "heat_input" and row["source_id"] == "pwps-488823046"
]


@pytest.mark.parametrize("row", WPS, ids=lambda row: row["example_id"])
def test_printed_heat_inputs(row: dict[str, str]) -> None:
    # pwps-488823046 prints the heat input at the corners of its windows (k = 0.8 for FCAW).
    inputs, expected = json.loads(row["inputs"]), json.loads(row["expected"])
    answer = compute(
        "heat-input",
        {
            "voltage": f"{inputs['voltage_V']} V",
            "current": f"{inputs['current_A']} A",
            "travel_speed": f"{inputs['travel_speed']} {inputs['travel_speed_unit']}",
            "process": "136",
        },
    )
    assert answer.value is not None
    assert math.isclose(answer.value / 1e6, expected["heat_input"], abs_tol=float(row["tolerance"]))


def test_ranges_in_ranges_out() -> None:
    # The same procedure, root: 25 to 28 V, 140 to 180 A, 80 to 120 mm/min print 1.4 to 3.0.
    answer = compute(
        "heat-input",
        {"voltage": "25..28 V", "current": "140..180 A", "travel_speed": "80..120 mm/min",
         "process": "136"},
    )  # fmt: skip
    assert answer.low.startswith("1.4 kJ/mm")
    assert answer.high.startswith("3.024 kJ/mm")
    assert answer.value is None


def test_uncertainty_in_uncertainty_out() -> None:
    answer = compute(
        "arc-energy", {"voltage": "24+/-0.48 V", "current": "150 A", "travel_speed": "5 mm/s"}
    )
    assert answer.value is not None
    assert answer.uncertainty is not None
    assert math.isclose(answer.uncertainty / answer.value, 0.02, rel_tol=1e-6)


@pytest.mark.parametrize(
    ("name", "inputs", "words"),
    [
        ("heat-inptu", {}, "did you mean heat-input"),
        ("fillet-area", {}, "leg is missing"),
        ("fillet-area", {"leg": "1/4"}, "has no unit"),
        ("fillet-area", {"leg": "1/4 V"}, "not a unit"),
        ("fillet-area", {"leg": "-6 mm"}, "not possible"),
        ("fillet-area", {"leg": "0 mm"}, "not possible"),
        ("fillet-area", {"leg": "wide"}, "not a number"),
        ("fillet-area", {"leg": "nan mm"}, "not a number"),
        ("fillet-area", {"colour": "red"}, "not a parameter"),
        ("fillet-area", {"leg": "9..3 mm"}, "limits reversed"),
        ("arc-energy", {"voltage": "24 V", "current": "150 A", "travel_speed": "0 mm/s"}, "not"),
        ("carbon-equivalent-iiw", {"carbon": "120"}, "not possible"),
        ("carbon-equivalent-iiw", {"carbon": "0.2 mm"}, "not its unit"),
        ("heat-input-by-rule", {"rule": "none"}, "rule"),
        ("filter-shade", {"process": "magic"}, "process"),
        ("filter-shade", {"process": "SMAW", "current": "-5 A"}, "not possible"),
        ("sheet-gauge", {"gauge": "99"}, "gauge"),
        ("preheat", {}, r"material is missing \(base metal: .*\); also missing: thickness$"),
        ("Heat input", {}, "Heat input: voltage is missing"),
        ("preheat", {"material": "A36", "thickness": "1 in", "Mn": "1.0"}, "needs carbon"),
        ("preheat", {"material": "A36", "thickness": "1 in", "code": "moon law"}, "code"),
    ],
)
def test_bad_input_gets_one_sentence(name: str, inputs: dict[str, str], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        compute(name, inputs)
    assert "\n" not in str(caught.value)
    assert main(["compute", name, *(f"{k}={v}" for k, v in inputs.items())]) == 2


def test_a_parameter_given_twice_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    given = ["voltage=25 V", "current=140 A", "current=14 A", "travel_speed=120 mm/min"]
    assert main(["compute", "arc-energy", *given]) == 2
    assert capsys.readouterr().err == "weldref: compute: current is given twice; give it once\n"


def test_memory_says_so_in_text_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["compute", "smaw-current-from-diameter", "core_diameter=1/8 in"]
    assert main(arguments) == 0
    assert "not seen in print" in capsys.readouterr().out
    assert main([*arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["grade"] == "memory"


def test_outside_its_range_a_value_comes_with_the_reason() -> None:
    answer = compute(
        "preheat-en1011-method-b",
        {"cet": "0.6", "thickness": "50 mm", "hydrogen": "5", "heat_input": "1.5 kJ/mm"},
    )
    assert answer.value is not None
    assert any("CET 0.6 % is outside" in caveat for caveat in answer.caveats)


def test_listing_shows_grade_and_source() -> None:
    rows = {row["name"]: row for row in listing()}
    assert rows["heat-input"]["sources"]
    assert rows["filter-shade"]["grade"] == "by row"
    assert {row["grade"] for row in rows.values()} <= {"read", "secondary", "memory", "by row"}


@given(st.text(max_size=30))
def test_any_text_is_a_value_or_a_sentence(text: str) -> None:
    symbol = Symbol("t", "m", "thickness", above=0.0)
    try:
        value: Any = read_value("thickness", symbol, text)
    except InputError as error:
        assert str(error).startswith("thickness: ")
    else:
        assert isinstance(value, (float, tuple)) or hasattr(value, "nominal_value")


@given(st.floats(0.01, 100))
def test_units_do_not_change_a_result(millimetres: float) -> None:
    one = compute("fillet-area", {"leg": f"{millimetres!r} mm"}).value
    two = compute("fillet-area", {"leg": f"{millimetres / 25.4!r} in"}).value
    assert one is not None
    assert two is not None
    assert math.isclose(one, two, rel_tol=1e-9)
