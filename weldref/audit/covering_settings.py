"""Compare temperatures, settings, gas and transfer mode with the test record."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import Any

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.covering import covers, has_impact, names_process
from weldref.audit.covering_metals import group_of, main_group
from weldref.audit.finding import Finding, Rule
from weldref.audit.heat_inputs import corner_energies
from weldref.core.gas import Composition
from weldref.errors import InputError
from weldref.procedures.model import Procedure, Range

MEASURES = {
    "amperage": ("current", "current"),
    "voltage": ("voltage", "voltage"),
    "travel speed": ("travel_speed", "speed"),
    "wire feed speed": ("wire_feed_speed", "speed"),
    "gas flow": ("gas_flow", "flow"),
}
SHARES = {"CO2 content of gas": "CO2", "He content of gas": "He"}
TRACE = 0.1
"""Percent of a component that may be added or left out (ISO 15614-1, 8.5.2.1)."""
INTERPASS = {
    "interpass": None,
    "interpass, groups 8, 10, 41 to 48": True,
    "interpass, groups other than 8, 10, 41 to 48": False,
}
"""Rules of interpass temperature, and whether each is for the groups of `COOL`."""
COOL = frozenset(("8", "10", *map(str, range(41, 49))))
"""Groups of ISO/TR 15608 of which ISO 15614-1 allows no higher interpass temperature."""


def _kelvin(case: Case, given: tuple[Range, ...], end: str) -> list[tuple[float, Range]]:
    """Each stated end in kelvin, with the range that it stands in."""
    found = []
    for one in given:
        number = getattr(one, end)
        value = case.value(number, one, "temperature") if number is not None else None
        if value is not None:
            found.append((value.si, one))
    return found


def _step(row: dict[str, Any]) -> float:
    """A permitted change of temperature in kelvin."""
    return float(row["upper"]) / (1.8 if row["unit"] == "delta_degF" else 1.0)


def _rounding(one: Range, other: Range) -> float:
    """The kelvin by which two temperatures in whole degrees of other scales may seem to differ."""
    return 1e-6 if one.unit == other.unit else 0.6


def preheat(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Compare every minimum preheat with the lowest that was tested."""
    # The lowest preheat that was tested reaches farthest.
    tested = sorted(_kelvin(case, record.preheat_min, "low"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.preheat_min, "low") if tested else ():
        lowest, stated = tested[0]
        least = lowest - _step(row)
        limit = case.units.convert(least, claimed.unit)
        qualified = f"a preheat of {limit:.0f} {claimed.unit} and up from {stated}"
        covered = kelvin >= least - _rounding(stated, claimed)
        yield from covers(case, this, row, covered, f"preheat {claimed}", claimed, qualified)


def interpass(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Compare the interpass temperature with the highest tested, by the group of the metal."""
    wanted = INTERPASS[row["variable"]]
    if wanted is not None:
        groups = {main_group(group) for metal in case.procedure.base_metals
                  if (group := group_of(case, metal))}  # fmt: skip
        if not groups or bool(groups & COOL) != wanted:
            return  # without a group it is not known which of the two rules holds
    tested = sorted(_kelvin(case, record.interpass_max, "high"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.interpass_max, "high") if tested else ():
        highest, stated = tested[-1]
        most = highest + _step(row)
        limit = case.units.convert(most, claimed.unit)
        qualified = f"an interpass temperature up to {limit:.0f} {claimed.unit} from {stated}"
        covered = kelvin <= most + _rounding(stated, claimed)
        yield from covers(case, this, row, covered, f"interpass {claimed}", claimed, qualified)


def _first(pair: tuple[float, Range]) -> float:
    return pair[0]


def _means(case: Case, record: Procedure, name: str, dimension: str) -> dict[str | None, float]:
    """The mean of the record's passes in SI, by process."""
    other = Case(case.store, record)
    values: dict[str | None, list[float]] = {}
    for weld, _, process in passes(other):
        given: Range | None = getattr(weld, name)
        # An average that the record states is the average; else the middle of its ends.
        ends = (given.low, given.high) if given else ()
        for number in (given.typical,) if given and given.typical is not None else ends:
            value = case.value(number, given, dimension) if given and number is not None else None
            if value is not None:
                values.setdefault(process, []).append(value.si)
    return {process: sum(found) / len(found) for process, found in values.items()}


def percent(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Compare a setting of each pass with the record's average, by process."""
    name, dimension = MEASURES[row["variable"].casefold()]
    means = _means(case, record, name, dimension)
    for weld, label, process in passes(case):
        given: Range | None = getattr(weld, name)
        if given is None or process not in means or not names_process(row["process"], process):
            continue
        ends = [case.value(n, given, dimension) for n in (given.low, given.high) if n is not None]
        stated = [end for end in ends if end is not None]
        if not stated:
            continue
        low, high = (means[process] * (1 + row[end] / 100) for end in ("lower", "upper"))
        shown = [case.units.convert(end, stated[0].unit) for end in (low, high)]
        qualified = (
            f"{shown[0]:.4g} to {shown[1]:.4g} {stated[0].unit} around the mean of its "
            f"{process or 'only'} passes"
        )
        covered = all(low * (1 - 1e-6) <= end.si <= high * (1 + 1e-6) for end in stated)
        open_end = "" if None not in (given.low, given.high) else " (one end only is stated)"
        what = f"{label}: {row['variable']} {given}{open_end}"
        yield from covers(case, this, row, covered and not open_end, what, given, qualified)


def _shielding(case: Case, one: Procedure) -> dict[str, Composition]:
    texts = [g.composition for g in one.gases if g.role == "shielding"]
    found = {}
    for text in (*texts, *(weld.gas for weld in one.passes)):
        with suppress(InputError):
            if text:
                found[text.text] = case.vocabulary.gas(text.text)[1]
    return found


def gas(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Compare gases that have to be the same."""
    tested = _shielding(case, record)
    for text, composition in _shielding(case, case.procedure).items():
        if tested:
            covered = any(composition == one for one in tested.values())
            yield from covers(case, this, row, covered, f"gas {text}", None, ", ".join(tested))


def share(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """One component may differ by a share of its nominal content; the others are as tested."""
    part = SHARES[row["variable"]]
    tested = _shielding(case, record)
    for text, composition in _shielding(case, case.procedure).items():
        if not any(part in one for one in (composition, *tested.values())):
            continue
        covered = any(_near_gas(composition, one, part, row) for one in tested.values())
        ranges = [
            f"{one[part].low * (1 + row['lower'] / 100):.3g} to "
            f"{one[part].high * (1 + row['upper'] / 100):.3g} % {part} from {name}"
            for name, one in tested.items()
            if part in one
        ]
        if tested:
            qualified = " or ".join(ranges) or ", ".join(tested)
            yield from covers(case, this, row, covered, f"gas {text}", None, qualified)


def _near_gas(claimed: Composition, tested: Composition, part: str, row: dict[str, Any]) -> bool:
    if set(claimed) != set(tested) or part not in tested:
        return False
    balance = max(tested, key=lambda name: tested[name].high)
    low, high = (
        tested[part].low * (1 + row["lower"] / 100),
        tested[part].high * (1 + row["upper"] / 100),
    )
    share = claimed[part]
    inside = (low - 1e-6 <= share.low and share.high <= high + 1e-6) or part == balance
    others = set(tested) - {part, balance}
    return inside and all(
        abs(claimed[name].low - tested[name].low) <= TRACE
        and abs(claimed[name].high - tested[name].high) <= TRACE
        for name in others
    )


def transfer(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """Short-circuiting transfer covers itself alone; spray, pulsed and globular each other."""

    def modes(one: Case) -> dict[str, bool]:
        texts = [mode.text for weld in one.procedure.passes for mode in one.transfer_modes(weld)]
        kinds = {text: one.kinds("transfer_mode", text) for text in texts}
        return {text: "short-circuiting" in found for text, found in kinds.items() if found}

    tested, claimed = modes(Case(case.store, record)), modes(case)
    for text, short in claimed.items():
        if tested:
            covered = short in tested.values()
            yield from covers(
                case, this, row, covered, f"transfer mode {text}", None, ", ".join(tested)
            )


def heat_input(case: Case, record: Procedure, this: Rule, row: dict[str, Any]) -> Iterator[Finding]:
    """With impact tests the greatest heat input of the test is the measure."""
    if not has_impact(record):
        return
    other = Case(case.store, record)
    tested = [ends[1] for weld, _, _ in passes(other) if (ends := corner_energies(other, weld))]
    for weld, label, process in passes(case):
        ends = corner_energies(case, weld)
        if not tested or ends is None or not names_process(row["process"], process):
            continue
        most = max(tested) * (1 + row["upper"] / 100)
        unit = "kJ/mm" if case.system == "metric" else "kJ/in"
        limit, claimed = (case.units.convert(end, unit) for end in (most, ends[1]))
        yield from covers(
            case, this, row, ends[1] <= most * (1 + 1e-3),
            f"{label}: heat input up to {claimed:.3g} {unit}", weld.heat_input or weld.current,
            f"up to {limit:.3g} {unit} without k",
        )  # fmt: skip
