"""The chart for a notebook draws the rows and the value that were asked for."""

from __future__ import annotations

import sys

import pytest

import weldref
from weldref.errors import InputError

STICK = weldref.Situation(process="SMAW", electrode="E7018", diameter="1/8", grade="read")


def values(chart: dict[str, object]) -> list[dict[str, object]]:
    return [row for rows in chart["datasets"].values() for row in rows]  # type: ignore[attr-defined]


def test_a_bar_for_each_row_and_your_value() -> None:
    chart = weldref.plot(STICK, "current", "150 A").to_dict()
    drawn = values(chart)
    assert any((row.get("from"), row.get("to")) == (110.0, 160.0) for row in drawn)
    assert any(row.get("text") == "yours: 150 A" for row in drawn)
    assert chart["width"] == 640


def test_every_thickness_with_your_own() -> None:
    bench = weldref.Situation(
        process="GTAW", material="aluminium", polarity="AC", thickness="3 mm", units="metric"
    )
    drawn = values(weldref.plot(bench, "current", by="thickness").to_dict())
    assert sum("high" in row for row in drawn) > 3
    assert any(row.get("text") == "your thickness" and row["left"] == 3.0 for row in drawn)


def test_a_value_is_converted_to_the_scale() -> None:
    bench = weldref.Situation(process="GMAW", material="mild steel", units="us")
    drawn = values(weldref.plot(bench, "wire feed speed", "10 m/min").to_dict())
    assert any(row.get("value") == 393.701 for row in drawn)


def test_what_cannot_be_drawn_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="plot: nothing is published of current for EGW"):
        weldref.plot(weldref.Situation(process="EGW"), "current")
    with pytest.raises(InputError, match="by: 'size' is not accepted"):
        weldref.plot(STICK, "current", by="size")  # type: ignore[arg-type]
    for name in [name for name in sys.modules if name.startswith(("altair", "weldref.charts."))]:
        if name != "weldref.charts.plot":
            monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "altair", None)
    with pytest.raises(InputError, match="altair is not installed"):
        weldref.plot(STICK, "current")
