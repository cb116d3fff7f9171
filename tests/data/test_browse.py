"""What the tables give when they are searched."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.data import browse
from weldref.data.store import open_store
from weldref.errors import InputError


def test_an_unknown_table_is_refused():
    with pytest.raises(InputError, match="table: 'nowhere' is not known"):
        browse.find(open_store(), "nowhere")


def test_a_cut_out_of_the_middle_keeps_the_order():
    store = open_store()
    whole = browse.find(store, "windows")
    part = browse.find(store, "windows", first=30, most=7)
    assert part.rows == whole.rows[30:37]
    assert part.total == whole.total == len(whole.rows)


def test_tables_with_words_agree_with_each_table():
    store = open_store()
    counts = browse.tables_with(store, "e7018 memory")
    assert counts
    for table, count in counts.items():
        assert browse.find(store, table, "e7018 memory").total == count
    assert browse.tables_with(store, " ") == {}


@given(st.text(max_size=40))
def test_any_text_is_searched_or_refused(text):
    store = open_store()
    try:
        found = browse.find(store, "sheet_gauges", text)
    except InputError:
        assert len(text.split()) > browse.MOST_WORDS
    else:
        for row in found.rows:
            line = " ".join(str(value) for value in row).lower()
            name = browse.documents(store)[row[found.columns.index("source_id")]].name.lower()
            for word in text.lower().split():
                assert word in line or word in name


@pytest.mark.parametrize("text", ["=1+1", "+x", "-x", "@x", "\t=1", "|x", "%x", "＝1"])
def test_no_text_is_a_formula_in_a_spreadsheet(text):
    line = browse.csv_bytes([text], [[text]]).decode("utf-8-sig")
    assert line.replace('"', "").startswith(f"'{text}")
    assert line.count("'") == 2


def test_a_number_stays_a_number():
    assert browse.csv_bytes(["a"], [[-1e-05], [True]]).decode("utf-8-sig") == (
        "a\r\n-1e-05\r\nTrue\r\n"
    )
