"""Check that the printed heat input follows from the printed voltage, current and travel speed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, Source, rule, source_of
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
        if given is None:
            return None
        low, high = (case.si(end, given, dimension) for end in (given.low, given.high))
        if low is None or high is None or not 0 < low <= high:
            return None
        windows.append((low, high))
    span = corners(arc_energy, voltage=windows[0], current=windows[1], travel_speed=windows[2])
    return span.lowest.value, span.highest.value


@dataclass(frozen=True, slots=True)
class Corner:
    """The least and the greatest heat input of a pass, with the arithmetic, and what is printed."""

    label: str
    least: str
    greatest: str
    printed: str


def worked(case: Case) -> tuple[Corner, ...]:
    """Work the corners of each pass out, in the document's own units, without thermal efficiency.

    The least heat input is that of the least voltage and current at the greatest speed.
    """
    found = []
    for weld, label, _ in passes(case):
        volts, amps, speed = weld.voltage, weld.current, weld.travel_speed
        if not (volts and amps and speed) or corner_energies(case, weld) is None:
            continue
        unit = case.units.by_spelling[speed.unit].label
        length, _, time = unit.partition("/")
        if time not in ("min", "s") or volts.unit != "V" or amps.unit != "A":
            continue
        factor, shown = (60, " x 60") if time == "min" else (1, "")
        ends = [
            f"{v:g} V x {a:g} A{shown} / ({s:g} {unit} x 1000) = "
            f"{v * a * factor / (s * 1000):.3g} kJ/{length}"
            for v, a, s in (
                (volts.low or 0, amps.low or 0, speed.high or 1),
                (volts.high or 0, amps.high or 0, speed.low or 1),
            )
        ]
        printed = str(weld.heat_input) if weld.heat_input is not None else ""
        found.append(Corner(label, ends[0], ends[1], printed))
    return tuple(found)


def efficiencies(case: Case, process: str | None) -> list[tuple[float, Source]]:
    """Factors that turn arc energy into heat input, k with its source; 1 is without k."""
    rows = case.rows(
        """
        SELECT DISTINCT value, source_id, locator, how_read FROM thermal_efficiency
        WHERE process IN ($process, $family) AND kind = 'conventional' AND status IS NULL
        """,
        process=process or "",
        family=(process or "").split("-")[0],
    )
    found = {1.0: ("navsea-248-r1", "4-4.1.13.2 (a), no factor", "read")}
    for row in sorted(rows, key=lambda r: r["how_read"] != "read"):
        found.setdefault(row["value"], source_of(row))
    return list(found.items())


@rule("heat-input-corners")
def heat_input_corners(case: Case, this: Rule) -> Iterator[Finding]:
    """Recompute at the corners, with and without thermal efficiency, and compare.

    Rows that share a label are one pass in several sizes: where a heat input is printed for one
    of them, or once for the whole document, the corners of all of them count.
    """
    yield from _once(_compared(case, this))


def _once(found: Iterable[Finding]) -> Iterator[Finding]:
    """Tell once what is said of several passes in the same words, with all places and values."""
    alike: dict[tuple[str, str, str], list[tuple[str, Finding]]] = {}
    for one in found:
        label, _, said = one.what.partition(": ")
        alike.setdefault((one.severity, said, one.source_id), []).append((label, one))
    for (_, said, _), same in alike.items():
        first = same[0][1]
        if len(same) == 1:
            yield first
            continue
        yield replace(
            first,
            what=f"{', '.join(dict.fromkeys(label for label, _ in same))}: {said}",
            also_at=tuple(place for _, one in same for place in (one.place, *one.also_at)
                          if place != first.place),
            value="; ".join(dict.fromkeys(one.value for _, one in same)),
            expected="; ".join(f"{label}: {one.expected}" for label, one in same),
        )  # fmt: skip


def _compared(case: Case, this: Rule) -> Iterator[Finding]:
    procedure = case.procedure
    rows: dict[str, list[tuple[Pass, str | None, tuple[float, float] | None]]] = {}
    for weld, label, process in passes(case):
        rows.setdefault(label, []).append((weld, process, corner_energies(case, weld)))
    unprinted: dict[str, tuple[float, float]] = {}
    for label, alike in rows.items():
        bare = [energies for weld, _, energies in alike if not _prints(weld) and energies]
        for weld, process, energies in alike:
            if _prints(weld) and weld.heat_input is not None:
                every = [*bare, *([energies] if energies else [])]
                yield from _compare(case, this, label, process, every, weld.heat_input)
        if bare and len(bare) == len([1 for _, _, energies in alike if energies]):
            unprinted[label] = _widest(bare)
    everything = [energies for alike in rows.values() for _, _, energies in alike if energies]
    stated = [given for given in procedure.heat_input if given.stated]
    for given in stated:
        process = case.processes[0] if len(case.processes) == 1 else None
        yield from _compare(case, this, "all passes", process, everything, given)
    if unprinted and not stated:
        listed = "; ".join(f"{label}: {_span(case, ends)}" for label, ends in unprinted.items())
        places = [
            weld.current.place if weld.current else weld.place
            for label in unprinted
            for weld, _, _ in rows[label]
        ]
        yield this.finding("unprinted", places, listed=listed)


def _prints(weld: Pass) -> bool:
    return weld.heat_input is not None and weld.heat_input.stated


def _widest(every: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return min(low for low, _ in every), max(high for _, high in every)


def _span(case: Case, energies: tuple[float, float], unit: str = "") -> str:
    """Write a span of arc energy, given in J/m, in a unit or in the document's own."""
    shown = unit or ("kJ/mm" if case.system == "metric" else "kJ/in")
    ends = dict.fromkeys(f"{case.units.convert(end, shown):.3g}" for end in energies)
    return f"{' to '.join(ends)} {shown} without k"


def _compare(
    case: Case,
    this: Rule,
    label: str,
    process: str | None,
    every: Sequence[tuple[float, float]],
    printed: Range,
) -> Iterator[Finding]:
    ends = [case.si(end, printed, "heat input") for end in (printed.low, printed.high)]
    if all(end is None for end in ends):
        return
    if not every:
        yield this.finding("open", [printed.place], value=str(printed), label=label)
        return
    energies = _widest(every)
    shown: dict[str, Any] = {
        "at": [printed.place],
        "value": str(printed),
        "expected": _span(case, energies, printed.unit),
        "label": label,
    }
    factors = efficiencies(case, process)
    agreeing = []
    for k, source in factors:
        off = [
            (abs(end - k * energy), max(ROUNDING * k * energy, _last(printed, case)))
            for end, energy in zip(ends, energies, strict=True)
            if end is not None
        ]
        if all(apart <= allowed for apart, allowed in off):
            agreeing.append((sum(apart for apart, _ in off), k, source))
    if agreeing:
        # A roughly rounded print may follow from several readings: the nearest one counts.
        _, k, source = min(agreeing)
        yield this.finding("follows", source=source, reading=_reading(k), **shown)
        return
    low, high = ends
    for k, source in factors:
        least, most = (k * energy for energy in energies)
        if high is None or high < most * (1 - ROUNDING):
            continue
        if low is None or low <= least * (1 + ROUNDING):
            yield this.finding("wider", source=source, reading=_reading(k), **shown)
            return
    narrower = (low is None or low >= energies[0] * (1 - ROUNDING)) and (
        high is None or high <= energies[1] * (1 + ROUNDING)
    )
    if narrower:
        source = ("csa-branch-wps-2012", "WPS sheet", "read")
        yield this.finding("narrower", source=source, **shown)
    else:
        yield this.finding("differs", **shown)


def _reading(k: float) -> str:
    return "without thermal efficiency" if k == 1 else f"with k = {k:g}"


def _last(printed: Range, case: Case) -> float:
    """Half a unit of the last printed decimal, in J/m."""
    unit = case.units.by_spelling[printed.unit]
    decimals = max(
        len(f"{n:g}".partition(".")[2]) for n in (printed.low, printed.high) if n is not None
    )
    return 0.5 * 10.0**-decimals * unit.factor
