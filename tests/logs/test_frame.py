"""A frame of settings is checked row by row in the words of `weldref.check`."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weldref
from tests.logs.records import QUANTITIES, Records
from weldref.core.check import CheckResult
from weldref.data.store import open_store
from weldref.errors import InputError

OPTIONS = st.fixed_dictionaries(
    {"units": st.sampled_from(["us", "metric"]), "grade": st.sampled_from(["read", "memory"])}
)


def asked(row: dict[str, Any], **options: Any) -> CheckResult | str:
    """What `check` says of a row, or the sentence with which it refuses it."""
    said = {name: cell for name, cell in row.items() if cell != ""}
    try:
        return weldref.check(**said, **options)
    except InputError as error:
        return str(error)


def cell(value: Any) -> Any:
    return None if pd.isna(value) else value


def compare(rows: list[dict[str, Any]], **options: Any) -> Counter[str]:
    """Compare every row; return how often each word was given."""
    frame = pd.DataFrame(rows)
    checked = weldref.check_frame(frame, **options)
    pd.testing.assert_frame_equal(checked[[*frame.columns]], frame)
    words: Counter[str] = Counter()
    for row, line in zip(rows, checked.to_dict("records"), strict=True):
        answer = asked(row, **options)
        if isinstance(answer, str):
            # `check` refuses the row for its first fault; the frame names one, and says of a
            # good reading in it what `check` says of that alone.
            assert isinstance(line["problem"], str), (row, answer)
            words["problem"] += 1
            continue
        assert pd.isna(line["problem"]), (row, line["problem"])
        for reading in answer.readings:
            name = reading.quantity
            got = {what: cell(line[f"{name}_{what}"]) for what in ("verdict", "by", "fit", "ask")}
            words[reading.verdict] += 1
            assert got == {
                "verdict": reading.verdict,
                "by": reading.by,
                "fit": reading.fit,
                # Which kind of metal a code means is asked in a check alone.
                "ask": reading.ask.condition
                if reading.ask and reading.verdict == "depends"
                else None,
            }, (row, name)
    return words


def drawn(seed: int, count: int) -> list[dict[str, Any]]:
    records = Records(open_store()).draw(seed, count)
    return [
        {("joint" if name == "joint_type" else name): text for name, text in record.items()}
        for record in records
        if any(record[quantity] for quantity in QUANTITIES)
    ]


@settings(max_examples=8)
@given(seed=st.integers(0, 2**32), options=OPTIONS)
def test_random_rows_as_text(seed: int, options: dict[str, Any]) -> None:
    compare(drawn(seed, 12), **options)


NUMBERS = st.fixed_dictionaries(
    {
        "process": st.sampled_from(["GMAW", "SMAW", "stick", "GTAW", "FCAW"]),
        "transfer_mode": st.sampled_from(["", "spray", "short circuit"]),
        "material": st.sampled_from(["mild steel", "304", "6061", "4140", ""]),
        "gas": st.sampled_from(["", "argon", "CO2", "75/25"]),
        "diameter": st.sampled_from([0.035, 0.125, 0.9, 3.2]),
        "thickness": st.floats(0.02, 4.0),
        "current": st.floats(1.0, 600.0),
        "preheat": st.floats(0.0, 800.0),
        "interpass": st.floats(100.0, 800.0),
    }
)


@settings(max_examples=20)
@given(rows=st.lists(NUMBERS, min_size=1, max_size=8), options=OPTIONS)
def test_random_rows_of_numbers(rows: list[dict[str, Any]], options: dict[str, Any]) -> None:
    compare(rows, **options)


def test_the_samples_reach_nearly_every_word() -> None:
    known = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}
    rows = drawn(3, 60)
    empty = dict.fromkeys(rows[0], "")
    rows += [{**empty, **known, "current": current} for current in ("60", "130", "250")]
    rows.append({**empty, "process": "SMAW", "electrode": "E7018", "current": "130"})
    words = compare(rows)
    # Documents that differ are rare among the rows that ship; `test_profile` invents some.
    assert set(words) >= {*("inside", "low", "high", "depends", "no published range", "problem")}


def test_a_setup_that_cannot_be_passes_nothing() -> None:
    """130 A of a 1/8 in rod burns through 0.03 in; tungsten in carbon dioxide never works."""
    stick = {"process": "SMAW", "electrode": "E7018", "diameter": 0.125, "current": 130.0}
    rows = [
        {**stick, "thickness": np.nan},
        {**stick, "thickness": 0.03},
        {"process": "GTAW", "gas": "CO2", "current": 130.0},
    ]
    checked = weldref.check_frame(pd.DataFrame(rows))
    nothing = "no published range"
    assert checked.current_verdict.tolist() == ["inside", nothing, nothing]
    said = [{name: cell for name, cell in row.items() if cell == cell} for row in rows]
    assert [weldref.check(**one).verdict for one in said] == ["inside", nothing, nothing]  # type: ignore[arg-type]


def test_a_value_that_cannot_be_holds_back_no_other() -> None:
    """150 A burns through 22 gauge; what the sheet's preheat is has nothing to do with it."""
    work = {"process": "GMAW", "material": "carbon steel", "diameter": "0.035 in"}
    row = {**work, "thickness": "0.03 in", "code": "ASME B31.3", "current": 150.0, "preheat": 250.0}
    assert compare([row], grade="read") == {"no published range": 1, "inside": 1}


def test_bad_cells_are_told_in_their_row_and_nowhere_else() -> None:
    frame = pd.DataFrame(
        {
            "process": ["SMAW", "alchemy", "SMAW", "SMAW", None],
            "electrode": ["E7018"] * 5,
            "diameter": ["1/8", "1/8", "1/8", "1/8", "x"],
            "current": ["130", "130", "banana", "90000", "130"],
            "voltage": [22.0, 22.0, np.inf, np.nan, 22.0],
        },
        index=[7, 7, 8, 9, 10],
    )
    checked = weldref.check_frame(frame)
    assert [*checked.index] == [7, 7, 8, 9, 10]
    said = checked.problem.tolist()
    assert pd.isna(said[0])
    assert "process" in said[1]
    assert "'alchemy'" in said[1]
    assert said[2] == "current: 'banana' is not a number with a unit; give for example '130 A'"
    assert "not plausible" in said[3]
    assert said[4].startswith("diameter")
    assert [cell(word) for word in checked.current_verdict] == ["inside", *[None] * 4]


def test_a_gauge_is_a_thickness_of_some_metals_alone() -> None:
    metals = ("mild steel", "6061", "304", "")
    words = compare([{"material": m, "thickness": "11 ga", "current": "90"} for m in metals])
    assert words["problem"] == 1


def test_numbers_read_like_the_words_they_stand_for() -> None:
    """A column of numbers with a gap holds floats: 7018.0 is the electrode 7018."""
    frame = pd.DataFrame({"electrode": [7018, None], "diameter": [0.125, 0.125],
                          "process": pd.Categorical(["SMAW", "SMAW"]),
                          "current": pd.array([250, None], dtype="Int64")})  # fmt: skip
    checked = weldref.check_frame(frame)
    assert checked.current_verdict.tolist()[0] == "high"
    assert checked.current_by.tolist()[0] == 90.0
    assert pd.isna(checked.current_verdict[1])
    assert checked.problem.isna().all()


def test_headings_units_and_what_holds_for_every_row() -> None:
    frame = pd.DataFrame({"wire": [0.9], "ch1": [180], "ts (mm/s)": [5], "operator": ["x"]})
    checked = weldref.check_frame(
        frame,
        {"diameter": "wire", "current": "ch1", "travel_speed": "ts (mm/s)"},
        unit_of={"diameter": "mm"},
        process="GMAW",
        material="mild steel",
    )
    (reading,) = weldref.check(
        process="GMAW", material="mild steel", diameter="0.9 mm", travel_speed="5 mm/s"
    ).readings
    assert checked.travel_speed_verdict.tolist() == [reading.verdict]
    assert checked.attrs["not_read"] == ["operator"]
    assert checked.attrs["read_as"]["ch1"] == "current: 'ch1' in A"
    assert len(checked.attrs["digest"]) == 64


def test_types_do_not_depend_on_the_rows() -> None:
    full = pd.DataFrame({"process": ["SMAW"], "current": [130.0]})
    some, none = weldref.check_frame(full), weldref.check_frame(full.head(0))
    assert some.dtypes.to_dict() == none.dtypes.to_dict()
    assert none.empty


@pytest.mark.parametrize(
    ("frame", "options", "sentence"),
    [
        ({"a": [1]}, {}, "no column holds readings"),
        ({"current": [1], "problem": [""]}, {}, "has a column 'problem'"),
        ({"current": [1], "process": ["SMAW"]}, {"process": "SMAW"}, "process: given for every"),
        ({"current": [1]}, {"procces": "SMAW"}, "'procces' is not a condition"),
        ({"current": [1]}, {"process": "alchemy"}, "'alchemy'"),
        ({"current": [1]}, {"grade": "hearsay"}, "grade: 'hearsay'"),
        ({"current": [1]}, {"units": "cgs"}, "units: 'cgs'"),
        ({"current": [1]}, {"columns": {"voltage": "ch2"}}, "no column 'ch2'"),
    ],
)
def test_what_is_wrong_with_the_whole_frame_is_one_sentence(
    frame: dict[str, Any], options: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence) as caught:
        weldref.check_frame(pd.DataFrame(frame), **options)
    assert "\n" not in str(caught.value)
