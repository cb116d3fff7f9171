"""Check that the printed heat input follows from the printed voltage, current and travel speed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, Source, rule, source_of
from weldref.formulas.heat import arc_energy
from weldref.formulas.ranges import corners
from weldref.procedures.model import Pass, Range

ROUNDING = 0.02
"""Printed heat inputs are rounded: two within this share of each other are the same."""


def corner_energies(case: Case, weld: Pass) -> tuple[float, float] | None:
    """Lowest and highest arc energy of a pass in J/m, at the corners of its windows."""
    windows = []
    for given, dimension in (
        (weld.voltage, "voltage"),
        (weld.current, "current"),
        (weld.travel_speed, "speed"),
    ):
        low, high = case.ends(given, dimension) if given is not None else (None, None)
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


Energies = tuple[float, float]
"""Lowest and highest arc energy in J/m."""

Printed = tuple[str, str | None, list[Energies], Range]
"""A printed heat input: label of its passes, process, their energies, the range."""


@rule("heat-input-corners")
def heat_input_corners(case: Case, this: Rule) -> Iterator[Finding]:
    """Recompute at the corners, with and without thermal efficiency, and compare.

    Several passes with the same result share one finding, with all places and values.
    """
    printed, unprinted = _printed(case)
    told: dict[tuple[str, str, str], list[tuple[Printed, str, Source | None]]] = {}
    for one in printed:
        if all(end is None for end in case.ends(one[3], "heat input")):
            continue
        key, reading, source = _compare(case, one)
        expected = _span(case, one[2], one[3].unit) if one[2] else ""
        alike = told.setdefault((key, reading, source[0] if source else ""), [])
        alike.append((one, expected, source))
    for (key, reading, _), same in told.items():
        ranges = [one[3] for one, _, _ in same]
        shown = [f"{one[0]}: {expected}" for one, expected, _ in same if expected]
        yield this.finding(
            key, [given.place for given in ranges], source=same[0][2], reading=reading,
            label=", ".join(dict.fromkeys(one[0] for one, _, _ in same)),
            value="; ".join(dict.fromkeys(map(str, ranges))),
            expected="; ".join(shown) if len(same) > 1 else same[0][1],
        )  # fmt: skip
    if unprinted:
        ends = {label: _span(case, every) for label, (every, _) in unprinted.items()}
        places = [weld.current.place if weld.current else weld.place
                  for _, welds in unprinted.values() for weld in welds]  # fmt: skip
        listed = "; ".join(f"{label}: {span}" for label, span in ends.items())
        yield this.finding("unprinted", places, listed=listed)


def _printed(case: Case) -> tuple[list[Printed], dict[str, tuple[list[Energies], list[Pass]]]]:
    """The printed heat inputs, and by label the passes without one.

    Rows that share a label are one pass in several sizes: if a heat input is printed for one
    of them, or once for the whole document, the corners of all of them count.
    """
    rows: dict[str, list[tuple[Pass, str | None, Energies | None]]] = {}
    for weld, label, process in passes(case):
        rows.setdefault(label, []).append((weld, process, corner_energies(case, weld)))
    printed: list[Printed] = []
    unprinted: dict[str, tuple[list[Energies], list[Pass]]] = {}
    everything: list[Energies] = []
    for label, alike in rows.items():
        known = [energies for _, _, energies in alike if energies]
        bare = [energies for weld, _, energies in alike
                if energies and not (weld.heat_input and weld.heat_input.stated)]  # fmt: skip
        everything += known
        for weld, process, energies in alike:
            if weld.heat_input is not None and weld.heat_input.stated:
                every = [*bare, *([energies] if energies else [])]
                printed.append((label, process, every, weld.heat_input))
        if bare and len(bare) == len(known):
            unprinted[label] = (bare, [weld for weld, _, _ in alike])
    stated = [given for given in case.procedure.heat_input if given.stated]
    only = case.processes[0] if len(case.processes) == 1 else None
    printed += [("all passes", only, everything, given) for given in stated]
    return printed, {} if stated else unprinted


def _widest(every: Sequence[Energies]) -> Energies:
    return min(low for low, _ in every), max(high for _, high in every)


def _span(case: Case, every: Sequence[Energies], unit: str = "") -> str:
    """Write the span of arc energies, given in J/m, in a unit or in the document's own."""
    shown = unit or ("kJ/mm" if case.system == "metric" else "kJ/in")
    ends = dict.fromkeys(f"{case.units.convert(end, shown):.3g}" for end in _widest(every))
    return f"{' to '.join(ends)} {shown} without k"


def _compare(case: Case, one: Printed) -> tuple[str, str, Source | None]:
    """The result for a printed heat input, the thermal efficiency it assumes, and the source."""
    _, process, every, printed = one
    if not every:
        return "open", "", None
    ends, energies = case.ends(printed, "heat input"), _widest(every)
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
        # A coarsely rounded value may follow from several factors: the nearest one counts.
        _, k, source = min(agreeing)
        return "follows", _reading(k), source
    low, high = ends
    for k, source in factors:
        least, most = (k * energy for energy in energies)
        if high is None or high < most * (1 - ROUNDING):
            continue
        if low is None or low <= least * (1 + ROUNDING):
            return "wider", _reading(k), source
    narrower = (low is None or low >= energies[0] * (1 - ROUNDING)) and (
        high is None or high <= energies[1] * (1 + ROUNDING)
    )
    if narrower:
        return "narrower", "", ("csa-branch-wps-2012", "WPS sheet", "read")
    return "differs", "", None


def _reading(k: float) -> str:
    return "without thermal efficiency" if k == 1 else f"with k = {k:g}"


def _last(printed: Range, case: Case) -> float:
    """Half a unit of the last printed decimal, in J/m."""
    unit = case.units.by_spelling[printed.unit]
    decimals = max(
        len(f"{n:g}".partition(".")[2]) for n in (printed.low, printed.high) if n is not None
    )
    return 0.5 * 10.0**-decimals * unit.factor
