"""Every row can be found, told from where it is, and taken along."""

import csv
import io
import re
from html import unescape

import pandas as pd
import pytest
import streamlit as st

from tests.dashboard import apptest
from tests.dashboard.apptest import drawn, press, ran, words
from tests.effort import some, times
from weldref.data import browse, catalogue
from weldref.data.store import open_store


@pytest.fixture
def downloads(monkeypatch):
    """What the page offers as files, by the name of the file."""
    offered = {}

    def record(_label, *, data, file_name, **_given):
        offered[file_name] = data

    monkeypatch.setattr(st, "download_button", record)
    return offered


def opened(**address):
    return apptest.opened("explorer", **address)


def search(page, text):
    page.text_input(key="explorer.text").set_value(text)
    return ran(page)


def ask(page, sql):
    page.text_area(key="explorer.sql").set_value(sql)
    return press(page, "Run")


@pytest.mark.parametrize("table", some([one.name for one in catalogue.tables()], 12))
def test_every_table_is_shown_with_what_a_row_is(table):
    page = opened(table=table)
    summary = next(one for one in catalogue.tables() if one.name == table)
    assert summary.description in words(page)
    assert f"{summary.rows} rows" in words(page)
    assert drawn(page).count("<tr>") == 1 + min(summary.rows, 20)


def test_a_row_tells_its_document_its_place_and_how_it_was_read():
    page = search(opened(table="windows"), "machinery e7018 1/8")
    said = words(page)
    assert "read in the source" in said
    opened_row = drawn(page).split("<details>")[1].split("</details>")[0]
    facts = dict(re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", opened_row))
    assert unescape(facts["Title"]).startswith("Machinery's Handbook")
    assert facts["Edition"].startswith("31st edition")
    assert facts["Place"] == "p. 1594 Table 14"
    assert facts["This row"] == "read in the source"


def test_words_are_searched_in_every_column_and_in_the_name_of_the_document():
    store = open_store()
    page = search(opened(table="windows"), "E7018 handbook")
    (count,) = store.rows(
        """
        SELECT count(*) AS n FROM windows w JOIN documents d USING (source_id)
        WHERE w.filler_class = 'E7018' AND d.name ILIKE '%handbook%'
        """
    )
    assert count["n"] > 0
    assert f"{count['n']} fit." in words(page)


def test_nothing_found_says_so():
    assert "No row fits" in words(search(opened(table="windows"), "unobtainium"))


def test_words_lead_to_other_tables():
    page = search(opened(table="windows"), "E7018")
    page.button(key="explorer.to.smaw_classes").click().run()
    assert page.selectbox(key="explorer.table").value == "smaw_classes"
    assert page.text_input(key="explorer.text").value == "E7018"
    assert "4 fit." in words(page)


def test_only_rows_of_a_grade():
    page = opened(table="windows")
    page.button_group(key="explorer.grades").set_value(["memory"]).run()
    summary = next(one for one in catalogue.tables() if one.name == "windows")
    assert f"{summary.memory} fit." in words(page)
    assert drawn(page).count('class="grade memory"') == 20
    assert 'class="grade read"' not in drawn(page)


def test_pages_show_every_row_once():
    page = opened(table="sheet_gauges")
    seen = []
    while True:
        seen += re.findall(r'data-label="gauge"><span>(.*?)</span>', drawn(page))
        following = page.button(key="explorer.next")
        if following.disabled:
            break
        following.click().run()
    store = open_store()
    assert seen == [row["gauge"] for row in store.rows("SELECT gauge FROM sheet_gauges")]


@pytest.mark.parametrize("table", ["windows", "gases", "units", "worked_examples"])
def test_files_hold_the_whole_table(downloads, table):
    opened(table=table)
    found = browse.find(open_store(), table)
    (header, *lines) = csv.reader(
        io.StringIO(downloads[f"weldref-{table}.csv"]().decode("utf-8-sig"))
    )
    assert tuple(header) == found.columns
    assert len(lines) == found.total
    frame = pd.read_parquet(io.BytesIO(downloads[f"weldref-{table}.parquet"]()))
    assert tuple(frame.columns) == found.columns
    for row, line, stored in zip(frame.itertuples(index=False), lines, found.rows, strict=True):
        for cell, text, value in zip(row, line, stored, strict=True):
            if value is None:
                assert pd.isna(cell)
                assert text == ""
            else:
                assert cell == value
                assert text.removeprefix("'") == str(value).removeprefix("'")


def test_files_of_what_fits_hold_what_fits(downloads):
    page = search(opened(table="windows"), "E7018")
    page.button_group(key="explorer.grades").set_value(["read"]).run()
    store = open_store()
    wanted = browse.find(store, "windows", "E7018", ["read"])
    frame = pd.read_parquet(io.BytesIO(downloads["weldref-windows-part.parquet"]()))
    assert list(frame["window_id"]) == [row[0] for row in wanted.rows]
    text = downloads["weldref-windows-part.csv"]().decode("utf-8-sig")
    assert [line["window_id"] for line in csv.DictReader(io.StringIO(text))] == [
        row[0] for row in wanted.rows
    ]
    assert set(frame["how_read"]) == {"read"}


def test_a_file_says_that_formulas_are_neutralised():
    assert "gets an apostrophe in front" in words(opened())


def test_the_address_holds_table_and_words():
    page = opened(table="filter_shades", text="GMAW")
    assert page.selectbox(key="explorer.table").value == "filter_shades"
    assert page.text_input(key="explorer.text").value == "GMAW"
    search(page, "plasma")
    assert page.query_params == {"table": "filter_shades", "text": "plasma"}


@pytest.mark.parametrize(
    "address",
    [
        {"table": "<script>alert(1)</script>"},
        {"table": "windows; DROP TABLE windows"},
        {"table": "x" * 5000},
        {"table": ""},
    ],
)
def test_an_address_that_names_no_table_is_told_in_a_sentence(address):
    page = opened(**address)
    assert "in the address is not known" in words(page)
    assert "<script>" not in drawn(page)


@pytest.mark.parametrize(
    "text",
    some(["<b>x</b>", "$word0", "%", "'; DROP TABLE windows --", "x" * 200, "é" * 20, "\\"], 3),
)
def test_odd_words_find_nothing_and_break_nothing(text):
    page = opened(table="windows", text=text)
    assert "<b>x</b>" not in drawn(page)
    assert re.search(r"No row fits|\d+ fit\.", words(page))


def test_too_many_words_are_one_sentence():
    page = opened(table="windows", text="a " * 50)
    assert "50 words are too many; give at most 12" in words(page)


MORE_SQL = [
    ("SELECT 1; SELECT 2", "give exactly one SELECT statement"),
    ("COPY windows TO '/tmp/x.csv'", "give exactly one SELECT statement"),
    ("INSTALL httpfs", "give exactly one SELECT statement"),
    ("SELECT * FROM nowhere", "nowhere does not exist"),
]
"""Refused by the same rule as others; the rule itself is tried in tests/attack/test_sql_box.py."""


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("DROP TABLE windows", "give exactly one SELECT statement"),
        ("SELECT * FROM read_csv('/etc/passwd')", "Query: "),
        ("SELECT length(repeat('x', 3000000000))", "Query: "),
        ("   ", "it is empty; give one SELECT"),
        *MORE_SQL[: times(0, 4)],
    ],
)
def test_hostile_sql_gets_one_sentence(sql, said):
    page = ask(opened(), sql)
    problems = re.findall(r'<p class="problem"[^>]*>(.*?)</p>', drawn(page), re.DOTALL)
    assert len(problems) == 1
    assert said in unescape(problems[0])
    assert "Traceback" not in problems[0]
    assert "\n" not in problems[0]


def test_a_query_is_answered_shown_and_downloadable(downloads):
    page = ask(opened(), "SELECT '=1+1' AS a, filler_class FROM windows ORDER BY 2 LIMIT 3")
    assert "3 rows." in words(page)
    assert '<th scope="col">filler_class</th>' in drawn(page)
    lines = downloads["weldref-query.csv"]().decode("utf-8-sig").splitlines()
    assert lines[0] == "a,filler_class"
    assert lines[1].startswith("'=1+1,")


def test_what_a_query_gives_is_never_markup():
    page = ask(opened(), "SELECT '<img src=x onerror=alert(1)>' AS \"<b>\"")
    assert "<img" not in drawn(page)
    assert '<th scope="col"><b>' not in drawn(page)


def test_more_rows_than_the_limit_are_told():
    page = ask(opened(), "SELECT * FROM range(5000)")
    assert "The first 1000 rows; there are more" in words(page)
    assert drawn(page).count('data-label="range"') == 100


@pytest.mark.parametrize("number", [0, 1, 2])
def test_each_example_query_gives_rows(number):
    page = opened()
    page.button(key=f"explorer.sql-{number}").click().run()
    assert not page.exception
    assert 'class="problem"' not in drawn(page)
    assert 'aria-label="Answer to the query"' in drawn(page)


def test_the_limits_of_a_query_are_told():
    assert "10 s and 1024 MB, and gives 1000 rows at most" in words(opened())
