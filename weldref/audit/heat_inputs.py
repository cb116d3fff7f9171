"""Does the printed heat input follow from the printed voltage, current and travel speed?"""

from __future__ import annotations

from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, rule
from weldref.formulas.heat import arc_energy
from weldref.formulas.ranges import corners
from weldref.procedures.model import Pass, Range

ROUNDING = 0.02
"""Printed heat inputs are rounded: two readings within this share are the same."""


def corner_energies(case: Case, weld: Pass) -> tuple[float, float] | None:
    """Lowest and highest arc energy of a pass in J/m, at the corners of its windows."""
    windows = []
    for given, dimension in (
        (weld.voltage, "voltage"),
        (weld.current, "current"),
        (weld.travel_speed, "speed"),
    ):
        if given is None or given.low is None or given.high is None:
            return None
        low = case.value(given.low, given, dimension)
        high = case.value(given.high, given, dimension)
        if low is None or high is None or not 0 < low.si <= high.si:
            return None
        windows.append((low.si, high.si))
    span = corners(arc_energy, voltage=windows[0], current=windows[1], travel_speed=windows[2])
    return span.lowest.value, span.highest.value


def efficiencies(case: Case, process: str | None) -> list[tuple[float, str, str, str]]:
    """Factors that turn arc energy into heat input: k, source, place, grade; 1 is without k."""
    rows = case.store.rows(
        """
        SELECT DISTINCT value, source_id, locator, how_read FROM thermal_efficiency
        WHERE process IN ($process, $family) AND kind = 'conventional' AND status IS NULL
        """,
        {"process": process or "", "family": (process or "").split("-")[0]},
    )
    found = [(1.0, "navsea-248-r1", "4-4.1.13.2 (a), no factor", "read")]
    known = {1.0}
    for row in sorted(rows, key=lambda r: r["how_read"] != "read"):
        if row["value"] not in known:
            known.add(row["value"])
            found.append((row["value"], row["source_id"], row["locator"], row["how_read"]))
    return found


@rule(
    "heat-input-corners",
    "heat input",
    "Does the printed heat input follow from voltage, current and travel speed, and by which rule?",
    "twi-faq-heat-input",
    "text, definition of heat input",
    "read",
)
def heat_input_corners(case: Case, this: Rule) -> Iterator[Finding]:
    """Recompute at the corners, with and without thermal efficiency, and compare."""
    unprinted: dict[str, str] = {}
    first = ""
    for weld, label, process in passes(case):
        energies = corner_energies(case, weld)
        if energies is None:
            continue
        low, high = (energy / 1e6 for energy in energies)
        computed = " to ".join(dict.fromkeys((f"{low:.3g}", f"{high:.3g}"))) + " kJ/mm without k"
        if weld.heat_input is None or not weld.heat_input.stated:
            first = first or (weld.current.place if weld.current else weld.place)
            unprinted.setdefault(label, computed)
        else:
            yield from _compare(case, this, label, process, energies, weld.heat_input, computed)
    if unprinted:
        listed = "; ".join(f"{label}: {computed}" for label, computed in unprinted.items())
        yield this.finding(
            "note",
            f"no heat input is printed; the windows give: {listed}",
            place=first,
            expected=listed,
        )


def _compare(
    case: Case,
    this: Rule,
    label: str,
    process: str | None,
    energies: tuple[float, float],
    printed: Range,
    computed: str,
) -> Iterator[Finding]:
    ends = [case.value(n, printed, "heat input") if n is not None else None
            for n in (printed.low, printed.high)]  # fmt: skip
    if all(end is None for end in ends):
        return
    shown = {"place": printed.place, "value": str(printed), "expected": computed}
    agreeing = []
    for k, source_id, locator, grade in efficiencies(case, process):
        off = [
            (abs(end.si - k * energy), max(ROUNDING * k * energy, _last(printed, case)))
            for end, energy in zip(ends, energies, strict=True)
            if end is not None
        ]
        if all(apart <= allowed for apart, allowed in off):
            agreeing.append((sum(apart for apart, _ in off), k, source_id, locator, grade))
    if agreeing:
        # A roughly rounded print may follow from several readings: the nearest one counts.
        _, k, source_id, locator, grade = min(agreeing)
        reading = "without thermal efficiency" if k == 1 else f"with k = {k:g}"
        yield this.finding(
            "note",
            f"{label}: the printed heat input follows from the corners {reading}",
            source_id=source_id,
            locator=locator,
            grade=grade,
            **shown,
        )
        return
    low, high = (None if end is None else end.si for end in ends)
    if low is None and high is not None and high > energies[1]:
        yield this.finding(
            "note",
            f"{label}: the printed greatest heat input is above what the windows reach",
            **shown,
        )
        return
    narrower = (low is None or low >= energies[0] * (1 - ROUNDING)) and (
        high is None or high <= energies[1] * (1 + ROUNDING)
    )
    if narrower:
        yield this.finding(
            "question",
            f"{label}: the printed heat input is narrower than the corners of the windows: each "
            "value may be inside its window and the heat input outside its limit",
            next_step="the stated limit governs; say so beside the windows",
            source_id="csa-branch-wps-2012",
            locator="WPS sheet",
            grade="read",
            **shown,
        )
    else:
        yield this.finding(
            "contradiction",
            f"{label}: the printed heat input does not follow from voltage, current and travel "
            "speed, with or without k",
            next_step="check the units of travel speed and heat input, then the windows",
            **shown,
        )


def _last(printed: Range, case: Case) -> float:
    """Half a unit of the last printed decimal, in J/m."""
    unit = case.units.by_spelling[printed.unit]
    decimals = max(
        len(f"{n:g}".partition(".")[2]) for n in (printed.low, printed.high) if n is not None
    )
    return 0.5 * 10.0**-decimals * unit.factor
