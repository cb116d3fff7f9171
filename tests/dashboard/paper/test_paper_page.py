"""The page of handouts without a browser: sheets, practice, sources side by side, coverage."""

import re

import pytest

from tests.dashboard import apptest
from tests.dashboard.apptest import downloads, drawn, opened, pieces, words
from weldref.core.check import published
from weldref.dashboard.paper.coverage import METALS, count, grid
from weldref.dashboard.paper.handout import own_address
from weldref.dashboard.paper.sheets import draw, pictures
from weldref.data.catalogue import coverage
from weldref.handouts.practice import key_document, reference_document, sheet_document
from weldref.handouts.practice_draw import practice


def open_tab(name="Handout"):
    return opened("paper", {"paper-tab": name})


def press(page, tab="handout"):
    return apptest.press(page, f"{tab}-make")


def test_nothing_is_made_before_the_button_is_pressed():
    page = open_tab()
    assert downloads(page) == []
    press(page)
    assert downloads(page) == ["Handout: PDF", "Handout: HTML page", "Handout: CSV"]
    assert re.search(r"\d pages?\.", words(page))
    assert len(page.get("image")) >= 1


def test_changed_entries_ask_for_the_button_again():
    page = press(open_tab())
    page.radio(key="handout-language").set_value("es").run()
    assert downloads(page) == []
    assert "The entries have changed since the sheets were made" in words(page)
    assert len(downloads(press(page))) == 3
    # Back to what was made last needs no work.
    page.radio(key="handout-language").set_value("en").run()
    page.radio(key="handout-language").set_value("es").run()
    assert len(downloads(page)) == 3


def test_a_redraw_makes_nothing_again(monkeypatch):
    page = press(open_tab())

    def refuse(*_args, **_options):
        raise AssertionError("made again")

    monkeypatch.setattr("weldref.dashboard.paper.handout.handout", refuse)
    monkeypatch.setattr("weldref.dashboard.paper.sheets.draw", refuse)
    monkeypatch.setattr("weldref.dashboard.paper.sheets.pictures", refuse)
    page.run()
    assert not page.exception
    assert len(downloads(page)) == 3


def test_every_combination_is_a_situation_and_too_many_are_refused():
    page = open_tab()
    page.multiselect(key="handout-process").set_value(["SMAW", "GTAW"])
    page.multiselect(key="handout-thickness").set_value(["1/8", "1/4"]).run()
    assert "4 situations to print" in words(page)
    page.multiselect(key="handout-process").set_value(["SMAW", "GTAW", "GMAW", "FCAW", "SAW"])
    page.multiselect(key="handout-thickness").set_value(["1/16", "1/8", "1/4", "1/2"])
    page.multiselect(key="handout-position").set_value(["1G", "2G", "3G", "4G"]).run()
    assert "at most 60 fit" in words(page)
    assert not page.get("button")


def test_an_empty_choice_asks_for_something():
    page = open_tab()
    for name in ("process", "material", "thickness", "electrode", "diameter"):
        page.multiselect(key=f"handout-{name}").set_value([])
    page.run()
    assert "Choose at least a process or a metal" in words(page)


def test_what_is_refused_is_one_sentence_without_the_name_of_an_option():
    page = open_tab()
    page.text_input(key="handout-address").set_value("javascript:alert(1)")
    page.checkbox(key="handout-coded").check()
    press(page)
    (said,) = re.findall(r'class="problem"[^>]*>(.*?)</p>', drawn(page))
    assert said.startswith("Address: give where the dashboard answers")
    assert downloads(page) == []


def test_the_qr_code_opens_this_dashboard():
    assert own_address("https://shop.example/weld/handouts") == "https://shop.example/weld"
    page = open_tab()
    page.text_input(key="handout-address").set_value("http://192.0.2.7:8501")
    page.checkbox(key="handout-coded").check()
    assert len(downloads(press(page))) == 3


def test_practice_sheets_come_with_their_key():
    page = press(open_tab("Practice"), "practice")
    assert downloads(page) == [
        *(
            f"{what}: {form}"
            for what in ("Sheets", "Key", "Reference")
            for form in ("PDF", "HTML page", "CSV")
        ),
        "Learning platform: QTI with answers",
    ]
    assert "every setting on them is invented" in words(page)


def test_a_topic_that_this_class_has_nothing_for_is_one_sentence():
    page = open_tab("Practice")
    page.multiselect(key="practice-process").set_value(["SMAW"])
    page.multiselect(key="practice-topic").set_value(["gas"])
    press(page, "practice")
    (said,) = re.findall(r'class="problem"[^>]*>(.*?)</p>', drawn(page))
    assert "the tables hold nothing to draw these topics from for SMAW" in said


def test_a_page_for_phones_is_one_file():
    page = press(open_tab("Phones"), "pocket")
    (label,) = downloads(page)
    assert re.fullmatch(r"The page: HTML, \d+ kB", label)
    page.multiselect(key="pocket-process").set_value([])
    press(page, "pocket")
    assert "a card needs one" in words(page)


@pytest.mark.parametrize("ending", [".pdf", ".html", ".csv"])
def test_each_format_of_the_sheets_can_be_drawn(ending):
    made = practice(seed=3, level="first-week", language="es")
    for document in (sheet_document(made), key_document(made), reference_document(made)):
        assert len(draw(document, ending)) > 500


def test_pages_are_pictures_up_to_a_number():
    sheet = sheet_document(practice(seed=3, sheets=3, level="first-week"))
    pages, images = pictures(draw(sheet, ".pdf"), most=2)
    assert pages >= 3
    assert [image[1:4] for image in images] == [b"PNG", b"PNG"]


def test_sources_stand_side_by_side_as_printed():
    page = open_tab("Compare sources")
    found = published(quantity="current", process="SMAW", electrode="E7018", diameter="1/8")
    said = words(page)
    assert "110 to 160 A carbon steel read in the source recommended p. 1594 Table 14" in said
    for row in found.rows:
        assert row.source in said
    assert "1 published, 2 from memory" in said
    assert "not safe, qualified or sound" in said
    assert len(page.get("vega_lite_chart")) == 1


def test_without_a_range_the_table_says_so_and_shows_what_is_near():
    page = open_tab("Compare sources")
    page.text_input(key="compare-diameter").set_value("1/16").run()
    assert "No published range" in words(page)
    assert "Near, for another situation: they pass nothing" in words(page)
    assert not page.get("vega_lite_chart")


@pytest.mark.parametrize("text", ["thick", "1e400", "<b>9</b>", "-5", "9" * 60, "1/0"])
def test_an_odd_size_is_one_sentence(text):
    page = open_tab("Compare sources")
    page.text_input(key="compare-thickness").set_value(text).run()
    assert not page.exception
    assert len(re.findall('class="problem"', drawn(page))) == 1
    assert "<b>9</b>" not in drawn(page)


def test_nothing_on_the_bench_asks_for_something():
    page = open_tab("Compare sources")
    page.selectbox(key="compare-process").set_value(None)
    page.selectbox(key="compare-electrode").set_value(None)
    page.text_input(key="compare-diameter").set_value("").run()
    assert "Say what is on the bench" in words(page)


def cells(page):
    return [re.findall(r"<td[^>]*>(.*?)</td>", body) for body in pieces(page, "<table")]


def test_the_map_has_a_number_or_none_in_every_cell_and_counts_every_row():
    page = open_tab("Coverage")
    by_process, by_quantity = cells(page)
    for cell in by_process + by_quantity:
        assert re.fullmatch(r"(none|[\d,]+)( <span>\+ \d+ memory</span>)?", cell)
    every = coverage()
    printed = sum(int(cell.split()[0].replace(",", "")) for cell in by_process if cell[0] != "n")
    assert printed == sum(one.read + one.secondary for one in every)
    recalled = sum(int(n) for cell in by_process for n in re.findall(r"\+ (\d+)", cell))
    assert recalled == sum(one.memory for one in every)
    assert "none" in by_process
    assert {one.material for one in every} <= set(METALS)


def test_the_map_counts_one_quantity():
    page = open_tab("Coverage")
    page.selectbox(key="coverage-quantity").set_value("preheat").run()
    every = [one for one in coverage() if one.quantity == "preheat"]
    by_process, _ = cells(page)
    printed = sum(int(cell.split()[0]) for cell in by_process if cell[0] != "n")
    assert printed == sum(one.read + one.secondary for one in every)


def test_the_map_escapes_its_words():
    made = grid("<i>", "process", [("a", "<b>")], count([], lambda one: one.process))
    assert "<b>" not in made
    assert "<i>" not in made


def test_what_draws_pages_is_missing_and_said_before_the_button_is_pressed(monkeypatch):
    monkeypatch.setattr("weldref.handouts.output.find_spec", lambda _name: None)
    page = open_tab()
    assert "Handouts need typst and babel and segno, not installed here" in words(page)
    assert "pip install 'weldref[print]'" in words(page)


def test_the_schools_header_is_shown_and_saved(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setattr("weldref.dashboard.paper.header.at_this_machine", lambda: True)
    page = open_tab()
    assert "A header needs the name of the school" in words(page)
    page.text_input(key="school-name").set_value("Footbridge school (invented)").run()
    assert 'class="school"' in drawn(page)
    page.button(key="school-save").click().run()
    assert 'name = "Footbridge school (invented)"' in (
        tmp_path / "weldref" / "weldref.toml"
    ).read_text(encoding="utf-8")
    assert "This header is saved" in words(page.run())
