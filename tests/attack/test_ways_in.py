"""Frames, titles of sheets and pasted charts from someone else: read, or refused in one sentence.

Logos are attacked in `tests/handouts/test_school.py`, files of charts in
`tests/exchange/test_shop_chart.py`, files of readings in `tests/data/test_readings.py`.
"""

from __future__ import annotations

import datetime
import zipfile
from decimal import Decimal
from xml.etree import ElementTree as ET

import numpy as np
import pandas as pd
import pytest

import weldref
from weldref.cli import main
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart import checked, parse_grid

NOT_NUMBERS = {
    "complex": [1 + 2j],
    "truth": [True],
    "date": pd.to_datetime(["2026-01-01"]),
    "time": pd.to_timedelta(["1 day"]),
    "lists": [[1, 2], {"a": 1}],
    "large": [10**400],
    "ends": [np.inf, -np.inf, 1e308, -0.0],
    "ranges": pd.interval_range(0, 2),
    "bytes": [b"130"],
    "letters": ["9" * 100_000],
    "escapes": ["1\x1b[31m3\u202e"],
}
NUMBERS = {
    "decimal": [Decimal(130)],
    "category": pd.Categorical([130]),
    "sparse": pd.arrays.SparseArray([130.0]),
    "short": np.array([130], dtype="float16"),
    "text": pd.array(["130 A"], dtype="string"),
}
SMAW = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8 in"}


@pytest.mark.parametrize("name", NOT_NUMBERS)
def test_a_cell_that_is_no_number_is_told_in_its_row(name: str) -> None:
    found = weldref.check_frame(pd.DataFrame({"current": NOT_NUMBERS[name]}), **SMAW)
    assert found.current_verdict.isna().all()
    for sentence in found.problem:
        assert sentence.startswith("current: ")
        assert len(sentence) < 1000
        assert sentence.isprintable()


@pytest.mark.parametrize("name", NUMBERS)
def test_a_number_of_any_type_is_read(name: str) -> None:
    found = weldref.check_frame(pd.DataFrame({"current": NUMBERS[name]}), **SMAW)
    assert found.current_verdict.tolist() == ["inside"]


@pytest.mark.parametrize("process", [["SMAW"], {"a": 1}, b"SMAW", datetime.date(2026, 1, 1)])
def test_a_word_of_any_type_is_told_in_its_row(process: object) -> None:
    found = weldref.check_frame(pd.DataFrame({"process": [process], "current": [130]}))
    assert found.problem.tolist()[0].startswith("process: ")


@pytest.mark.parametrize(
    ("frame", "sentence"),
    [
        (pd.DataFrame([[130, 140]], columns=["current", "current"]), "two columns"),
        (pd.DataFrame([[1, 2]], columns=pd.MultiIndex.from_tuples([("a", 1), ("b", 2)])), "column"),
        (pd.DataFrame(), "no column"),
        (pd.DataFrame(index=range(3)), "no column"),
        (pd.DataFrame({"current " * 900: [1]}), "heading"),
        (pd.Series([130], name="current"), "is not a pandas DataFrame"),
        ({"current": [130]}, "is not a pandas DataFrame"),
        (None, "is not a pandas DataFrame"),
    ],
    ids=str,
)
def test_what_is_no_frame_of_readings_is_one_sentence(frame: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence) as refused:
        weldref.check_frame(frame)  # type: ignore[arg-type]
    assert "\n" not in str(refused.value)


def test_a_million_rows_take_no_longer_than_their_conditions() -> None:
    frame = pd.DataFrame({"process": ["SMAW", "GMAW"] * 500_000, "current": [130.0] * 1_000_000})
    # Some 0.6 s; row by row it would be minutes.
    assert len(weldref.check_frame(frame)) == 1_000_000


def test_a_title_of_any_letters_stays_a_title_in_every_file(
    tmp_path: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # type: ignore[arg-type]
    title = "#panic() </title><script>alert(1)</script> ]]> & \" ' \u202e"
    asked = ["practice", "--seed", "1", "--sheets", "1", "--title", title, "--qti", "x.zip"]
    assert main([*asked, "-o", "x.html"]) == 0
    with open("x.html", encoding="utf-8") as file:  # noqa: PTH123
        assert "<script>alert" not in file.read()
    with zipfile.ZipFile("x.zip") as package:
        for name in package.namelist():
            assert not any("script" in one.tag for one in ET.fromstring(package.read(name)).iter())  # noqa: S314
        assert "#panic() </title>" in ET.fromstring(package.read("test.xml")).get("title", "")  # noqa: S314


HOSTILE_TABLES = {
    "wide": "\t".join(["current"] + ["voltage"] * 100_000),
    "long": "current\n" + "1\n" * 100_000,
    "quote": 'current\tvoltage\n"130\t22\n' * 2_000,
    "cell": "current\n" + "9" * 200_000,
    "formula": "current\n=cmd|' /C calc'!A0",
    "markup": "current\n<script>alert(1)</script>",
    "blanks": "\t" * 200_000 + "\n" + " " * 50_000,
    "letters": "cur\x00rent\x1b[2J\n130",
    "brackets": "(" * 100_000 + "\n1",
}


@pytest.mark.parametrize("name", HOSTILE_TABLES)
def test_a_pasted_table_is_a_chart_or_one_sentence(name: str, store: Store) -> None:
    try:
        said = [str(one) for one in checked(store, parse_grid(store, HOSTILE_TABLES[name])).refused]
        assert said
    except InputError as error:
        said = [str(error)]
    for sentence in said:
        assert len(sentence) < 1000
        assert "\n" not in sentence
