"""Report what was not understood, and so could not be compared with anything."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress

from weldref.audit.case import GAS_PROCESSES, NOTHING_SAID, Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Finding, Rule, rule
from weldref.audit.plausible import too_thick
from weldref.core.situation import electrode_size
from weldref.errors import InputError
from weldref.procedures.model import Range, Text

DIMENSIONS = {
    "current": "current",
    "voltage": "voltage",
    "wire_feed_speed": "speed",
    "travel_speed": "speed",
    "gas_flow": "flow",
    "heat_input": "heat input",
    "contact_tip_distance": "length",
    "electrode_extension": "length",
    "preheat_min": "temperature",
    "interpass_max": "temperature",
}
"""What each quantity of a pass measures."""


@rule(
    "understood",
    "understanding",
    "Was every process, metal, filler, gas, position and value understood?",
    "",
    "",
    "read",
)
def understood(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell what no term or unit is known for, once with all its places: nothing is dropped."""
    procedure = case.procedure
    for text, places in _distinct(case.unread_processes):
        yield this.finding(
            "not checked",
            f"process '{text}' is not understood: its values were not compared",
            place=places[0],
            also_at=places[1:],
            value=text,
            next_step="write the process by its letters or its ISO 4063 number",
        )
    yield from _which_process(case, this)
    yield from _for_which_pass(case, this)
    for metal in procedure.base_metals:
        unread, taken = case.unread_in(metal)
        for text, places in _distinct(unread):
            yield this.finding(
                "not checked",
                f"base metal '{text}' is not understood: "
                + (f"taken as {taken}" if taken else "nothing was compared with it"),
                place=places[0],
                also_at=places[1:],
                value=text,
                next_step="write it by a designation that the terms hold, or check it by hand",
            )
    fillers = [text for filler in procedure.fillers
               for text in (filler.classification or filler.text,) if text]  # fmt: skip
    fillers += [weld.filler_class for weld in procedure.passes if weld.filler_class]
    unknown_fillers = [
        Text(name, place=text.place)
        for text in fillers
        for name in case.classes_in(text.text) or [text.text]
        if case.term("filler_class", name) is None
    ]
    gases = [gas.composition for gas in procedure.gases if gas.composition]
    gases += [weld.gas for weld in procedure.passes if weld.gas]
    positions = [*procedure.positions, *(w.position for w in procedure.passes if w.position)]
    polarities = [*procedure.polarities, *(w.polarity for w in procedure.passes if w.polarity)]
    modes = [*procedure.transfer_modes]
    modes += [weld.transfer_mode for weld in procedure.passes if weld.transfer_mode]
    for called, texts in (
        ("filler metal", unknown_fillers),
        ("gas", [text for text in gases if not _is_gas(case, text)]),
        ("position", [text for text in positions if not case.positions_in(text.text)]),
        ("polarity", [text for text in polarities if case.term("polarity", text.text) is None]),
        ("transfer mode", [t for t in modes if case.term("transfer_mode", t.text) is None]),
    ):
        for text, places in _distinct(texts):
            yield this.finding(
                "not checked",
                f"{called} '{text}' is not understood: nothing was compared with it",
                place=places[0],
                also_at=places[1:],
                value=text,
                next_step="write it by a designation that the terms hold, or check it by hand",
            )
    yield from _sizes(case, this)
    yield from _values(case, this)


def _distinct(texts: Iterable[Text]) -> Iterator[tuple[str, list[str]]]:
    """Each thing written once, with every place; what says "does not apply" is nothing to read."""
    found: dict[str, list[str]] = {}
    for text in texts:
        if text.text.strip(" .").casefold() not in NOTHING_SAID:
            found.setdefault(text.text.strip(), []).append(text.place)
    return iter(found.items())


def _which_process(case: Case, this: Rule) -> Iterator[Finding]:
    """Without a process a value would be held against rows of every process: it is not compared."""
    open_passes = [weld for weld in case.procedure.passes if not weld.process]
    if not open_passes or len(case.processes) == 1 or case.unread_processes:
        return
    several = " or ".join(case.processes)
    yield this.finding(
        "not checked",
        f"{'which of ' + several if several else 'no process'} is stated for "
        f"{len(open_passes)} of the passes: their values were not compared",
        place=open_passes[0].place,
        also_at=[weld.place for weld in open_passes],
        next_step="state the process of each pass",
    )


def _for_which_pass(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell what the document states several times, and for no pass: it was not compared."""
    procedure = case.procedure
    if not procedure.passes:
        yield this.finding(
            "not checked",
            "no pass is stated: no setting was compared",
            next_step="state the passes with their settings",
        )
        return
    flows = tuple(g.flow for g in procedure.gases if g.role == "shielding" and g.flow)
    for called, own, several, settled in (
        ("polarity", "polarity", procedure.polarities, case.polarity),
        ("gas flow", "gas_flow", flows, None),
        ("preheat", "preheat_min", procedure.preheat_min, None),
        ("interpass temperature", "interpass_max", procedure.interpass_max, None),
    ):
        values = list(dict.fromkeys(str(one) for one in several))
        unsettled = [
            label
            for weld, label, process in passes(case)
            if getattr(weld, own) is None
            and not (settled and settled(weld))
            and not (own == "gas_flow" and not _flow_left(case, process))
        ]
        if len(values) > 1 and unsettled:
            yield this.finding(
                "not checked",
                f"{called} {' or '.join(values)}: which holds for {', '.join(unsettled)} is not "
                "stated: not compared pass by pass",
                place=several[0].place,
                also_at=[one.place for one in several[1:]],
                value=", ".join(values),
                next_step="state it for each pass",
            )

    yield from _several(case, this)


def _several(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell which conditions are listed for one pass: rows for one of them alone settle nothing."""
    found: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for weld, label, _ in passes(case):
        positions = [weld.position] if weld.position else [*case.procedure.positions]
        for called, texts, names in (
            ("transfer mode", modes := case.transfer_modes(weld), [text.text for text in modes]),
            ("position", positions, [n for t in positions for n in case.positions_in(t.text)]),
        ):
            listed = ", ".join(dict.fromkeys(names))
            if len(set(names)) > 1:
                found.setdefault((called, listed), []).append((label, texts[0].place))
    for (called, listed), alike in found.items():
        labels = ", ".join(dict.fromkeys(label for label, _ in alike))
        yield this.finding(
            "not checked",
            f"{called} {listed}: several for {labels}: what is published for one {called} alone "
            "settled nothing, and set-up rules for it were not asked",
            place=alike[0][1],
            also_at=[place for _, place in alike[1:]],
            value=listed,
            next_step=f"compare what is published for each {called}, or state one for each pass",
        )


def _flow_left(case: Case, process: str | None) -> bool:
    """Whether several flows are stated for a process that takes gas, and none is its own."""
    if process not in GAS_PROCESSES:
        return False
    own = [
        gas
        for gas in case.procedure.gases
        if gas.role == "shielding" and gas.process and case.process(gas.process.text) == process
    ]
    return len([gas for gas in own if gas.flow]) != 1


def _is_gas(case: Case, text: Text) -> bool:
    with suppress(InputError):
        case.vocabulary.gas(text.text)
        return True
    return False


def _sizes(case: Case, this: Rule) -> Iterator[Finding]:
    sizes = [size for filler in case.procedure.fillers for size in filler.sizes]
    sizes += [size for weld in case.procedure.passes for size in case.sizes(weld)]
    found: dict[str, list[str]] = {}
    for size in sizes:
        for end in dict.fromkeys((size.low, size.high)):
            known: dict[str, int] = {}
            with suppress(InputError):
                if end:
                    known = electrode_size(case.store, f"{end:g} {size.unit}", case.system)[1]
            if end and not known and not too_thick(case, size):
                found.setdefault(f"{end:g} {size.unit}".strip(), []).append(size.place)
    for text, places in found.items():
        yield this.finding(
            "not checked",
            f"electrode size {text} is none that is sold by any table: "
            "nothing was compared with it",
            place=places[0],
            also_at=places[1:],
            value=text,
            next_step="confirm the size and its unit",
        )


def _values(case: Case, this: Rule) -> Iterator[Finding]:
    """Tell what is stated in a unit that is none of its quantity, or in words alone."""
    procedure = case.procedure
    stated: list[tuple[str, Range, str]] = [
        (f"{label}, {name.replace('_', ' ')}", given, dimension)
        for weld, label, _ in passes(case)
        for name, dimension in DIMENSIONS.items()
        if (given := getattr(weld, name)) is not None
    ]
    for called, ranges, dimension in (
        ("thickness", procedure.thickness, "length"),
        ("preheat", procedure.preheat_min, "temperature"),
        ("interpass", procedure.interpass_max, "temperature"),
        ("heat input", procedure.heat_input, "heat input"),
    ):
        stated += [(called, given, dimension) for given in ranges]
    for called, given, dimension in stated:
        numbers = (given.low, given.high, given.typical)
        number = next((n for n in numbers if n is not None), None)
        if number is None or case.value(number, given, dimension) is not None:
            continue
        yield this.finding(
            "not checked",
            f"{called}: '{given}' is in no unit that is known for it: it was not compared",
            place=given.place,
            value=str(given),
            next_step="state the unit",
        )
