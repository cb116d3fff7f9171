"""The desk on a page: one cell after another, and nothing recalled before the last."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.dashboard.apptest import opened, press, words
from tests.exchange.readers import TABLE, rows_of
from weldref.data.readings import read_file
from weldref.data.store import Store


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("WELDREF_READINGS", str(tmp_path / "readings.jsonl"))
    return tmp_path / "readings.jsonl"


def sat_down(reader: str = "ab", edition: str = "1999") -> AppTest:
    page = opened("reading_desk")
    page.selectbox(key="desk.source").set_value(TABLE)
    page.text_input(key="desk.reader").set_value(reader)
    page.text_input(key="desk.edition").set_value(edition)
    page.text_input(key="desk.copy").set_value("paper")
    press(page, "Start reading")
    return page


def typed(page: AppTest, text: str) -> None:
    page.text_input(key="desk.value.0").set_value(text)
    press(page, "Save and next")


def everything(page: AppTest) -> str:
    """All that reaches the browser."""
    inputs = [f"{one.label} {one.value} {one.placeholder}" for one in page.text_input]
    return " ".join([words(page), *inputs, *(one.label for one in page.button)])


@pytest.mark.usefixtures("file")
def test_another_edition_is_refused_before_anything_is_asked() -> None:
    page = sat_down(edition="2007")
    assert "'2007' is not the edition that is asked for here, 1999" in words(page)
    assert not [one for one in page.text_input if one.key == "desk.value.0"]


def test_a_document_is_read_to_the_end(store: Store, file: Path) -> None:
    rows = rows_of(store, TABLE)
    recalled = {f"{value:g}" for row in rows for value in row.values.values() if value > 20}
    page = sat_down()
    for number, row in enumerate(rows):
        assert f"{number} of 10 cells answered" in words(page)
        said = everything(page).replace(str(file), "")
        assert not recalled & set(re.findall(r"\d+", said)), said
        if number == 2:
            press(page, "Not there")
        elif number == 3:
            typed(page, "7")
        else:
            typed(page, f"{row.values['purge_oxygen']:g} ppm")
        assert len(read_file(file).found) == number + 1
        assert [one.value for one in page.text_input if one.key == "desk.value.0"] in ([""], [])
    said = words(page)
    assert "All cells are answered 8 agree, 1 differ, 1 not there" in said
    assert recalled <= set(re.findall(r"\d+", said))


def test_what_is_no_number_stays_in_its_field(file: Path) -> None:
    page = sat_down()
    typed(page, "about ten")
    assert "'about ten' is not one number" in words(page)
    assert page.text_input(key="desk.value.0").value == "about ten"
    assert not file.exists()


def test_skipped_cells_come_again_and_the_last_can_be_mended(file: Path) -> None:
    page = sat_down()
    press(page, "Skip")
    assert "cell 2 of 10" in words(page)
    typed(page, "24")
    press(page, "Back to the last one")
    assert "cell 2 of 10" in words(page)
    typed(page, "25")
    for _ in range(8):
        press(page, "Other edition")
    assert "The cells that are left (1) you have skipped" in words(page)
    press(page, "Ask for them again")
    assert "cell 1 of 10" in words(page)
    assert [one.values.get("purge_oxygen") for one in read_file(file).found[:2]] == ["24", "25"]


def test_a_visit_that_is_cut_off_loses_nothing(file: Path) -> None:
    page = sat_down()
    typed(page, "10")
    typed(page, "25")
    with file.open("ab") as opened:
        opened.write(b'{"source": "half')
    page = sat_down()
    said = words(page)
    assert "the last line was half written and is left out" in said
    assert "2 of 10 cells answered" in said
    typed(page, "50")
    assert len(read_file(file).found) == 3
    assert "half written" not in words(page.run())


@pytest.mark.usefixtures("file")
def test_a_second_reader_begins_anew() -> None:
    typed(sat_down(), "10")
    assert "0 of 10 cells answered" in words(sat_down("cd"))


def test_a_file_that_is_none_is_told(file: Path) -> None:
    file.write_text("no readings\n")
    page = opened("reading_desk")
    assert not page.exception
    assert "this is not a file of readings" in words(page) or "it is not JSON" in words(page)
