"""Report values that are probably slips of size or unit, and windows too wide to say anything."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, rule
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.procedures.model import Range

BEYOND = 1.2
"""How far beyond everything that the tables hold a value is questioned: our choice."""

SETTINGS = {
    "current": "current",
    "voltage": "voltage",
    "wire_feed_speed": "speed",
}
"""Quantities whose extremes are known for each process, with what they measure."""


@rule(
    "plausible",
    "consistency",
    "Is each value plausible, compared with all that the tables hold for its process?",
    "",
    "",
    "read",
)
def plausible(case: Case, this: Rule) -> Iterator[Finding]:
    """Question what lies far beyond everything held for a process, and mixed scales."""
    yield from _extremes(case, this)
    yield from _sizes(case, this)
    yield from _scales(case, this)


def _extremes(case: Case, this: Rule) -> Iterator[Finding]:
    told: dict[tuple[str, str, str], list[Range]] = {}
    greatest: dict[tuple[str, str, str], dict[str, Any]] = {}
    for weld, _, process in passes(case):
        for quantity, dimension in SETTINGS.items():
            given: Range | None = getattr(weld, quantity)
            row = _greatest(case, process, quantity) if given else None
            if given is None or row is None:
                continue
            ends = [case.value(n, given, dimension) for n in (given.low, given.high) if n]
            if any(end and end.si > row["max_si"] * BEYOND for end in ends):
                key = (quantity, str(given), str(process))
                told.setdefault(key, []).append(given)
                greatest[key] = row
    for key, alike in told.items():
        quantity, value, process = key
        row = greatest[key]
        yield this.finding(
            "question",
            f"{quantity.replace('_', ' ')} {value} is far above anything that the tables hold for "
            f"{process}: is another number or unit meant?",
            place=alike[0].place,
            also_at=[given.place for given in alike[1:]],
            value=value,
            expected=f"at most {row['max']:g} {row['unit']} in any row",
            source_id=row["source_id"],
            locator=row["locator"] or "",
            grade=row["how_read"],
            next_step="confirm the number and its unit with the author",
        )


def _greatest(case: Case, process: str | None, quantity: str) -> dict[str, Any] | None:
    """The row with the greatest value of a quantity that is held for a process."""
    rows = case.store.rows(
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
        {"quantity": quantity, "process": process or ""},
    )
    return rows[0] if rows else None


def _sizes(case: Case, this: Rule) -> Iterator[Finding]:
    """An electrode thicker than any that is sold: 32 mm for 3.2."""
    found: dict[str, list[Range]] = {}
    sizes = [size for filler in case.procedure.fillers for size in filler.sizes]
    sizes += [size for weld in case.procedure.passes for size in weld.sizes]
    for size in sizes:
        if too_thick(case, size):
            found.setdefault(str(size), []).append(size)
    for shown, alike in found.items():
        yield this.finding(
            "question",
            f"electrode size {shown} is thicker than any that is sold: is the decimal point or "
            "the unit meant otherwise?",
            place=alike[0].place,
            also_at=[size.place for size in alike[1:]],
            value=shown,
            next_step="confirm the size and its unit with the author",
        )


def too_thick(case: Case, size: Range) -> bool:
    """Whether an electrode is far thicker than any in the table of sizes, carbons left out."""
    (row,) = case.store.rows(
        "SELECT greatest(max(mm) / 1000, max(inch) FILTER (inch < 1) * 0.0254) AS metres "
        "FROM electrode_sizes"
    )
    value = case.value(size.high, size, "length") if size.high else None
    return value is not None and value.si > row["metres"] * BEYOND


def _scales(case: Case, this: Rule) -> Iterator[Finding]:
    """Preheat in one scale and interpass in the other: one of the letters may be a slip."""
    procedure = case.procedure
    preheat = [r for r in procedure.preheat_min if r.stated and r.unit in ("C", "F")]
    preheat += [w.preheat_min for w in procedure.passes if w.preheat_min and w.preheat_min.stated]
    interpass = [r for r in procedure.interpass_max if r.stated and r.unit in ("C", "F")]
    interpass += [
        w.interpass_max for w in procedure.passes if w.interpass_max and w.interpass_max.stated
    ]
    scales = [{one.unit for one in stated} for stated in (preheat, interpass)]
    if all(len(scale) == 1 for scale in scales) and scales[0] != scales[1]:
        yield this.finding(
            "question",
            f"the preheat is {preheat[0]} and the interpass temperature {interpass[0]}: two "
            "scales in one document, and one of the letters may be a slip",
            place=preheat[0].place,
            also_at=[one.place for one in (*preheat[1:], *interpass)],
            value=f"{preheat[0]}, {interpass[0]}",
            next_step="confirm the scale of both with the author",
        )


@rule(
    "window-width",
    "consistency",
    "Is each window narrow enough to say something?",
    "",
    "",
    "read",
)
def window_width(case: Case, this: Rule) -> Iterator[Finding]:
    """Question a window wider than any published one for a single size of electrode."""
    told: dict[tuple[str, str], list[tuple[str, Range, dict[str, Any]]]] = {}
    for weld, label, process in passes(case):
        sizes = case.sizes(weld)
        if len(sizes) != 1 or not sizes[0].single:
            continue  # a window for several sizes may well be wide
        for quantity, dimension in SETTINGS.items():
            given: Range | None = getattr(weld, quantity)
            row = _widest(case, process, quantity) if given else None
            if given is None or row is None or not given.low or not given.high:
                continue
            value = case.value(given.low, given, dimension)
            if value is not None and given.high / given.low > row["ratio"] * (1 + 1e-6):
                told.setdefault((quantity, str(given)), []).append((label, given, row))
    for (quantity, shown), alike in told.items():
        _, first, row = alike[0]
        labels = ", ".join(dict.fromkeys(label for label, _, _ in alike))
        yield this.finding(
            "question",
            f"{labels}: {quantity.replace('_', ' ')} {shown} is wider than any published range for "
            "one size of electrode: it says little",
            place=first.place,
            also_at=[given.place for _, given, _ in alike[1:]],
            value=shown,
            expected=f"the widest: {row['min']:g} to {row['max']:g} {row['unit']}",
            source_id=row["source_id"],
            locator=row["locator"] or "",
            grade=row["how_read"],
            next_step="narrow the window, or state one for each pass",
        )


def _widest(case: Case, process: str | None, quantity: str) -> dict[str, Any] | None:
    """The widest range that is published for one size in a process, by its ratio of ends."""
    rows = case.store.rows(
        """
        SELECT max_si / min_si AS ratio, min, max, unit, source_id, locator, how_read
        FROM windows WHERE quantity = $quantity AND min_si > 0 AND max_si IS NOT NULL
        AND electrode_size IS NOT NULL AND other_condition IS NULL
        AND list_contains($bases, basis) AND process IN (
            SELECT broader FROM broader_terms WHERE tree = 'processes' AND term = $process
        )
        ORDER BY ratio DESC LIMIT 1
        """,
        {"quantity": quantity, "process": process or "", "bases": list(VERDICT_BASES)},
    )
    return rows[0] if rows else None
