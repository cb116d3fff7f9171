"""Frames of what is published: tidy, typed, in one unit, the same without rows."""

from __future__ import annotations

from pathlib import Path

import pytest

import weldref

STICK = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}


def test_ranges_say_what_the_rows_say() -> None:
    frame = weldref.Situation(**STICK, grade="read").ranges("current")
    first = frame.iloc[0]
    assert (first["min"], first["max"], first.unit) == (110.0, 160.0, "A")
    assert (first.source, first.locator) == ("machinerys-handbook-31", "p. 1594 Table 14")
    assert (first.fit, first.grade, first.electrode_size) == ("near", "read", "1/8 in")
    assert first.title.startswith("Machinery's Handbook")
    assert frame.attrs["situation"]["process"] == "SMAW"
    assert len(frame.attrs["digest"]) == 64


def test_ranges_come_in_the_unit_that_was_asked_for() -> None:
    bench = weldref.Situation(process="GMAW", material="mild steel", diameter=".035")
    us, metric = (bench.ranges("wire feed speed", units=u) for u in ("us", "metric"))  # type: ignore[arg-type]
    assert set(us.unit) == {"in/min"}
    assert len(set(metric.unit)) == 1
    factor = {"m/min": 0.0254, "mm/min": 25.4}[metric.unit[0]]
    both = us["max"].dropna() * factor
    assert metric["max"].dropna().tolist() == pytest.approx(both.tolist(), rel=1e-5)


def test_types_and_columns_are_the_same_whatever_is_asked() -> None:
    bench = weldref.Situation(**STICK)
    some, none = bench.ranges("current"), weldref.Situation(process="EGW").ranges("current")
    assert not some.empty
    assert none.empty
    assert [str(kind) for kind in some.dtypes] == [str(kind) for kind in none.dtypes]
    assert [*some.columns[:5]] == ["quantity", "min", "max", "typical", "unit"]
    assert [*some.columns[-7:]] == [
        *("fit", "grade", "basis", "source", "title", "locator", "own"),
    ]
    assert some.fit.cat.ordered
    assert (some.grade >= "memory").all()
    assert some["min"].dtype == none["min"].dtype == "float64"
    answer = bench.check(current=130).to_frame()
    assert {str(kind) for kind in answer.dtypes} == {"str", "float64", "category"}


def test_the_closest_fit_and_the_best_grade_come_first() -> None:
    frame = weldref.Situation(**STICK).ranges("current")
    assert frame.fit.is_monotonic_decreasing
    for _, same in frame.groupby("fit", observed=True):
        assert same.grade.is_monotonic_decreasing


def test_every_quantity_has_its_own_unit() -> None:
    frame = weldref.Situation(**STICK).ranges()
    assert len(frame.quantity.unique()) > 3
    assert (frame.groupby("quantity", observed=True).unit.nunique() == 1).all()


def test_own_rows_are_marked(workshop: Path) -> None:
    bench = weldref.Situation(process="GMAW", own=workshop)
    frame = bench.ranges()
    assert frame.own.any()
    assert not frame.own.all()


def test_a_check_as_a_frame() -> None:
    answer = weldref.check(process="SMAW", electrode="E7018", current=130, voltage=22)
    frame = answer.to_frame()
    assert frame.quantity.tolist() == ["current", "voltage"]
    assert frame.verdict.tolist() == [reading.verdict for reading in answer.readings]
    assert frame["ask"][0] == "electrode_size"
    assert frame.attrs["version"] == answer.dataset["version"]
