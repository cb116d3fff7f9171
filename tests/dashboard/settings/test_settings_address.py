"""A situation travels in the address: in, out, back, and past another page."""

from urllib.parse import parse_qs, urlsplit

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from tests.dashboard import apptest
from tests.dashboard.apptest import bench, drawn, words
from tests.effort import times
from weldref.core.situation import describe
from weldref.dashboard.page import PAGES
from weldref.dashboard.settings.entries import FIELDS, VALUES
from weldref.dashboard.settings.examples import EXAMPLES
from weldref.handouts.link import situation_address

NAMES = (*FIELDS, *VALUES, "units", "grade", "q")


def opened(**said):
    return apptest.opened("", {"more-said": True}, **said)


def entered(page):
    state = page.session_state
    return {name: state[name] for name in (*FIELDS, *VALUES) if state.get(name)}


def test_a_link_opens_the_page_at_its_situation():
    page = opened(process="GTAW", material="304", thickness="1/8 in", current="110 A")
    assert bench(page) == "On the bench: TIG (GTAW), 304, 1/8 in"
    assert page.text_input(key="current").value == "110 A"
    assert words(page, 'class="problem"') == ""


def test_what_a_handout_links_to_opens(store):
    work = describe(
        store,
        process="GMAW",
        transfer_mode="spray",
        material="aluminium",
        electrode="ER4043",
        diameter="3/64",
        thickness="1/8",
        joint="lap",
        position="2F",
        polarity="DCEP",
        gas="argon",
    )
    query = parse_qs(urlsplit(situation_address("http://192.0.2.7:8501", work)).query)
    page = opened(**{name: values[0] for name, values in query.items()})
    assert bench(page).count(", ") == len(work.given()) - 1
    for value in list(work.given().values())[1:]:
        assert value in bench(page)


def test_spellings_are_read_and_written_back_as_stored_terms():
    page = opened(process="stick", electrode="7018", diameter="1/8", current="130")
    assert page.selectbox(key="process").value == "SMAW"
    assert page.query_params == {
        "process": "SMAW", "electrode": "E7018", "diameter": "1/8 in", "current": "130 A",
    }  # fmt: skip


def test_units_and_grade_travel_too():
    page = opened(process="SMAW", thickness="6", units="metric", grade="read")
    assert page.radio(key="units").value == "metric"
    assert page.selectbox(key="grade").value == "read"
    assert bench(page).endswith("6 mm")
    assert page.query_params["units"] == "metric"
    assert page.query_params["grade"] == "read"


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.label)
def test_what_the_page_shows_can_be_opened_again(example):
    page = opened()
    number = [e.label for e in EXAMPLES].index(example.label)
    page.button(key=f"example-{number}").click().run()
    again = opened(**page.query_params)
    assert bench(again) == bench(page)
    assert words(again, 'class="tiles"') == words(page, 'class="tiles"')
    assert words(again, 'class="verdict') == words(page, 'class="verdict')
    assert again.query_params == page.query_params


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"process": "knitting"}, "Process: 'knitting' is not known"),
        ({"thickness": "thick"}, "Thickness: 'thick' is not a number with a unit"),
        ({"process": "SMAW", "current": "1e9"}, "Current: 1e+09 A is not plausible"),
        ({"units": "bananas"}, "Units: the address gives 'bananas'; give us or metric"),
        ({"language": "eo"}, "Language: the address gives 'eo'; give en or es"),
        ({"grade": "best"}, "Grade: the address gives 'best'; give memory or secondary or read"),
        ({"material": "x" * 5000}, "give up to 60 plain characters"),
        ({"proces": "SMAW"}, "The address names 'proces', which is not a field of this page"),
    ],
)
def test_a_bad_link_gets_one_sentence(said, sentence):
    page = opened(**said)
    assert sentence in words(page, 'class="problem"')
    assert len(words(page, 'class="problem"')) < 500


def test_a_complaint_goes_when_the_reader_goes_on():
    page = opened(process="knitting", material="304")
    page.text_input(key="thickness").set_value("1/8").run()
    assert "knitting" not in words(page)


@settings(max_examples=times(3, 50), suppress_health_check=[HealthCheck.too_slow])
@given(
    some.dictionaries(some.sampled_from((*FIELDS, *VALUES, "units", "q")), some.text(), max_size=3)
)
def test_no_link_breaks_the_page(said):
    page = opened(**said)
    assert "<script" not in drawn(page).casefold()


def test_going_back_in_the_browser_takes_the_page_back():
    page = opened(process="SMAW", current="130 A")
    before = dict(page.query_params)
    page.text_input(key="current").set_value("250 A").run()
    assert page.query_params["current"] == "250 A"
    page.query_params.clear()
    page.query_params.update(before)
    page.run()
    assert page.text_input(key="current").value == "130 A"


def test_an_entry_counts_more_than_an_address_that_lags_behind():
    page = opened(process="SMAW", current="130 A")
    before = dict(page.query_params)
    page.text_input(key="current").set_value("140 A").run()
    page.query_params.clear()
    page.query_params.update(before)
    page.text_input(key="current").set_value("150 A").run()
    assert page.text_input(key="current").value == "150 A"


def test_what_was_entered_survives_another_page():
    page = opened(process="SMAW", electrode="E7018", diameter="1/8", current="130 A")
    page.radio(key="units").set_value("metric").run()
    before = entered(page)
    links = {e.proto.label: e.proto.page_script_hash for e in page.get("page_link")}
    assert list(links) == list(PAGES.values())
    for label in ("Formulas", "Settings"):
        page._page_hash = links[label]  # AppTest has no click for a page drawn by a function
        page.query_params.clear()
        page.run()
        assert page.session_state["units"] == "metric"
    assert entered(page) == before
    assert bench(page) == "On the bench: Stick (SMAW), E7018, 1/8 in"


def test_the_language_travels_too():
    page = opened(process="GMAW", material="mild steel", thickness="1/8 in", language="es")
    assert bench(page) == "En el banco: MIG (GMAW), acero dulce, 1/8 in"
    assert page.query_params["language"] == "es"


def test_going_back_to_where_the_visit_began_empties_the_bench():
    page = opened()
    page.pills(key="tap-process").set_value("GMAW").run()
    assert page.query_params["process"] == "GMAW"
    page.query_params.clear()
    page.run()
    assert bench(page) == "Three taps"
