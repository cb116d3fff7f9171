"""Compare temperatures, settings, gas and transfer mode with the test record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.covering import (
    Line,
    covers,
    has_hardness,
    has_impact,
    level,
    line,
    names_process,
)
from weldref.audit.covering_metals import group_of, main_group
from weldref.audit.heat_inputs import corner_energies
from weldref.core.gas import Composition
from weldref.errors import InputError
from weldref.procedures.model import Pass, Procedure, Range

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


def preheat(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare every minimum preheat with the lowest that was tested."""
    # The lowest preheat that was tested reaches farthest.
    tested = sorted(_kelvin(case, record.preheat_min, "low"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.preheat_min, "low") if tested else ():
        lowest, stated = tested[0]
        least = lowest - _step(row)
        limit = case.units.convert(least, claimed.unit)
        qualified = f"a preheat of {limit:.0f} {claimed.unit} and up from {stated}"
        covered = kelvin >= least - _rounding(stated, claimed)
        yield from covers(case, row, covered, f"preheat {claimed}", claimed, qualified)


def is_cool(case: Case) -> bool | None:
    """Whether a base metal is of the groups of `COOL`; None where no group is known."""
    found = (group_of(case, metal) for metal in case.procedure.base_metals)
    groups = {main_group(group) for group in found if group}
    return bool(groups & COOL) if groups else None


def interpass(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the interpass temperature with the highest tested, by the group of the metal."""
    wanted = INTERPASS[row["variable"]]
    if case.code == "ISO 15614-1" and not has_impact(record) and level(case, record) == "1":
        return  # level 1: only where impact is required
    if wanted is not None and is_cool(case) != wanted:
        return  # without a group it is not known which of the two rules holds
    tested = sorted(_kelvin(case, record.interpass_max, "high"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.interpass_max, "high") if tested else ():
        highest, stated = tested[-1]
        most = highest + _step(row)
        limit = case.units.convert(most, claimed.unit)
        qualified = f"an interpass temperature up to {limit:.0f} {claimed.unit} from {stated}"
        covered = kelvin <= most + _rounding(stated, claimed)
        yield from covers(case, row, covered, f"interpass {claimed}", claimed, qualified)


def least_interpass(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare the least interpass temperature with the least that was tested."""
    tested = sorted(_kelvin(case, record.interpass_min, "low"), key=_first)
    for kelvin, claimed in _kelvin(case, case.procedure.interpass_min, "low") if tested else ():
        lowest, stated = tested[0]
        least = lowest - _step(row)
        limit = case.units.convert(least, claimed.unit)
        qualified = f"an interpass temperature of {limit:.0f} {claimed.unit} and up from {stated}"
        covered = kelvin >= least - _rounding(stated, claimed)
        yield from covers(case, row, covered, f"least interpass {claimed}", claimed, qualified)


def _first(pair: tuple[float, Range]) -> float:
    return pair[0]


Tested = tuple[Pass, str, str | None]
"""A pass of the record, with its label and process."""


def _values(
    case: Case, alike: Sequence[Tested], name: str, dimension: str
) -> tuple[list[float], list[float]]:
    """The averages of a setting over passes of the record, and both ends of it, in SI units."""
    averages: list[float] = []
    every: list[float] = []
    for weld, _, _ in alike:
        given: Range | None = getattr(weld, name)
        if given is None:
            continue
        found = {
            number: value.si
            for number in (given.low, given.high, given.typical)
            if number is not None and (value := case.value(number, given, dimension)) is not None
        }
        # An average that the record states is the average; else the middle of its ends.
        stated = (given.typical,) if given.typical is not None else (given.low, given.high)
        averages += [found[number] for number in stated if number in found]
        every += [] if given.typical is not None else found.values()
    return averages, every


def _counterparts(tested: Sequence[Tested], claimed: Tested) -> list[Tested]:
    """The passes of the record that a pass is compared with: its own, else all of its process.

    Passes of one label belong together, or else those of one size of electrode.
    """
    weld, label, process = claimed
    of_process = [one for one in tested if one[2] == process]
    labelled = [one for one in of_process if one[1] == label]
    sized = [one for one in of_process if weld.sizes and one[0].sizes == weld.sizes]
    return labelled or sized or of_process


def percent(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare a setting of each pass with the average of its counterparts in the record.

    What the record itself welded with is covered, unless it states an average.
    """
    name, dimension = MEASURES[row["variable"].casefold()]
    tested = list(passes(Case(case.store, record)))
    for weld, label, process in passes(case):
        given: Range | None = getattr(weld, name)
        alike = _counterparts(tested, (weld, label, process))
        averages, every = _values(case, alike, name, dimension)
        if given is None or not names_process(row["process"], process):
            continue
        if not averages:
            yield line(
                case, row, "you must check", claim=str(given), place=given.place,
                says=f"{case.code} {row['clause']}: {label}: {row['variable']} {given}: the "
                f"record states none for {process or 'such a pass'}",
                why="the record has no such pass that states it",
            )  # fmt: skip
            continue
        mean = sum(averages) / len(averages)
        ends = [case.value(n, given, dimension) for n in (given.low, given.high) if n is not None]
        stated = [end for end in ends if end is not None]
        if not stated:
            continue
        low = min([mean * (1 + row["lower"] / 100), *every])
        high = max([mean * (1 + row["upper"] / 100), *every])
        shown = [case.units.convert(end, stated[0].unit) for end in (low, high)]
        labels = ", ".join(dict.fromkeys(one[1] for one in alike))
        qualified = f"{shown[0]:.4g} to {shown[1]:.4g} {stated[0].unit} around the mean of {labels}"
        covered = all(low * (1 - 1e-6) <= end.si <= high * (1 + 1e-6) for end in stated)
        open_end = "" if None not in (given.low, given.high) else " (one end only is stated)"
        what = f"{label}: {row['variable']} {given}{open_end}"
        yield from covers(case, row, covered and not open_end, what, given, qualified)


def _shielding(case: Case, one: Procedure) -> dict[str, Composition]:
    texts = [g.composition for g in one.gases if g.role == "shielding"]
    found = {}
    for text in (*texts, *(weld.gas for weld in one.passes)):
        with suppress(InputError):
            if text:
                found[text.text] = case.vocabulary.gas(text.text)[1]
    return found


def gas(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Compare gases that have to be the same."""
    tested = _shielding(case, record)
    for text, composition in _shielding(case, case.procedure).items():
        if tested:
            covered = any(composition == one for one in tested.values())
            yield from covers(case, row, covered, f"gas {text}", None, ", ".join(tested))


def component(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """No component is added to the gas of the test, or left out of it, but for a trace."""
    tested = _shielding(case, record)
    for text, composition in _shielding(case, case.procedure).items():
        if tested:
            covered = any(_parts(composition) == _parts(one) for one in tested.values())
            yield from covers(
                case, row, covered, f"components of {text}", None, f"those of {', '.join(tested)}"
            )


def _parts(composition: Composition) -> set[str]:
    return {name for name, part in composition.items() if part.high > TRACE}


def sub_group(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Gases of one sub-group of ISO 14175 stand for each other; of no sub-group, as tested."""
    tested = _shielding(case, record)
    groups = {name: gas_code(case, one) for name, one in tested.items()}
    for text, composition in _shielding(case, case.procedure).items():
        if not tested:
            return
        code = gas_code(case, composition)
        same = any(composition == one for one in tested.values())
        known = [group for group in groups.values() if group]
        yield from covers(
            case, row, same or (code is not None and code in known),
            f"gas {text}" + (f" ({code})" if code else ""), None,
            f"gases of {', '.join(dict.fromkeys(known))}" if known else ", ".join(tested),
        )  # fmt: skip


COMPONENTS = {"CO2": "co2", "O2": "o2", "H2": "h2", "He": "he", "N2": "n2"}
"""Components of which ISO 14175 prints bounds, by their columns; argon is the balance."""


def gas_code(case: Case, composition: Composition) -> str | None:
    """The sub-group of ISO 14175 that a composition belongs to; None if it is none or several.

    Lower edges of 0.5 belong to the sub-group, other lower edges do not (Table 2). Argon of the
    balance may be replaced by helium, in part or wholly, where the gas is not inert (note a).
    """
    parts = {name: part for name, part in composition.items() if part.high > TRACE}
    if len(parts) == 1:
        (only,) = parts
        pure = {"Ar": "I1", "He": "I2", "CO2": "C1", "N2": "N1", "O2": "O1"}
        return pure.get(only)
    active = set(parts) - {"Ar", "He"}
    found = []
    for row in case.store.rows("SELECT * FROM shielding_gas_codes WHERE statement = 'bounds'"):
        bounds = {
            name: (row[f"{column}_min"], row[f"{column}_max"])
            for name, column in COMPONENTS.items()
            if row[f"{column}_max"] is not None
        }
        if not bounds or (set(bounds) - {row["balance"]}) != (active or {"He"}):
            continue
        if row["balance"] not in parts and not (row["balance"] == "Ar" and "He" in parts):
            continue
        if all(
            (low <= parts[name].low if low == 0.5 else low < parts[name].low)
            and parts[name].high <= high
            for name, (low, high) in bounds.items()
        ):
            found.append(row["code"])
    return found[0] if len(found) == 1 else None


def share(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
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
            yield from covers(case, row, covered, f"gas {text}", None, qualified)


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


def transfer(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """Short-circuiting transfer covers itself alone; spray, pulsed and globular each other."""

    def modes(one: Case) -> dict[str, bool]:
        texts = [
            mode.text
            for weld in one.procedure.passes
            # Transfer is a variable of solid and metal-cored wire.
            if not str(one.process_of(weld)).startswith("FCAW")
            for mode in one.transfer_modes(weld)
        ]
        kinds = {text: one.kinds("transfer_mode", text) for text in texts}
        return {text: "short-circuiting" in found for text, found in kinds.items() if found}

    tested, claimed = modes(Case(case.store, record)), modes(case)
    for text, short in claimed.items():
        if tested:
            covered = short in tested.values()
            yield from covers(case, row, covered, f"transfer mode {text}", None, ", ".join(tested))


def _energies(case: Case) -> list[float]:
    """Both ends of the arc energy of every pass in J/m."""
    found = [corner_energies(case, weld) for weld, _, _ in passes(case)]
    return [end for ends in found if ends for end in ends]


def _of_its_group(case: Case, row: dict[str, Any]) -> bool:
    """Whether a rule of aluminium is for the groups of the procedure: group 23 has its own."""
    if case.code != "ISO 15614-2":
        return True
    groups = [group_of(case, metal) for metal in case.procedure.base_metals]
    return any(main_group(group or "") == "23" for group in groups) == ("23" in row["variable"])


def heat_input(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """With impact tests the greatest heat input of the test is the measure."""
    if not has_impact(record) or not _of_its_group(case, row):
        return
    tested = _energies(Case(case.store, record))
    for weld, label, process in passes(case):
        ends = corner_energies(case, weld)
        if not tested or ends is None or not names_process(row["process"], process):
            continue
        most = max(tested) * (1 + row["upper"] / 100)
        unit = "kJ/mm" if case.system == "metric" else "kJ/in"
        limit, claimed = (case.units.convert(end, unit) for end in (most, ends[1]))
        yield from covers(
            case, row, ends[1] <= most * (1 + 1e-3),
            f"{label}: heat input up to {claimed:.3g} {unit}", weld.heat_input or weld.current,
            f"up to {limit:.3g} {unit} without k",
        )  # fmt: skip


def least_heat_input(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """With hardness tests the least heat input of the test is the measure (ISO 15614-1)."""
    tested = _energies(Case(case.store, record))
    if not has_hardness(record) or not tested:
        return
    least = min(tested) * (1 - row["upper"] / 100)
    unit = "kJ/mm" if case.system == "metric" else "kJ/in"
    for weld, label, _ in passes(case):
        ends = corner_energies(case, weld)
        if ends is not None:
            limit, claimed = (case.units.convert(end, unit) for end in (least, ends[0]))
            yield from covers(
                case, row, ends[0] >= least * (1 - 1e-3),
                f"{label}: heat input from {claimed:.3g} {unit}", weld.heat_input or weld.current,
                f"{limit:.3g} {unit} and up without k",
            )  # fmt: skip


def backing_gas(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """ISO 15614-1, 8.5.6, level 2: none covers an inert gas; a main group covers its own."""
    tested, claimed = (_backing(one) for one in (Case(case.store, record), case))
    if not tested and not claimed:
        yield line(case, row, "does not apply", why="for work with a backing gas")
        return
    words = ", ".join(claimed) or "no backing gas"
    if not tested:
        covered = all((code or "")[:1] in ("I", "N") and code != "N4" for code in claimed.values())
        if covered:
            yield from covers(case, row, True, words, None, "backing with an inert gas too")
    elif not claimed:
        yield from covers(case, row, False, words, None, f"backing with {', '.join(tested)}")
    elif set(claimed.values()) <= set(tested.values()) and None not in claimed.values():
        yield from covers(case, row, True, words, None, f"backing with {', '.join(tested)}")


def _backing(case: Case) -> dict[str, str | None]:
    found = {}
    for one in case.procedure.gases:
        if one.role == "backing" and one.composition:
            with suppress(InputError):
                composition = case.vocabulary.gas(one.composition.text)[1]
                found[one.composition.text] = gas_code(case, composition)
    return found


REACTIVE = re.compile(r"P-No\.(?:10[IJK]|5[123]|6[12])\b")
"""P-Numbers of metals of which ASME IX asks that backing and trailing gas are kept."""


def kept_gas(case: Case, record: Procedure, row: dict[str, Any]) -> Iterator[Line]:
    """On reactive metals the gas on the back, or behind the torch, is not left out."""
    kinds = {kind for name, _ in case.metals for kind in case.kinds("material", name)}
    stated = {f"P-No.{m.p_number.text}" for m in case.procedure.base_metals if m.p_number}
    if not any(REACTIVE.match(name) for name in kinds | stated):
        yield line(case, row, "does not apply", why="for reactive metals (P-No. 10I, 51, 61 ...)")
        return
    role = row["variable"].partition(" ")[0]
    tested, claimed = ([g for g in one.gases if g.role == role] for one in (record, case.procedure))
    words = {True: f"with {role} gas", False: f"without {role} gas"}
    if tested or claimed:
        yield from covers(
            case, row, bool(claimed) or not tested, words[bool(claimed)], None, words[bool(tested)]
        )
