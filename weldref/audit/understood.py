"""Report what was not understood, and so could not be compared with anything."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Any

from weldref.audit.case import GAS_PROCESSES, NOTHING_SAID, Case
from weldref.audit.consistency import passes
from weldref.audit.finding import Alike, Finding, Rule, rule
from weldref.audit.plausible import too_thick
from weldref.audit.published import QUANTITIES
from weldref.core.situation import electrode_size
from weldref.errors import InputError
from weldref.procedures.model import Range, Text, gather

DIMENSIONS = QUANTITIES | {"preheat_min": "temperature", "interpass_max": "temperature"}
"""The dimension of each quantity of a pass."""


@rule("understood")
def understood(case: Case, this: Rule) -> Iterator[Finding]:
    """Report everything without a known term or unit once, with all its places."""
    procedure = case.procedure
    yield from _unread(this, "process", case.unread_processes)
    yield from _which_process(case, this)
    yield from _for_which_pass(case, this)
    for metal in procedure.base_metals:
        unread_of, taken = case.unread_in(metal)
        read_as = f"taken as {taken}" if taken else "nothing was compared with it"
        yield from _unread(this, "term", unread_of, called="base metal", taken=read_as)
    fillers = [text for one in procedure.fillers if (text := one.classification or one.text)]
    classes = [
        Text(name, place=text.place)
        for text in (*fillers, *gather(procedure, "passes.filler_class"))
        for name in case.classes_in(text.text) or [text.text]
    ]
    for called, texts, known in (
        ("filler metal", classes, lambda text: case.term("filler_class", text)),
        ("gas", gather(procedure, "gases.composition", "passes.gas"),
         lambda text: case.gas_in(text) is not None),
        ("position", gather(procedure, "positions", "passes.position"), case.positions_in),
        ("polarity", gather(procedure, "polarities", "passes.polarity"),
         lambda text: case.term("polarity", text)),
        ("joint", gather(procedure.joint, "text", "kind", "weld"),
         lambda _: case.joint),
        ("transfer mode", gather(procedure, "transfer_modes", "passes.transfer_mode"),
         lambda text: case.term("transfer_mode", text)),
    ):  # fmt: skip
        unread = (one for one in texts if not known(one.text))
        yield from _unread(
            this, "term", unread, called=called, taken="nothing was compared with it"
        )
    yield from _sizes(case, this)
    yield from _values(case, this)


def _unread(this: Rule, key: str, texts: Iterable[Text], **words: Any) -> Iterator[Finding]:
    """Report each text once, with every place; "does not apply" and the like are left out."""
    alike = Alike(this)
    for text in texts:
        if text.text.strip(" .").casefold() not in NOTHING_SAID:
            written = text.text.strip()
            alike.add(key, text.place, written, text=written, **words)
    yield from alike.findings()


def _which_process(case: Case, this: Rule) -> Iterator[Finding]:
    """Report passes without a process: their values are compared with nothing."""
    open_passes = [weld.place for weld in case.procedure.passes if not weld.process]
    if open_passes and len(case.processes) != 1 and not case.unread_processes:
        several = " or ".join(case.processes)
        which = f"no process ({several})" if several else "no process"
        yield this.finding("which process", open_passes, which=which, count=len(open_passes))


def _for_which_pass(case: Case, this: Rule) -> Iterator[Finding]:
    """Report what the document states several times without saying for which pass."""
    procedure = case.procedure
    if not procedure.passes:
        yield this.finding("no pass")
        return
    flows = tuple(g.flow for g in procedure.gases if g.role == "shielding" and g.flow)
    for called, own, several in (
        ("polarity", "polarity", procedure.polarities),
        ("gas flow", "gas_flow", flows),
        ("preheat", "preheat_min", procedure.preheat_min),
        ("interpass temperature", "interpass_max", procedure.interpass_max),
    ):
        values = list(dict.fromkeys(str(one) for one in several))
        unsettled = [
            label
            for weld, label, process in passes(case)
            if getattr(weld, own) is None
            and not (own == "polarity" and case.polarity(weld))
            and not (own == "gas_flow" and not _flow_left(case, process))
        ]
        if len(values) > 1 and unsettled:
            yield this.finding(
                "which pass",
                [one.place for one in several],
                value=", ".join(values),
                called=called,
                values=" or ".join(values),
                labels=", ".join(unsettled),
            )
    yield from _several(case, this)


def _several(case: Case, this: Rule) -> Iterator[Finding]:
    """Report conditions listed for one pass: a row for only one of them settles nothing."""
    alike = Alike(this)
    for weld, label, _ in passes(case):
        positions = [weld.position] if weld.position else [*case.procedure.positions]
        for called, texts, names in (
            ("transfer mode", modes := case.transfer_modes(weld), [text.text for text in modes]),
            ("position", positions, [n for t in positions for n in case.positions_in(t.text)]),
        ):
            if len(set(names)) > 1:
                listed = ", ".join(dict.fromkeys(names))
                alike.add("several", texts[0].place, listed, label, called=called, listed=listed)
    yield from alike.findings()


def _flow_left(case: Case, process: str | None) -> bool:
    """Whether a process that needs gas has no flow of its own."""
    own = [
        gas.flow
        for gas in case.procedure.gases
        if gas.role == "shielding" and gas.process and case.process(gas.process.text) == process
    ]
    return process in GAS_PROCESSES and len([flow for flow in own if flow]) != 1


def _sizes(case: Case, this: Rule) -> Iterator[Finding]:
    sizes = [*gather(case.procedure, "fillers.sizes")]
    sizes += [size for weld in case.procedure.passes for size in case.sizes(weld)]
    alike = Alike(this)
    for size in sizes:
        for end in filter(None, dict.fromkeys((size.low, size.high))):
            known: dict[str, int] = {}
            with suppress(InputError):
                known = electrode_size(case.store, f"{end:g} {size.unit}", case.system)[1]
            if not known and not too_thick(case, size):
                text = f"{end:g} {size.unit}".strip()
                alike.add("size", size.place, text, text=text)
    yield from alike.findings()


def _values(case: Case, this: Rule) -> Iterator[Finding]:
    """Report values whose unit is not one of their quantity."""
    procedure = case.procedure
    stated: list[tuple[str, Range, str]] = [
        (f"{label}, {name.replace('_', ' ')}", given, dimension)
        for weld, label, _ in passes(case)
        for name, dimension in DIMENSIONS.items()
        for given in gather(weld, name)
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
        if number is not None and case.si(number, given, dimension) is None:
            yield this.finding("unit", [given.place], value=str(given), called=called, given=given)
