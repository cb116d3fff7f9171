"""Report values that are probably slips of size or unit, and windows too wide to say anything."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Alike, Finding, Rule, rule, source_of
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.procedures.model import Range, gather

BEYOND = 1.2
"""A value this many times the greatest that the tables hold is questioned: our choice."""

SETTINGS = {"current": "current", "voltage": "voltage", "wire_feed_speed": "speed"}
"""Quantities whose extremes are known for each process, with their dimension."""


@rule("plausible")
def plausible(case: Case, this: Rule) -> Iterator[Finding]:
    """Question values far beyond all that the tables hold, and mixed scales."""
    yield from _extremes(case, this)
    yield from _sizes(case, this)
    yield from _scales(case, this)


def _extremes(case: Case, this: Rule) -> Iterator[Finding]:
    alike = Alike(this)
    for weld, _, process in passes(case):
        for quantity, dimension in SETTINGS.items():
            given: Range | None = getattr(weld, quantity)
            row = _greatest(case, process, quantity) if given else None
            if given is None or row is None:
                continue
            ends = case.ends(given, dimension)
            if any(end is not None and end > row["max_si"] * BEYOND for end in ends):
                alike.add(
                    "extreme", given.place, str(given), source=source_of(row),
                    quantity=quantity.replace("_", " "), given=str(given), process=process,
                    most=row["max"], unit=row["unit"],
                )  # fmt: skip
    yield from alike.findings()


def _greatest(case: Case, process: str | None, quantity: str) -> dict[str, Any] | None:
    """The row with the greatest value of a quantity for a process."""
    rows = case.rows(
        """
        SELECT coalesce(max_si, typical_si) AS max_si, coalesce(max, typical) AS max, unit,
            source_id, locator, how_read
        FROM windows WHERE quantity = $quantity AND coalesce(max_si, typical_si) IS NOT NULL
        AND process IN (
            SELECT term FROM broader_terms WHERE tree = 'processes' AND broader = $process
            UNION SELECT broader FROM broader_terms WHERE tree = 'processes' AND term = $process
        )
        ORDER BY max_si DESC LIMIT 1
        """,
        quantity=quantity,
        process=process or "",
    )
    return rows[0] if rows else None


def _sizes(case: Case, this: Rule) -> Iterator[Finding]:
    """An electrode thicker than any that is sold: 32 mm for 3.2."""
    alike = Alike(this)
    for size in gather(case.procedure, "fillers.sizes", "passes.sizes"):
        if too_thick(case, size):
            alike.add("size", size.place, str(size), size=str(size))
    yield from alike.findings()


def too_thick(case: Case, size: Range) -> bool:
    """Whether an electrode is far thicker than any in the table of sizes, except carbons."""
    (row,) = case.rows(
        "SELECT greatest(max(mm) / 1000, max(inch) FILTER (inch < 1) * 0.0254) AS metres "
        "FROM electrode_sizes"
    )
    metres = case.si(size.high, size, "length")
    return metres is not None and metres > row["metres"] * BEYOND


def _scales(case: Case, this: Rule) -> Iterator[Finding]:
    """Preheat in one scale and interpass in the other: one of the letters may be a slip."""
    preheat, interpass = (_in_scales(case, name) for name in ("preheat_min", "interpass_max"))
    scales = [{one.unit for one in stated} for stated in (preheat, interpass)]
    if all(len(scale) == 1 for scale in scales) and scales[0] != scales[1]:
        yield this.finding(
            "scales", [one.place for one in (*preheat, *interpass)],
            value=f"{preheat[0]}, {interpass[0]}", preheat=preheat[0], interpass=interpass[0],
        )  # fmt: skip


def _in_scales(case: Case, name: str) -> list[Range]:
    own = [one for one in gather(case.procedure, name) if one.unit in ("C", "F")]
    return [one for one in (*own, *gather(case.procedure, f"passes.{name}")) if one.stated]


@rule("window-width")
def window_width(case: Case, this: Rule) -> Iterator[Finding]:
    """Question a window wider than any published one for a single size of electrode."""
    alike = Alike(this)
    for weld, label, process in passes(case):
        sizes = case.sizes(weld)
        if len(sizes) != 1 or not sizes[0].single:
            continue  # a window for several sizes may well be wide
        for quantity, dimension in SETTINGS.items():
            given: Range | None = getattr(weld, quantity)
            row = _widest(case, process, quantity) if given else None
            if given is None or row is None or not given.low or not given.high:
                continue
            known = case.ends(given, dimension)[0] is not None
            if known and given.high / given.low > row["ratio"] * (1 + 1e-6):
                alike.add(
                    "", given.place, str(given), label, source=source_of(row),
                    quantity=quantity.replace("_", " "), given=str(given), least=row["min"],
                    most=row["max"], unit=row["unit"],
                )  # fmt: skip
    yield from alike.findings()


def _widest(case: Case, process: str | None, quantity: str) -> dict[str, Any] | None:
    """The widest range that is published for one size in a process, by its ratio of ends."""
    rows = case.rows(
        """
        SELECT max_si / min_si AS ratio, min, max, unit, source_id, locator, how_read
        FROM windows WHERE quantity = $quantity AND min_si > 0 AND max_si IS NOT NULL
        AND electrode_size IS NOT NULL AND other_condition IS NULL
        AND list_contains(string_split($bases, '; '), basis) AND process IN (
            SELECT broader FROM broader_terms WHERE tree = 'processes' AND term = $process
        )
        ORDER BY ratio DESC LIMIT 1
        """,
        quantity=quantity,
        process=process or "",
        bases="; ".join(VERDICT_BASES),
    )
    return rows[0] if rows else None
