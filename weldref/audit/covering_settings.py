"""Compare temperatures, settings, gas and transfer mode with the test record."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from weldref.audit.case import Case
from weldref.audit.consistency import Labelled, passes
from weldref.audit.covering import Handler, Line, Pair, Row, each, level, names_process, only_for
from weldref.audit.covering_metals import group_of, main_group
from weldref.audit.heat_inputs import corner_energies
from weldref.core.gas import Composition
from weldref.procedures.model import Range, gather

MEASURES = {
    "amperage": ("current", "current"),
    "voltage": ("voltage", "voltage"),
    "travel speed": ("travel_speed", "speed"),
    "wire feed speed": ("wire_feed_speed", "speed"),
    "gas flow": ("gas_flow", "flow"),
}
TRACE = 0.1
"""Percent of a component that may be added or left out (ISO 15614-1, 8.5.2.1)."""
INTERPASS = {
    "interpass": None,
    "interpass, groups 8, 10, 41 to 48": True,
    "interpass, groups other than 8, 10, 41 to 48": False,
}
"""Rules on interpass temperature; True is for the groups of `COOL`, False for the others."""
COOL = frozenset(("8", "10", *map(str, range(41, 49))))
"""Groups of ISO/TR 15608 for which ISO 15614-1 allows no higher interpass temperature."""


def _temperature(name: str, what: str, qualified: str) -> Handler:
    """Compare a least or greatest temperature with the tested one that reaches farthest."""
    end, sign = ("high", 1) if name == "interpass_max" else ("low", -1)

    def kelvin(case: Case) -> list[tuple[float, Range]]:
        found = ((case.si(getattr(one, end), one, "temperature"), one)
                 for one in gather(case.procedure, name))  # fmt: skip
        return [(si, one) for si, one in found if si is not None]

    def compare(pair: Pair) -> Iterator[Line]:
        tested, claimed = pair.both(kelvin)
        for si, given in claimed if tested else ():
            farthest, stated = max(tested, key=lambda found: sign * found[0])
            step = pair.row["upper"] / (1.8 if pair.row["unit"] == "delta_degF" else 1.0)
            limit = farthest + sign * step
            # Whole degrees of two scales may seem to differ.
            rounding = 1e-6 if stated.unit == given.unit else 0.6
            shown = f"{pair.case.units.convert(limit, given.unit):.0f} {given.unit}"
            covered = sign * (si - limit) <= rounding
            reach = f"{qualified.format(shown)} from {stated}"
            yield pair.covers(covered, f"{what} {given}", reach, given)

    return compare


preheat = _temperature("preheat_min", "preheat", "a preheat of {} and up")
least_interpass = _temperature(
    "interpass_min", "least interpass", "an interpass temperature of {} and up"
)
_greatest_interpass = _temperature(
    "interpass_max", "interpass", "an interpass temperature up to {}"
)


def is_cool(case: Case) -> bool | None:
    """Whether a base metal is of the groups of `COOL`; None where no group is known."""
    found = (group_of(case, metal) for metal in case.procedure.base_metals)
    groups = {main_group(group) for group in found if group}
    return bool(groups & COOL) if groups else None


def interpass(pair: Pair) -> Iterator[Line]:
    """Compare the interpass temperature with the highest tested, by the group of the metal."""
    wanted = INTERPASS[pair.variable]
    of_level_1 = pair.case.code == "ISO 15614-1" and level(pair.record, pair.procedure) == "1"
    if of_level_1 and not pair.impact:
        return  # level 1: only where impact tests are required
    # Without a known group neither of the two rules by group is applied.
    if wanted is None or is_cool(pair.case) == wanted:
        yield from _greatest_interpass(pair)


def _values(
    case: Case, alike: Sequence[Labelled], name: str, dimension: str
) -> tuple[list[float], list[float]]:
    """The values to average over passes of the record, and all limits stated, in SI units."""
    averages: list[float] = []
    every: list[float] = []
    for given in (given for weld, _, _ in alike for given in gather(weld, name)):
        # An average that the record states counts; otherwise the middle of its limits.
        if given.typical is None:
            ends = [end for end in case.ends(given, dimension) if end is not None]
            averages += ends
            every += ends
        elif (typical := case.si(given.typical, given, dimension)) is not None:
            averages.append(typical)
    return averages, every


def _counterparts(tested: Sequence[Labelled], claimed: Labelled) -> list[Labelled]:
    """The passes of the record that a pass is compared with: its own, else all of its process.

    Passes of one label belong together, or else those of one size of electrode.
    """
    weld, label, process = claimed
    of_process = [one for one in tested if one[2] == process]
    labelled = [one for one in of_process if one[1] == label]
    sized = [one for one in of_process if weld.sizes and one[0].sizes == weld.sizes]
    return labelled or sized or of_process


def percent(pair: Pair) -> Iterator[Line]:
    """Compare a setting of each pass with the average of its counterparts in the record.

    What the record itself welded with is covered, unless it states an average.
    """
    case, row = pair.case, pair.row
    name, dimension = MEASURES[row["variable"].casefold()]
    tested = list(passes(pair.test))
    for weld, label, process in passes(case):
        given: Range | None = getattr(weld, name)
        if given is None or not names_process(row["process"], process):
            continue
        what = f"{label}: {row['variable']} {given}"
        alike = _counterparts(tested, (weld, label, process))
        averages, every = _values(case, alike, name, dimension)
        if not averages:
            yield pair.check(
                f"{what}: the record states none for {process or 'such a pass'}",
                "the record has no such pass that states it",
                claim=str(given),
                place=given.place,
            )
            continue
        ends = [case.value(end, given, dimension) for end in (given.low, given.high)]
        stated = [end for end in ends if end is not None]
        if not stated:
            continue
        mean = sum(averages) / len(averages)
        low = min([mean * (1 + row["lower"] / 100), *every])
        high = max([mean * (1 + row["upper"] / 100), *every])
        shown = [case.units.convert(end, stated[0].unit) for end in (low, high)]
        labels = ", ".join(dict.fromkeys(one[1] for one in alike))
        qualified = f"{shown[0]:.4g} to {shown[1]:.4g} {stated[0].unit} around the mean of {labels}"
        covered = all(low * (1 - 1e-6) <= end.si <= high * (1 + 1e-6) for end in stated)
        if None in (given.low, given.high):
            covered, what = False, f"{what} (one end only is stated)"
        yield pair.covers(covered, what, qualified, given)


def _gases(case: Case, role: str, *in_passes: str) -> dict[str, Composition]:
    """The gases of one role that are understood, by name."""
    gases = [gas for gas in case.procedure.gases if gas.role == role]
    texts = [*(gas.composition for gas in gases if gas.composition),
             *gather(case.procedure, *in_passes)]  # fmt: skip
    found = {text.text: case.gas_in(text.text) for text in texts}
    return {name: composition for name, composition in found.items() if composition is not None}


def _shielding(case: Case) -> dict[str, Composition]:
    return _gases(case, "shielding", "passes.gas")


gas = each(_shielding, "gas {}")
"""The gas has to be one of the test."""


def _parts(composition: Composition) -> frozenset[str]:
    return frozenset(name for name, part in composition.items() if part.high > TRACE)


component = each(
    lambda case: {name: _parts(one) for name, one in _shielding(case).items()},
    "components of {}",
    lambda tested: f"those of {', '.join(tested)}",
)
"""No component is added to the gas of the test or left out of it, except a trace."""


def sub_group(pair: Pair) -> Iterator[Line]:
    """Gases of one sub-group of ISO 14175 cover each other; others only themselves."""
    tested, claimed = pair.both(_shielding)
    known = [code for one in tested.values() if (code := _gas_code(pair.case, one))]
    qualified = f"gases of {', '.join(dict.fromkeys(known))}" if known else ", ".join(tested)
    for text, composition in claimed.items() if tested else ():
        code = _gas_code(pair.case, composition)
        what = f"gas {text}" + (f" ({code})" if code else "")
        yield pair.covers(code in known or composition in tested.values(), what, qualified)


def _gas_code(case: Case, composition: Composition) -> str | None:
    """The sub-group of ISO 14175 that a composition belongs to; None if it is none or several.

    A lower limit of 0.5 belongs to the sub-group, other lower limits do not (Table 2). Helium may
    replace some or all of the argon of the balance, where the gas is not inert (note a).
    """
    parts = {name: part for name, part in composition.items() if part.high > TRACE}
    if len(parts) == 1:
        (only,) = parts
        pure = {"Ar": "I1", "He": "I2", "CO2": "C1", "N2": "N1", "O2": "O1"}
        return pure.get(only)
    active = set(parts) - {"Ar", "He"}
    found = []
    for row in case.rows("SELECT * FROM shielding_gas_codes WHERE statement = 'bounds'"):
        bounds = {
            name: (row[f"{name.lower()}_min"], row[f"{name.lower()}_max"])
            for name in ("CO2", "O2", "H2", "He", "N2")
            if row[f"{name.lower()}_max"] is not None
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


def share(pair: Pair) -> Iterator[Line]:
    """One component may differ by a share of its nominal content; the others are as tested."""
    part = pair.variable.partition(" ")[0]  # "CO2 content of gas"
    tested, claimed = pair.both(_shielding)
    for text, composition in claimed.items() if tested else ():
        if not any(part in one for one in (composition, *tested.values())):
            continue
        ranges = [
            f"{low:.3g} to {high:.3g} % {part} from {name}"
            for name, one in tested.items()
            if part in one
            for low, high in [_reach(one, part, pair.row)]
        ]
        covered = any(_near_gas(composition, one, part, pair.row) for one in tested.values())
        yield pair.covers(covered, f"gas {text}", " or ".join(ranges) or ", ".join(tested))


def _reach(tested: Composition, part: str, row: Row) -> tuple[float, float]:
    """How much of a component a test covers, in percent."""
    low, high = tested[part].low, tested[part].high
    return low * (1 + row["lower"] / 100), high * (1 + row["upper"] / 100)


def _near_gas(claimed: Composition, tested: Composition, part: str, row: Row) -> bool:
    if set(claimed) != set(tested) or part not in tested:
        return False
    balance = max(tested, key=lambda name: tested[name].high)
    low, high = _reach(tested, part, row)
    share = claimed[part]
    inside = (low - 1e-6 <= share.low and share.high <= high + 1e-6) or part == balance
    return inside and all(
        abs(claimed[name].low - tested[name].low) <= TRACE
        and abs(claimed[name].high - tested[name].high) <= TRACE
        for name in set(tested) - {part, balance}
    )


def _modes(case: Case) -> dict[str, bool]:
    """The transfer modes that are known, and whether each is short-circuiting."""
    kinds = {
        mode.text: case.kinds("transfer_mode", mode.text)
        for weld in case.procedure.passes
        # Transfer mode is a variable of solid and metal-cored wire only.
        if not str(case.process_of(weld)).startswith("FCAW")
        for mode in case.transfer_modes(weld)
    }
    return {text: "short-circuiting" in found for text, found in kinds.items() if found}


transfer = each(_modes, "transfer mode {}")
"""Short-circuiting transfer covers only itself; spray, pulsed and globular cover each other."""


def heat_input(pair: Pair) -> Iterator[Line]:
    """With impact tests, the greatest heat input of the test is the limit.

    For aluminium, group 23 has its own rule.
    """
    if pair.case.code == "ISO 15614-2":
        groups = [group_of(pair.case, metal) for metal in pair.procedure.base_metals]
        special = any(main_group(group or "") == "23" for group in groups)
        if special != ("23" in pair.variable):
            return
    if pair.impact:
        yield from _heat(pair, 1, "up to {}", "up to {} without k")


def least_heat_input(pair: Pair) -> Iterator[Line]:
    """With hardness tests, the least heat input of the test is the limit (ISO 15614-1)."""
    if pair.hardness:
        yield from _heat(pair, -1, "from {}", "{} and up without k")


def _heat(pair: Pair, sign: int, what: str, qualified: str) -> Iterator[Line]:
    """Compare the greatest (1) or the least (-1) heat input of each pass with that of the test."""
    case, end = pair.case, 1 if sign > 0 else 0
    energies = [corner_energies(pair.test, weld) for weld in pair.record.passes]
    tested = [ends[end] for ends in energies if ends]
    if not tested:
        return
    farthest = max(tested) if sign > 0 else min(tested)
    limit = farthest * (1 + sign * pair.row["upper"] / 100)
    unit = "kJ/mm" if case.system == "metric" else "kJ/in"
    for weld, label, process in passes(case):
        ends = corner_energies(case, weld)
        if ends is None or (sign > 0 and not names_process(pair.row["process"], process)):
            continue
        reach, claimed = (
            f"{case.units.convert(energy, unit):.3g} {unit}" for energy in (limit, ends[end])
        )
        yield pair.covers(
            sign * (ends[end] - limit) <= limit * 1e-3,
            f"{label}: heat input {what.format(claimed)}",
            qualified.format(reach),
            weld.heat_input or weld.current,
        )


def backing_gas(pair: Pair) -> Iterator[Line]:
    """ISO 15614-1, 8.5.6, level 2: none covers an inert gas; a sub-group covers itself."""
    tested, claimed = pair.both(
        lambda case: {name: _gas_code(case, one) for name, one in _gases(case, "backing").items()}
    )
    words = ", ".join(claimed) or "no backing gas"
    as_tested = f"backing with {', '.join(tested)}"
    if not tested and not claimed:
        yield pair.other_work("for work with a backing gas")
    elif not tested:
        if all((code or "")[:1] in ("I", "N") and code != "N4" for code in claimed.values()):
            yield pair.covers(True, words, "backing with an inert gas too")
    elif not claimed:
        yield pair.covers(False, words, as_tested)
    elif set(claimed.values()) <= set(tested.values()) and None not in claimed.values():
        yield pair.covers(True, words, as_tested)


REACTIVE = re.compile(r"P-No\.(?:10[IJK]|5[123]|6[12])\b")
"""P-Numbers of metals for which ASME IX requires the backing and trailing gas of the test."""


def _of_reactive_metal(pair: Pair) -> bool:
    kinds = {kind for name, _ in pair.case.metals for kind in pair.case.kinds("material", name)}
    stated = {f"P-No.{number}" for number in gather(pair.procedure, "base_metals.p_number")}
    return any(REACTIVE.match(name) for name in kinds | stated)


@only_for(_of_reactive_metal, "for reactive metals (P-No. 10I, 51, 61 ...)")
def kept_gas(pair: Pair) -> Iterator[Line]:
    """On reactive metals the backing or trailing gas of the test must not be left out."""
    role = pair.variable.partition(" ")[0]
    tested, claimed = pair.both(lambda one: any(gas.role == role for gas in one.procedure.gases))
    words = {True: f"with {role} gas", False: f"without {role} gas"}
    if tested or claimed:
        yield pair.covers(claimed or not tested, words[claimed], words[tested])
