"""What the page answers, without a browser."""

import re
from html import unescape
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from weldref.core.check import Together
from weldref.dashboard import fragments
from weldref.dashboard.settings.examples import EXAMPLES

APP = Path(__file__).parents[2] / "app.py"


@pytest.fixture
def page():
    # The first run of a fresh process imports the engine and may build the store.
    made = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not made.exception
    return made


def bodies(page):
    return [element.proto.body for element in page.get("html")]


def words(page, part=""):
    """The page's words, or those of the pieces that hold a class."""
    shown = [body for body in bodies(page) if "<style>" not in body and part in body]
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", " ".join(shown)))).strip()


def verdict_words(page):
    found = re.findall(r'class="word">(.*?)</p>', " ".join(bodies(page)))
    return [unescape(word) for word in found]


def enter(page, **entries):
    for key, text in entries.items():
        page.text_input(key=key).set_value(text)
    page.run()
    assert not page.exception
    return page


def show(page, label):
    number = [example.label for example in EXAMPLES].index(label)
    page.button(key=f"example-{number}").click().run()
    assert not page.exception
    return page


def test_the_first_visit_shows_a_setting_inside_with_its_source(page):
    assert verdict_words(page) == ["Inside"]
    assert "For SMAW, carbon steel, E7018, 1/8 in, 1/4 in thick" in words(page)
    assert "110 to 160 A , inside. Machinery's Handbook" in words(page, 'class="rows"')
    assert "not safe, qualified or sound" in words(page, 'class="verdict')
    assert [page.slider(key=f"{q}-dial").label for q in ("current", "preheat")] == [
        "Current dial",
        "Preheat temperature dial",
    ]


def test_a_current_too_high_is_a_warning_that_says_by_how_much(page):
    enter(page, current="250")
    assert verdict_words(page) == ["Warning. High by 90 A"]
    assert 'class="verdict outside"' in " ".join(bodies(page))


def test_a_current_too_low_is_a_warning(page):
    assert verdict_words(show(page, "Wide bracket")) == ["Warning. Low by 10 A"]


def test_memory_alone_never_looks_like_a_pass_or_a_fail(page):
    show(page, "Small bracket")
    for current in ("110 A", "300 A"):
        enter(page, current=current)
        assert verdict_words(page) == ["No published range"]
        assert not re.search(r"\b(inside|high|low)\b", words(page, 'class="verdict'), re.IGNORECASE)
        assert 'class="verdict none"' in " ".join(bodies(page))
        assert not re.search(r"A , (inside|high|low)", words(page, 'class="rows"'))


def test_nothing_published_says_so_and_shows_what_is_nearby(page):
    show(page, "Ramp")
    assert verdict_words(page) == ["Inside", "No published range"]
    assert "Published nearby, for another situation" in words(page)
    assert "Differs: diameter" in words(page)


def test_sources_that_disagree_are_counted_and_say_what_it_depends_on(page):
    show(page, "Wide bracket")
    page.selectbox(key="transfer_mode").set_value(None)
    page.selectbox(key="gas").set_value(None)
    enter(page, diameter="")
    assert verdict_words(page) == ["Sources differ"]
    said = words(page, 'class="verdict')
    assert "say inside" in said
    assert "depends on what you left out" in said
    assert "you did not say" in words(page, 'class="rows"')


def test_a_one_sided_limit_is_said_in_words(page):
    show(page, "Small bracket")
    enter(page, current="", interpass="200 F")
    assert "One-sided: a maximum is published, no minimum" in words(page, 'class="verdict')
    assert "at most" in words(page, 'class="rows"')
    assert "arrow: no end is printed on that side" in words(page)


def test_a_thickness_that_is_none_gets_one_sentence_and_no_answer(page):
    enter(page, thickness="thick")
    said = words(page, 'class="problem"')
    assert said.startswith("Thickness: 'thick' is not a number with a unit")
    assert verdict_words(page) == []
    assert "No answer until that is mended" in words(page)


def test_a_value_that_is_none_leaves_the_others_answered(page):
    enter(page, voltage="abc", current="250")
    assert "Voltage: 'abc' is not a number" in words(page, 'class="problem"')
    assert verdict_words(page) == ["Warning. High by 90 A"]


@pytest.mark.parametrize("field", ["current", "thickness", "diameter"])
def test_odd_entries_never_break_the_page(page, field):
    for text in ("1e400", "<b>9</b>", "$\\frac{1}{0}$", "9" * 60, "-5", "0", "1/0"):
        enter(page, **{field: text})
        assert words(page, 'class="problem"') or verdict_words(page), text
        assert "<b>9</b>" not in " ".join(bodies(page))


@pytest.mark.parametrize(
    ("material", "said"),
    [("mild steel", "For SMAW, carbon steel"), ("wool", "Material: 'wool' is not known")],
)
def test_a_metal_may_be_typed_in_any_common_spelling(material, said):
    # AppTest cannot type what a list does not offer: it starts as if that had been typed.
    page = AppTest.from_file(str(APP), default_timeout=60)
    page.session_state["process"] = "SMAW"
    page.session_state["material"] = material
    assert said in words(page.run())


def test_without_a_value_the_published_ranges_are_drawn(page):
    enter(page, current="")
    assert verdict_words(page) == []
    assert len(page.get("vega_lite_chart")) > 1
    assert "Current 1 published, 2 from memory" in words(page)
    assert "not safe, qualified or sound" in words(page)


def test_the_lowest_grade_leaves_recalled_rows_out(page):
    show(page, "Small bracket")
    page.selectbox(key="grade").set_value("read").run()
    assert "no pass or fail" not in words(page)
    assert verdict_words(page) == ["No published range"]


def test_a_long_list_is_cut_and_says_so(page):
    show(page, "Small bracket")
    page.selectbox(key="polarity").set_value(None)
    page.selectbox(key="gas").set_value(None)
    enter(page, diameter="", thickness="")
    assert re.search(r"\.\.\. and \d+ more", words(page, 'class="more"'))


def test_an_empty_form_asks_for_something(page):
    page.button(key="clear").click().run()
    assert "Say what is on the bench" in words(page)
    assert not page.get("vega_lite_chart")


def test_cautions_are_always_there(page):
    assert "Arc rays burn eyes" in words(page, "cautions")
    show(page, "Ramp")
    assert "Aluminium gives much ozone" in words(page, "cautions")


def test_metric_reads_bare_numbers_in_metric_units(page):
    page.radio(key="units").set_value("metric")
    enter(page, thickness="6", diameter="3.2", current="130")
    assert "6 mm thick" in words(page)
    # A unit that was written stays what it is.
    enter(page, thickness="1/4 in")
    assert "1/4 in thick" in words(page)


def test_values_are_checked_together(page):
    show(page, "Ramp")
    enter(page, diameter="1/16", current="200", voltage="27")
    assert "Together." in words(page)


def test_a_line_from_memory_is_told_apart_and_named():
    result = Together(("current", "voltage"), 0, (), 1, ("line-1",))
    said = fragments.together(result, {"line-1": "A <book>, p. 1"})
    assert "No printed line covers current and voltage together; a line recalled" in said
    assert "passes nothing, holds them: A &lt;book&gt;, p. 1.</p>" in said


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.label)
def test_each_example_is_marked_as_invented_and_accepted(page, example):
    show(page, example.label)
    assert example.story.startswith("Invented:")
    assert 'class="problem"' not in " ".join(bodies(page))
