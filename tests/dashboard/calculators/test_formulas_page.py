"""Each formula is computed through the page as its own worked example says."""

import doctest
import importlib
import inspect
import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dashboard import apptest
from tests.dashboard.apptest import drawn, press, problems, ran, words
from tests.effort import some, times
from weldref.calculate.by_name import all_formulas, listing, named, shown
from weldref.calculate.checked import comparisons
from weldref.charts.formulas import curve, ordered, pretty
from weldref.dashboard.calculators import address
from weldref.dashboard.calculators.answer import evaluate
from weldref.dashboard.calculators.examples import example
from weldref.dashboard.calculators.form import Entries, check
from weldref.dashboard.calculators.page import find
from weldref.errors import InputError

NAMES = [row["name"] for row in listing()]


def opened(name=None, /, **inputs):
    return apptest.opened("calculators", **({"formula": name, **inputs} if name else inputs))


def enter(page, name, **inputs):
    for key, text in inputs.items():
        page.text_input(key=f"calculators.{name}.{key}").set_value(text)
    return ran(page)


def worked_example(formula):
    """Run the examples of a docstring and note the first call of the formula."""
    function = inspect.unwrap(formula.function)
    calls = []

    def noting(*args, **kwargs):
        result = formula.function(*args, **kwargs)
        bound = inspect.signature(formula.function).bind(*args, **kwargs)
        calls.append((dict(bound.arguments), result))
        return result

    names = {**vars(importlib.import_module(function.__module__)), function.__name__: noting}
    for part in doctest.DocTestParser().get_examples(function.__doc__):
        exec(compile(part.source, formula.name, "single"), names)  # noqa: S102  our own docstring
        if calls:
            return calls[0]
    raise AssertionError(f"{formula.name} has no worked example")


@pytest.mark.parametrize("name", some(all_formulas(), 12))
def test_the_worked_example_of_a_formula_is_computed(name):
    formula = all_formulas()[name]
    values, result = worked_example(formula)
    inputs = {
        key: value if isinstance(value, str) else f"{value!r} {formula.symbols[key].unit}".strip()
        for key, value in values.items()
    }
    page = opened(name, **inputs)
    assert problems(page) == []
    box = words(page, 'class="result')
    for text in shown(result):
        assert pretty(text) in box
    assert "Evidence: " in box
    assert ("From memory: the formula" in box) is (result.grade == "memory")
    for caveat in result.caveats:
        assert pretty(caveat).casefold() in box.casefold()


@pytest.mark.parametrize("name", some(NAMES, 9))
def test_the_invented_example_gives_an_answer_with_what_it_rests_on(name):
    page = opened(name)
    assert 'class="result' not in drawn(page)
    press(page, f"calculators.example.{name}")
    assert problems(page) == []
    if name in all_formulas():
        assert 'class="result' in drawn(page)
        for one in comparisons()[name]:
            assert one.against[1:] in words(page, 'class="about"')
        assert "Where it comes from" in words(page, 'class="about"')
    else:
        assert re.search(r'<ul class="rows found"><li>', drawn(page))
    assert "A computed value is not an approval" in words(page)


@pytest.mark.parametrize("name", NAMES)
def test_every_pattern_in_an_empty_field_would_be_accepted(name):
    for key, symbol in named(name).symbols.items():
        check(key, symbol, example(name, key, symbol.choices))


def test_nothing_is_computed_until_all_is_there():
    page = opened("arc-energy")
    assert "Still needed: Arc voltage" in words(page)
    enter(page, "arc-energy", voltage="25 V", current="140 A")
    assert 'class="result' not in drawn(page)
    assert "Still needed: Travel speed" in words(page)
    enter(page, "arc-energy", travel_speed="120 mm/min")
    assert "1.75 kJ/mm" in words(page, 'class="result')
    assert "AE = (25 V) (140 A) / (120 mm/min)" in words(page, "equation")


def test_a_value_that_is_none_gets_one_sentence_beside_its_field():
    page = opened("fillet-throat", leg="big")
    assert problems(page) == ["Leg: 'big' is not a number with a unit; give a number above 0 m"]
    assert "No answer until that is corrected" in words(page)
    enter(page, "fillet-throat", leg="-3 mm")
    assert problems(page) == ["Leg: -0.003 is not possible; give a number above 0 m"]
    enter(page, "fillet-throat", leg="6")
    assert problems(page) == ["Leg: 6 has no unit; give for example '6 in'"]


def test_a_message_about_the_entries_together_stands_where_the_answer_would():
    page = opened("susceptibility-index", pcm="0.25 %")
    assert problems(page) == ["Give either hydrogen_level or hydrogen"]
    assert 'class="result' not in drawn(page)


@pytest.mark.parametrize("text", some(["<b>9</b>", "9" * 60, "0/0 V", "$\\frac12$", "1e308 V"], 2))
def test_odd_entries_never_break_the_page(text):
    page = opened("arc-energy", voltage=text, current="1e300 A", travel_speed="1e-300 m/s")
    assert len(problems(page)) == 1
    assert 'class="result' not in drawn(page)
    assert "<b>9</b>" not in drawn(page)


NUMBERS = ["0", "-1", "1e-300", "1e300", "1e10", "0.5", "1..1e300", "1e300..1", "2 +/- 1e300"]


@pytest.mark.parametrize("name", all_formulas())
@given(data=st.data())
@settings(max_examples=times(3, 40))
def test_any_numbers_give_a_result_or_one_sentence(name, data):
    symbols = all_formulas()[name].symbols
    inputs = {
        key: data.draw(st.sampled_from(symbol.choices))
        if symbol.choices
        else f"{data.draw(st.sampled_from(NUMBERS))} {symbol.unit}".strip()
        for key, symbol in symbols.items()
    }
    try:
        found = evaluate(name, Entries(inputs, ()))
        curve(name, inputs)
    except InputError as error:
        assert "\n" not in str(error)
    else:
        assert found.low or math.isfinite(found.value)


def test_a_range_gives_both_ends():
    page = opened("arc-energy", voltage="24..28 V", current="150 A", travel_speed="10 in/min")
    said = words(page, 'class="result')
    assert "0.8504 kJ/mm" in said
    assert "0.9921 kJ/mm" in said
    assert not page.get("vega_lite_chart")


def test_the_units_of_the_page_come_first():
    page = opened("fillet-throat", leg="1/4 in")
    assert re.search(r'class="value">0.1767 in', drawn(page))
    page.session_state["units"] = "metric"
    assert re.search(r'class="value">4.489 mm', drawn(page.run()))


def test_formulas_are_found_by_words_and_opened():
    page = opened()
    page.text_input(key="calculators.find").set_value("acetylene draw").run()
    assert [b.label for b in page.button] == [named("acetylene-draw").title]
    page.button[0].click().run()
    assert page.query_params == {"formula": "acetylene-draw"}
    page.button(key="calculators.back").click().run()
    assert page.query_params == {}
    page.text_input(key="calculators.find").set_value("unobtainium").run()
    assert "No formula has all these words" in words(page)


def test_every_formula_and_look_up_stands_once_in_the_list():
    listed = [name for names in find("").values() for name in names]
    assert sorted(listed) == sorted(NAMES)
    assert len(opened().button) == len(NAMES)


def test_what_was_typed_goes_into_the_address_and_comes_back():
    page = enter(opened("fillet-area"), "fillet-area", leg="1/4 in")
    assert page.query_params == {"formula": "fillet-area", "leg": "1/4 in"}
    again = opened("fillet-area", leg="1/4 in")
    assert words(again, 'class="result') == words(page, 'class="result')


def test_a_new_address_replaces_what_was_there():
    page = opened("fillet-area", leg="1/4 in")
    page.query_params["leg"] = "6 mm"
    page.run()
    assert page.text_input(key="calculators.fillet-area.leg").value == "6 mm"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"formula": "<script>"}, "Formula: '<script>' is not known"),
        ({"formula": "heat"}, "is not known; did you mean"),
        ({"formula": "x" * 9000}, "is not known"),
        ({"formula": "fillet-area", "legs": "1"}, "'legs' is not an input of fillet-area"),
        ({"formula": "fillet-area", "leg": "1" * 61}, "longer than 60 characters"),
        (
            {"formula": "creq-nieq-window", "ratio": "1.6", "grade": "<i>"},
            "Grade: '<i>' in the address is not accepted; give one of 304L",
        ),
        ({"formula": "fillet-area", "leg": "x\x00y"}, "is not a number with a unit"),
    ],
)
def test_an_address_that_is_not_accepted_is_told_in_a_sentence(given, said):
    page = opened(**given)
    assert len(problems(page)) == 1
    assert said in problems(page)[0]
    assert "<script>" not in drawn(page)
    assert "<i>" not in drawn(page)


def test_a_flood_of_parameters_is_one_sentence():
    asked = address.read({"formula": "fillet-area"} | {f"p{n}": "1" for n in range(500)})
    assert asked.problems == (
        "address: 'p0', 'p1', 'p2' and 497 more are not inputs of fillet-area and were left out",
    )


def chart_of(page):
    (chart,) = page.get("vega_lite_chart")
    return chart.proto


def test_a_chart_starts_from_the_entries_and_has_words():
    page = opened(
        "cooling-time-8-5",
        heat_input="1.2 kJ/mm",
        thickness="1/2 in",
        initial_temperature="20 degC",
    )
    value = re.search(r'class="value">([\d.]+) s', drawn(page))[1]
    assert f"yours is {value} s at 1.2 kJ/mm" in chart_of(page).alt
    assert "dotted line: from memory" in words(page, 'class="key"')


def test_where_a_formula_does_not_hold_is_grey_and_told():
    page = opened(
        "preheat-en1011-method-b",
        cet="0.35 %",
        thickness="1/2 in",
        hydrogen="5 mL/100 g",
        heat_input="1.2 kJ/mm",
    )
    assert "Outside the range of the formula: 0.125 to 0.3875 in" in chart_of(page).alt
    assert "outside 10 to 90 mm, the range of the formula" in words(page, 'class="key"')


STEEL = {"chromium": "18.5 %", "nickel": "10 %", "carbon": "0.05 %", "nitrogen": "0.05 %"}
WIRE = {"chromium": "23.5 %", "nickel": "13 %", "carbon": "0.02 %", "nitrogen": "0.05 %"}


def test_a_mixture_lies_on_the_line_between_base_and_filler():
    page = opened("wrc-1992-position", **STEEL)
    assert "Creq 18.5, Nieq 12.75" in chart_of(page).alt
    filler = {f"filler.{key}": text for key, text in WIRE.items()}
    enter(page, "wrc-1992-position", **filler, **{"filler.dilution": "20 %"})
    told = chart_of(page).alt
    assert "Base metal: Creq 18.5, Nieq 12.75" in told
    assert "Filler metal: Creq 23.5, Nieq 14.7" in told
    # 0.2 x 18.5 + 0.8 x 23.5 and 0.2 x 12.75 + 0.8 x 14.7, by hand
    assert "Weld metal, 20 % base: Creq 22.5, Nieq 14.31" in told
    assert "no line of ferrite" in words(page, 'class="key"')
    again = opened(None, **page.query_params)
    assert chart_of(again).alt == told
    enter(page, "wrc-1992-position", **{"filler.dilution": "130 %"})
    assert len(problems(page)) == 1
    assert "1.3 is not possible" in problems(page)[0]


def test_the_line_says_what_it_still_needs():
    page = opened("wrc-1992-position", **STEEL)
    enter(page, "wrc-1992-position", **{"filler.chromium": "23.5 %"})
    assert "The line still needs: Nickel content, Ni" in words(page)


def test_no_zones_are_drawn_where_none_are_published():
    page = opened("carbon-equivalent-iiw", carbon="0.2 %", manganese="1.2 %")
    assert "no printed boundary" in words(page)
    assert not page.get("vega_lite_chart")


def test_a_ratio_is_drawn_beside_the_published_windows():
    page = opened("creq-nieq-window", ratio="1.45", grade="316L")
    assert "304L: 1.52 to 1.9" in chart_of(page).alt
    assert "Yours: 1.45" in chart_of(page).alt


def test_entries_come_back_when_the_page_is_opened_again():
    page = apptest.opened()
    links = {e.proto.label: e.proto.page_script_hash for e in page.get("page_link")}
    asked = {"formula": "fillet-throat", "leg": "1/4 in"}
    for label, said in (("Formulas", asked), ("Settings", {}), ("Formulas", {})):
        page._page_hash = links[label]  # AppTest has no click for a page drawn by a function
        page.query_params.clear()
        page.query_params.update(said)
        ran(page)
    assert page.text_input(key="calculators.fillet-throat.leg").value == "1/4 in"
    assert page.query_params == asked


def test_ordered_keeps_every_unit():
    assert sorted(ordered(("60 s", "1 min"), "us")) == ["1 min", "60 s"]
