"""Check that process, filler, polarity, gas and settings of a pass go together."""

from __future__ import annotations

from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.finding import RULES, Alike, Finding, Rule, Severity, rule
from weldref.audit.published import stated_of
from weldref.audit.understood import DIMENSIONS
from weldref.core.setup import SetupFinding, Strength, findings
from weldref.core.units import Value
from weldref.procedures.model import Pass, Range, Text

SEVERITY_OF: dict[Strength, Severity] = {
    "cannot be": "contradiction",
    "unusual": "question",
    "worth knowing": "note",
}
"""How grave each strength of a set-up rule is in a document."""

STORED = {"preheat_min": "preheat", "interpass_max": "interpass"}
"""Quantities of a pass that the tables call by another name."""

ELSEWHERE = {
    "filler": "filler-and-metal",
    "process": "process-and-filler",
    "gas": "gas-and-process",
    "tungsten": "gas-and-process",
}
"""Rules of the audit that report the gravest case of a topic from a printed source."""


@rule("set-up")
def set_up(case: Case, this: Rule) -> Iterator[Finding]:
    """Ask the set-up rules pass by pass, at both ends of each range; one rule, one finding."""
    told_elsewhere = {
        topic
        for topic, name in ELSEWHERE.items()
        if any(found.severity == "contradiction" for found in RULES[name].run(case))
    }
    alike, first = Alike(this), dict[str, SetupFinding]()
    for weld, label, _ in passes(case):
        for turn, situation in enumerate(case.situations(weld)):
            told: dict[str, SetupFinding] = {}
            for values in _ends(case, weld, _ends_of(case, weld, turn)):
                for found in findings(case.store, situation, values):
                    told.setdefault(found.rule, found)
            for name in told:
                found = first.setdefault(name, told[name])
                if found.strength == "cannot be" and found.topic in told_elsewhere:
                    continue  # one cause, one finding
                severity = SEVERITY_OF[found.strength]
                alike.add(
                    "note" if severity == "note" else "", _place(case, found, weld), label=label,
                    situation=situation, source=(found.source_id, found.locator, found.how_read),
                    severity=severity, about=found.rule, what=found.what, why=found.why,
                    expected=f"unless {found.exception}" if found.exception else "",
                )  # fmt: skip
    yield from alike.findings()


def _ends_of(case: Case, weld: Pass, turn: int) -> tuple[str, ...]:
    """Which ends of a window count for a size: of several, the low one for the smallest.

    A window that is printed for several sizes is not wholly for each of them. The situations
    of a pass repeat its sizes in order; `turn` is the place of one of them.
    """
    sizes = dict.fromkeys(
        (f"{end:g} {size.unit}", value.si)
        for size in case.sizes(weld)
        for end in (size.low, size.high)
        if end and (value := case.value(end, size, "length")) is not None
    )
    metres = [si for _, si in sizes]
    if len(metres) < 2:
        return ("low", "high")
    own = metres[turn % len(metres)]
    return tuple(end for end, size in (("low", min(metres)), ("high", max(metres))) if own == size)


def _ends(case: Case, weld: Pass, wanted: tuple[str, ...]) -> Iterator[dict[str, Value]]:
    """The values of a pass at the low and at the high end of its ranges, as far as they count."""
    seen: list[dict[str, Value]] = []
    for end in wanted:
        values = {}
        for name, dimension in DIMENSIONS.items():
            if (given := stated_of(case, weld, name)) is None:
                continue
            numbers = [given.low, given.high] if end == "low" else [given.high, given.low]
            number = next((n for n in (*numbers, given.typical) if n is not None), None)
            if (value := case.value(number, given, dimension)) is not None:
                values[STORED.get(name, name)] = value
        if values not in seen:
            seen.append(values)
            yield values


def _place(case: Case, found: SetupFinding, weld: Pass) -> str:
    """The place of what the set-up rule is about: a value or a setting before the base metal."""
    written: dict[str, Text | None] = {
        "polarity": case.polarity(weld),
        "gas": case.gas(weld),
        "position": weld.position or next(iter(case.procedure.positions), None),
        "transfer_mode": next(iter(case.transfer_modes(weld)), None),
    }
    last = ("filler_class", "material", "process")
    for condition in sorted(
        found.conditions, key=lambda one: last.index(one) if one in last else -1
    ):
        names = [name for name in DIMENSIONS if STORED.get(name, name) == condition]
        given: Range | None = stated_of(case, weld, names[0]) if names else None
        places = [one.place for one in (written.get(condition), given) if one]
        if condition == "filler_class":
            places += [place for _, place in case.filler_classes(weld)]
        if condition == "material":
            places += [place for _, place in case.metals]
        if place := next(filter(None, places), ""):
            return place
    return weld.place
