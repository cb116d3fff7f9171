"""What the bars of a chart say."""

import pytest

from weldref.charts.ranges import FILL, Bar, bars, range_chart, scale_ends
from weldref.core.check import check
from weldref.core.units import Units
from weldref.data.store import open_store

READ = Bar("1. 110 to 160 A, read", "read", 110.0, 160.0, None)
MEMORY = Bar("2. 105 to 150 A, memory", "memory", 105.0, 150.0, None)
QUOTED = Bar("3. at least 90 A, quoted", "secondary", 90.0, None, None)
SINGLE = Bar("4. 125 A, read", "read", None, None, 125.0)


def marks(chart, kind):
    return [layer for layer in chart.to_dict()["layer"] if layer["mark"]["type"] == kind]


def data(chart, layer):
    return chart.to_dict()["datasets"][layer["data"]["name"]]


def test_the_grade_shows_without_colour():
    rectangles = marks(range_chart([READ, MEMORY, QUOTED], "current", "A"), "rect")
    looks = [(m["mark"]["fill"], tuple(m["mark"]["strokeDash"])) for m in rectangles]
    assert looks == [(FILL, (1, 0)), ("white", (7, 4)), ("white", (2, 3))]


def test_an_end_that_is_not_printed_runs_to_the_edge_and_ends_in_an_arrow():
    chart = range_chart([READ, QUOTED], "current", "A")
    quoted = data(chart, marks(chart, "rect")[1])[0]
    (arrow,) = marks(chart, "point")
    assert quoted["to"] == scale_ends([READ, QUOTED], None)[1]
    assert arrow["mark"]["shape"] == "triangle-right"


def test_a_single_setting_is_a_point_and_no_bar():
    chart = range_chart([SINGLE], "current", "A")
    assert not marks(chart, "rect")
    (point,) = marks(chart, "point")
    assert data(chart, point)[0]["from"] == 125.0


def test_the_value_stands_on_the_scale_of_the_bars():
    chart = range_chart([READ], "current", "A", value=250.0)
    low, high = scale_ends([READ], 250.0)
    assert low < 110 < 250 < high
    assert {row["from"] for rule in marks(chart, "rule") for row in data(chart, rule)} == {250.0}
    assert any(
        row["text"] == "yours: 250 A" for text in marks(chart, "text") for row in data(chart, text)
    )


@pytest.mark.parametrize("numbers", [(0.0, 0.0), (-60.0, -60.0), (5.0, 5.0)])
def test_a_scale_has_room_even_around_one_number(numbers):
    low, high = scale_ends([Bar("", "read", *numbers, None)], None)
    assert low <= numbers[0] < high


def test_bars_are_placed_in_one_unit_and_labelled_as_printed():
    store = open_store()
    reading = check(process="GMAW", material="aluminium", preheat="100 C").readings[0]
    rows = reading.from_memory.rows
    made = bars(rows, "F", Units(store).by_spelling)
    assert rows[0].unit == "C"
    assert made[0].high == pytest.approx(rows[0].max * 1.8 + 32)
    assert made[0].label.startswith(f"1. at most {rows[0].max:g} °C, memory")


def test_a_chart_can_be_printed():
    convert = pytest.importorskip("vl_convert")
    chart = range_chart([READ, MEMORY, QUOTED, SINGLE], "current", "A", value=130.0, width=500)
    svg = convert.vegalite_to_svg(chart.to_dict())
    assert "yours: 130 A" in svg
    assert "stroke-dasharray" in svg
