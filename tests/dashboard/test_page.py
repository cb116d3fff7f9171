"""What the page answers, without a browser."""

import re
from html import unescape
from types import SimpleNamespace as R

import pytest

from tests.dashboard.apptest import bench, drawn, opened, press, ran, words
from weldref.core.together import Together
from weldref.dashboard import fragments
from weldref.dashboard.said import said_of
from weldref.dashboard.settings.examples import EXAMPLES
from weldref.text import MEANINGS

POST = EXAMPLES[0].entries


@pytest.fixture
def page():
    return at(POST)


def at(said):
    return opened("", {"more-said": True}, **said)


def verdict_words(page):
    found = re.findall(r'class="word">(.*?)</p>', drawn(page))
    return [unescape(word) for word in found]


def rows(page, quantity="current"):
    """Open the bars of a quantity, and return the words of the rows below them."""
    page.session_state[f"bars-{quantity}"] = True
    return words(ran(page), 'class="rows"')


def enter(page, **entries):
    for key, text in entries.items():
        page.text_input(key=key).set_value(text)
    return ran(page)


def show(page, label):
    number = [example.label for example in EXAMPLES].index(label)
    return press(page, f"example-{number}")


def test_the_first_visit_asks_for_three_taps():
    page = opened()
    assert "Tap a process, a metal and a thickness" in words(page)
    assert [pills.label for pills in page.pills] == ["1. Process", "2. Metal", "3. Thickness"]
    assert verdict_words(page) == []


def test_a_setting_inside_names_its_source(page):
    assert verdict_words(page) == ["Inside"]
    assert bench(page) == "On the bench: Stick (SMAW), carbon steel, E7018, 1/8 in, 1/4 in"
    assert "Amps Current 130 A inside; 110 to 160 · read" in words(page, 'class="tiles"')
    assert "not safe, qualified or sound" in words(page, 'class="verdict')
    assert "110 to 160 A , inside. Machinery's Handbook" in rows(page)


def test_a_current_too_high_is_a_warning_that_says_by_how_much(page):
    enter(page, current="250")
    assert verdict_words(page) == ["Warning. High by 90 A"]
    assert 'class="verdict outside"' in drawn(page)


def test_a_current_too_low_is_a_warning(page):
    assert verdict_words(enter(page, current="80")) == ["Warning. Low by 30 A"]


def test_memory_alone_never_looks_like_a_pass_or_a_fail(page):
    show(page, "Small bracket")
    for current in ("110 A", "300 A"):
        enter(page, current=current)
        assert verdict_words(page) == ["No published range"]
        said = words(page, 'class="verdict').removeprefix(f"Current {current} No published range ")
        assert said.startswith("Trade practice, recalled, no printed source: 80 to 140 A; yours is")
        assert "passes nothing" in said
        assert 'class="verdict none"' in drawn(page)
        assert not re.search(r"A , (inside|high|low)", rows(page))


def test_nothing_published_says_so_and_shows_what_is_nearby(page):
    show(page, "Ramp")
    assert verdict_words(page)[-1] == "No published range"
    near = rows(page, "voltage")
    assert "Near, for another situation: they pass nothing" in near
    assert "for diameter 1/16 in (0.016 in above yours)" in near


def test_what_an_answer_turns_on_is_asked_and_a_button_says_it():
    page = at({name: text for name, text in POST.items() if name != "diameter"})
    assert verdict_words(page) == ["Depends"]
    assert "Which diameter?" in words(page, 'class="ask"')
    answers = {b.label.replace("\\", ""): b for b in page.button if b.key.startswith("ask-current")}
    assert "3/32 in: high by 25 A" in answers
    assert "any other: nothing published" in words(page, 'class="answers"')
    answers["1/8 in: inside"].click().run()
    assert bench(page).endswith("1/8 in, 1/4 in")
    assert verdict_words(page) == ["Inside"]
    assert "What fits says nothing of: thickness" in words(page, 'class="verdict')


def test_sources_that_disagree_are_counted():
    rows = [R(verdict=word, silent_on=()) for word in ("inside", "low")]
    reading = R(verdict="sources differ", value=20.0, unit="V", by=2.0, own=False, rows=rows,
                general=(), one_sided="", held_back=(), nothing_passes=False)  # fmt: skip
    assert said_of(reading) == [
        "Of 2 ranges 1 say inside, 1 say low; the nearest that does not hold it is 2 V off."
    ]


def test_a_preheat_asks_for_the_code_and_a_minimum_is_one_sided(page):
    enter(page, preheat="60 F", current="")
    assert "Which code?" in words(page, 'class="ask"')
    (code,) = [b for b in page.button if b.label.startswith("AWS D1.1")]
    code.click().run()
    assert page.selectbox(key="code").value == "AWS D1.1"
    assert "One-sided: a minimum is published, no maximum" in words(page, 'class="verdict')
    rows(page, "preheat")
    assert "arrow: no end is printed on that side" in words(page)


def test_a_general_range_says_what_it_does_not_name():
    page = opened(process="FCAW-G", thickness="1/4 in", travel_speed="10")
    assert verdict_words(page) == ["Warning. Low by 1.81 in/min"]
    general = "the general range, 30 to 50 cm/min, which names no thickness"
    assert f"10 in/min is below {general}" in words(page, 'class="verdict')
    assert "General range 30 to 50 cm/min , which names no thickness" in rows(page, "travel_speed")


def test_the_words_of_a_verdict_are_explained_in_one_place(page):
    said = words(page, "What the words of a verdict mean").casefold()
    for word, meaning in MEANINGS.items():
        assert f"{word} {meaning}" in said


def test_a_thickness_that_is_none_is_refused_at_its_field_and_does_not_stay(page):
    enter(page, thickness="thick")
    said = words(page, 'class="problem"')
    assert said.startswith("Thickness: 'thick' is not a number with a unit")
    assert page.text_input(key="thickness").value == "1/4 in"
    assert verdict_words(page) == ["Inside"]
    enter(page, current="131")
    assert words(page, 'class="problem"') == ""


def test_a_value_that_is_none_leaves_the_others_answered(page):
    enter(page, voltage="abc", current="250")
    assert "Voltage: 'abc' is not a number" in words(page, 'class="problem"')
    assert verdict_words(page) == ["Warning. High by 90 A"]


@pytest.mark.parametrize("field", ["current", "thickness", "diameter"])
def test_odd_entries_never_break_the_page(page, field):
    for text in ("<b>9</b>", "$\\frac{1}{0}$", "9" * 60, "-5", "1/0"):
        enter(page, **{field: text})
        assert words(page, 'class="problem"') or verdict_words(page), text
        assert "<b>9</b>" not in drawn(page)


def test_a_metal_that_is_none_says_so():
    # AppTest cannot type what a list does not offer: it starts as if that had been typed.
    page = opened("", {"process": "SMAW", "material": "wool"})
    assert "Material: 'wool' is not known" in words(page)
    assert "No answer until that is corrected" in words(page)


def test_without_a_value_the_card_says_where_to_start(page):
    enter(page, current="")
    assert verdict_words(page) == []
    assert "Amps Current 135 A 110 to 160 · read" in words(page, 'class="tiles"')
    assert "1/4 in" in bench(page)
    page.button(key="start-current-0").click().run()
    assert page.text_input(key="current").value == "135 A"
    assert verdict_words(page) == ["Inside"]
    rows(page)
    assert len(page.get("vega_lite_chart")) == 1


def test_the_lowest_grade_leaves_recalled_rows_out(page):
    show(page, "Small bracket")
    page.selectbox(key="grade").set_value("read").run()
    assert "from memory" not in rows(page).lower()
    assert verdict_words(page) == ["No published range"]


def test_a_long_list_is_cut_and_says_so():
    page = opened(process="SMAW")
    rows(page)
    assert re.search(r"\.\.\. and \d+ more", words(page, 'class="more"'))


def test_an_empty_form_asks_for_something(page):
    page.button(key="clear").click().run()
    assert "Tap a process, a metal and a thickness" in words(page)
    assert 'class="tiles"' not in drawn(page)


def test_cautions_are_always_there(page):
    said = words(page, 'id="cautions"')
    assert "Arc rays burn eyes" in said
    assert "more cautions for this work" in said
    show(page, "Ramp")
    assert "Aluminium gives much ozone" in words(page, 'id="cautions"')


def test_metric_reads_bare_numbers_in_metric_units(page):
    page.radio(key="units").set_value("metric")
    enter(page, thickness="6", diameter="3.2", current="130")
    assert bench(page).endswith("3.2 mm, 6 mm")
    # A unit that was written stays what it is.
    enter(page, thickness="1/4 in")
    assert bench(page).endswith("3.2 mm, 1/4 in")


def test_values_are_checked_together(page):
    show(page, "Ramp")
    enter(page, diameter="1/16", current="200", voltage="27")
    assert "Together." in words(page)


def test_a_line_from_memory_is_told_apart_and_named():
    result = Together(("current", "voltage"), (), 0, (), 1, ("line-1",))
    said = fragments.together(result, {"line-1": "A <book>, p. 1"})
    assert "No printed line covers current and voltage together; a line recalled" in said
    assert "passes nothing, holds them: A &lt;book&gt;, p. 1.</p>" in said


def test_own_rows_that_only_bound_a_value_are_told(workshop, monkeypatch):
    monkeypatch.setenv("WELDREF_TABLES", str(workshop))
    page = opened(process="GTAW", material="304", current="11 A")
    assert "Own rows, not published, say: " in words(page, 'class="verdict')


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.label)
def test_each_example_is_marked_as_invented_and_accepted(page, example):
    show(page, example.label)
    assert example.story.startswith("Invented:")
    assert 'class="problem"' not in drawn(page)
