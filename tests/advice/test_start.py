"""Where to start: what is printed, the middle of what print allows, or nothing and why."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from weldref.advice.start import start_here
from weldref.core.lookup import Match, find
from weldref.core.situation import describe
from weldref.core.units import Units
from weldref.data.store import open_store


def row(store, low=None, high=None, typical=None, **other):
    """An invented row of current with the columns that a rule reads."""
    columns = {c["column_name"]: None for c in store.rows("DESCRIBE windows")}
    grade = other.pop("grade", "read")
    said = {
        **columns,
        "window_id": f"invented:{low}-{high}-{typical}-{sorted(other.items())}",
        "quantity": "current",
        "unit": "A",
        "basis": "recommended",
        "source_id": "invented",
        "source": "An invented document",
        "how_read": grade,
        "min": low,
        "max": high,
        "typical": typical,
        "min_si": low,
        "max_si": high,
        "typical_si": typical,
        **other,
    }
    left_open = ("position", "joint", "transfer_mode")
    assumed = {name: -1 for name in left_open if said[name] is not None}
    return Match(said, {"process": 0, **assumed}, (), grade)


def start(store, *rows):
    return start_here(store, rows, "current", "A", "us")


def test_a_printed_setting_comes_before_a_middle(store):
    point = start(store, row(store, 100, 200, typical=130))
    assert [(s.value, s.kind, s.verdict) for s in point.starts] == [
        (130, "printed setting", "inside")
    ]


def test_printed_settings_that_differ_are_all_given_and_never_averaged(store):
    one, other = row(store, typical=120), row(store, typical=140, source_id="another")
    assert {s.value for s in start(store, one, other).starts} == {120, 140}


def test_a_printed_setting_outside_another_documents_window_says_so(store):
    point = start(store, row(store, typical=250), row(store, 100, 200, source_id="another"))
    assert [(s.value, s.verdict) for s in point.starts] == [(250, "high")]


def test_the_middle_is_that_of_what_all_windows_share(store):
    point = start(store, row(store, 100, 160), row(store, 120, 200, source_id="another"))
    (found,) = point.starts
    assert (found.value, found.kind, found.window) == (140, "middle of the overlap", (120, 160))
    assert len(found.rows) == 2


@pytest.mark.parametrize(
    ("windows", "why"),
    [
        ([(100, None)], "a minimum alone"),
        ([(None, 100)], "a maximum alone"),
        ([(100, 120), (130, 150)], "do not overlap"),
    ],
)
def test_without_a_middle_it_says_why(store, windows, why):
    rows = [row(store, *ends, source_id=f"document {n}") for n, ends in enumerate(windows)]
    point = start(store, *rows)
    assert point.starts == ()
    assert why in point.why_not


def test_two_windows_of_one_document_are_a_choice_and_have_no_middle(store):
    point = start(store, row(store, 100, 160), row(store, 120, 200))
    assert point.starts == ()
    assert "choose one" in point.why_not


def test_memory_is_asked_only_where_print_is_silent_and_is_marked(store):
    recalled = row(store, 100, 200, grade="memory", source_id="recalled")
    assert [s.grade for s in start(store, recalled).starts] == ["memory"]
    # A printed minimum has no middle, and memory must not lend it one.
    assert start(store, row(store, 90, None), recalled).starts == ()


def test_what_somebody_once_did_is_no_start(store):
    point = start(store, row(store, 100, 200, typical=150, basis="procedure-used"))
    assert point.starts == ()
    assert "nothing is published" in point.why_not


ENDS = some.tuples(some.integers(1, 500), some.integers(0, 200)).map(lambda p: (p[0], sum(p)))


@given(some.lists(ENDS, min_size=1, max_size=4))
def test_a_middle_lies_in_every_window(windows):
    store = open_store()
    rows = [row(store, *ends, source_id=f"document {n}") for n, ends in enumerate(windows)]
    point = start(store, *rows)
    low, high = max(low for low, _ in windows), min(high for _, high in windows)
    touching = low == high and all(least < most for least, most in windows)
    assert bool(point.starts) == (low <= high and not touching)
    assert ("only touch" in point.why_not) == touching
    for found in point.starts:
        assert all(low <= found.value <= high for low, high in windows)


def test_windows_of_different_transfer_modes_have_no_middle(store):
    short = row(store, 100, 200, transfer_mode="short-circuiting", source_id="document 1")
    globular = row(store, 120, 300, transfer_mode="globular", source_id="document 2")
    point = start(store, short, globular)
    assert point.starts == ()
    assert point.why_not == "the windows are for different transfer modes: say which"


@pytest.mark.parametrize("process", ["SMAW", "GMAW", "GTAW", "FCAW", "PAC", "OFC"])
def test_every_start_of_the_tables_is_printed_or_a_middle(store, process):
    matches = find(store, describe(store, process=process))
    units = Units(store)
    for quantity in ("current", "voltage", "travel_speed", "gas_flow"):
        unit = next((m.row["unit"] for m in matches if m.row["quantity"] == quantity), "A")
        for found in start_here(store, matches, quantity, unit, "us").starts:
            if found.window is None:
                assert found.value == found.rows[0].typical
            else:
                assert found.value == pytest.approx(sum(found.window) / 2)
            assert found.unit in units.by_spelling
