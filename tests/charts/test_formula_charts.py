"""A curve shows what the formula gives, and where it does not hold."""

import pytest

from weldref.calculate.by_name import all_formulas, compute, explain, named
from weldref.charts.diagrams import DIAGRAMS, diagram, diagram_chart
from weldref.charts.formulas import SWEPT, curve, curve_chart, pretty
from weldref.dashboard.calculators.examples import whole_example
from weldref.data.store import open_store


def inputs_of(name):
    choices = {key: symbol.choices for key, symbol in named(name).symbols.items()}
    return whole_example(explain(name), choices)


@pytest.mark.parametrize("name", SWEPT)
def test_a_curve_runs_through_what_was_entered(name):
    inputs = inputs_of(name)
    made = curve(name, inputs)
    answer = compute(name, inputs)
    assert any(f"{made.yours.y:.4g} {made.y_unit}".strip() == text for text in answer.shown), (
        answer.shown
    )
    assert made.points[0].x < made.yours.x < made.points[-1].x
    assert made.grade == answer.grade
    spec = curve_chart(made).to_dict()
    texts = {row.get("text") for data in spec["datasets"].values() for row in data}
    assert f"yours: {pretty(f'{made.yours.y:.4g} {made.y_unit}'.strip())}" in texts


@pytest.mark.parametrize("name", SWEPT)
def test_what_is_swept_is_an_input_that_every_answer_needs(name):
    assert SWEPT[name] in named(name).symbols
    assert SWEPT[name] not in all_formulas()[name].defaults


@pytest.mark.parametrize("text", ["", "abc", "1..2 in", "1 +/- 0.1 in", "0 in"])
def test_no_curve_without_one_number_above_zero(text):
    assert curve("fillet-area", {"leg": text}) is None


def test_a_formula_without_a_chart_has_none():
    assert curve("cup-diameter", {"cup_number": "8"}) is None


def test_the_length_factor_is_grey_where_sources_differ():
    (stretch,) = curve("end-loaded-factor", {"length": "40 in", "leg": "1/4 in"}).outside()
    assert stretch[:2] == (75.0, 80.0)
    assert "sources differ" in stretch[2][0]


def test_only_the_diagram_with_a_field_in_the_tables_has_one():
    store = open_store()
    fields = {}
    for name in DIAGRAMS:
        made = diagram(store, name, compute(name, inputs_of(name)))
        fields[made.name] = made.field is not None
        assert diagram_chart(made).to_dict()["layer"]
    assert fields == {"Schaeffler": False, "DeLong": False, "WRC-1992": True}
