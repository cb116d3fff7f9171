"""Judge every line of a job ticket with the engine of `weldref check`.

A ticket is what somebody set for a job. Numbers are judged by `weldref.core.check`; polarity
and gas by the statements of the reference tables; a recorded heat input by
`weldref.formulas`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, ClassVar, Literal

from weldref.advice import choices
from weldref.advice.choices import Statement
from weldref.audit.finding import Finding as Audited
from weldref.audit.procedure_audit import audit_procedure
from weldref.core.bands import compare_value
from weldref.core.check import check_situation, read_value, read_values
from weldref.core.gas import Composition, Gases, Share, holds, parse_mixture
from weldref.core.setup import SetupFinding
from weldref.core.setup import findings as findings_of
from weldref.core.situation import Situation, describe
from weldref.core.terms import Vocabulary
from weldref.core.units import Units, parse_number
from weldref.core.verdict import Reading
from weldref.data.store import Store
from weldref.formulas.heat import heat_input
from weldref.handouts.words import later
from weldref.handouts.worked import efficient_process
from weldref.procedures.model import BaseMetal, Filler, Pass, Procedure, Range, Text

RIGHT, WRONG, ASK = later("right"), later("wrong"), later("ask")
"""What a ticket is answered by."""

Outcome = Literal["passes", "fails", "open"]
HEAT_SLACK = 0.05
"""How far a recorded heat input may be from the computed one, as a share."""

_POLARITY = re.compile(r"DCEP|DCEN|AC|DC")
_RANGE = re.compile(r"Ar \+ (\d+)-(\d+)% (CO2|O2|He)")


@dataclass(frozen=True, slots=True)
class Ticket:
    """A job as a practice sheet shows it.

    `conditions` are the keywords of `weldref.check`; `readings` the set values by quantity as
    typed; `shown` further values that no published range covers. `recorded_heat` is in kJ/in and
    comes with voltage, current and travel speed. `family` says what the ticket is about and
    `mistake` what was planted ("" for a clean one).
    """

    family: str
    conditions: Mapping[str, str]
    readings: Mapping[str, str] = field(default_factory=dict)
    shown: Mapping[str, str] = field(default_factory=dict)
    recorded_heat: float | None = None
    mistake: str = ""
    meant: str = ""
    """For a slip of unit: the intended value."""

    procedure: Mapping[str, tuple[str, str, str]] = field(default_factory=dict)
    """The ranges of an invented procedure by quantity: lowest, highest, unit."""

    numbers: Mapping[str, str] = field(default_factory=dict)
    """The P-Number and F-number of an invented procedure, by the fields of the model."""

    unit: ClassVar[str] = ""
    """A ticket is answered by a word."""

    @property
    def answer(self) -> str:
        """What it is answered by, in English as a file of answers has it."""
        if self.family == "depends":
            return ASK
        return WRONG if self.mistake else RIGHT


@dataclass(frozen=True, slots=True)
class Finding:
    """What the engine says of one line of a ticket.

    `subject` is a quantity or "polarity", "gas", "recorded heat", "set-up", "p_number",
    "f_number"; `word` the verdict. `limits` are those of the written procedure, where the value is
    held against it; `rule` is the set-up rule that was found to apply.
    """

    subject: str
    value: str
    outcome: Outcome
    word: str
    reading: Reading | None = None
    statements: tuple[Statement, ...] = ()
    computed: float | None = None
    efficiency: float | None = None
    limits: tuple[str, str, str] | None = None
    rule: SetupFinding | None = None


def resolve(store: Store, conditions: Mapping[str, str]) -> Situation:
    """Resolve the conditions of a ticket."""
    keywords: dict[str, Any] = dict(conditions)
    return describe(store, **keywords)


def judge_ticket(store: Store, ticket: Ticket) -> tuple[Finding, ...]:
    """Judge every line of a ticket."""
    situation = resolve(store, ticket.conditions)
    if ticket.family == "set-up":
        return set_up_findings(store, situation, ticket)
    if ticket.family == "written":
        return written_findings(store, situation, ticket)
    findings = [
        procedure_finding(store, quantity, ticket.readings[quantity], limits)
        for quantity, limits in ticket.procedure.items()
    ]
    if ticket.readings:
        for reading in check_situation(store, situation, ticket.readings).readings:
            outcome: Outcome = "passes" if reading.verdict == "inside" else "fails"
            if reading.verdict in ("depends", "no published range"):
                outcome = "open"
            value = f"{reading.value:g} {reading.unit}"
            findings.append(Finding(reading.quantity, value, outcome, reading.verdict, reading))
    if "polarity" in situation.terms:
        findings.append(polarity_finding(store, ticket.conditions))
    if situation.composition is not None and "transfer_mode" in situation.terms:
        findings.append(gas_finding(store, situation))
    if ticket.recorded_heat is not None:
        findings.append(heat_finding(store, situation, ticket))
    return tuple(findings)


def breaks_a_rule(store: Store, ticket: Ticket) -> bool:
    """Tell whether a ticket breaks a set-up rule in what nobody planted."""
    if ticket.family in ("set-up", "written"):
        return False  # judged by these rules
    return cannot_be(store, ticket, PLANTED.get(ticket.family, ()) if ticket.mistake else ())


def cannot_be(store: Store, ticket: Ticket, planted: Sequence[str] = ()) -> bool:
    """Tell whether a set-up rule says that a ticket cannot be, apart from `planted` topics."""
    sense = _sense(store, resolve(store, ticket.conditions), ticket)
    return any(rule.strength == "cannot be" and rule.topic not in planted for rule in sense)


def _sense(store: Store, situation: Situation, ticket: Ticket) -> list[SetupFinding]:
    """Return what the set-up rules say, without what is only worth knowing."""
    values = read_values(store, ticket.readings, situation.units)
    return [f for f in findings_of(store, situation, values) if f.strength != "worth knowing"]


def set_up_findings(store: Store, situation: Situation, ticket: Ticket) -> tuple[Finding, ...]:
    """Judge a set-up by the set-up rules; an unusual one leaves the ticket open."""
    if found := tuple(_against(rule) for rule in _sense(store, situation, ticket)):
        return found
    named = [*_polarity_statements(store, ticket.conditions), *_gas_statements(store, situation)]
    said = later("no set-up rule is against it")
    return (Finding("set-up", "", "passes", said, statements=tuple(named)),)


def _against(rule: SetupFinding) -> Finding:
    outcome: Outcome = "fails" if rule.strength == "cannot be" else "open"
    return Finding("set-up", "", outcome, rule.strength, rule=rule)


def _polarity_statements(store: Store, conditions: Mapping[str, str]) -> list[Statement]:
    """Return what names the polarity of a job, printed or recalled."""
    given = conditions.get("polarity")
    named = _all_polarities(store, _deciding(conditions)) if given else ()
    return [s for s in named if not s.refuses and given in _POLARITY.findall(s.value)]


def _gas_statements(store: Store, situation: Situation) -> list[Statement]:
    """Return what names the shielding gas of a job, printed or recalled."""
    if situation.composition is None or not choices.takes_gas(situation):
        return []
    return _naming(choices.gases(store, situation), situation.composition)


def _naming(statements: Iterable[Statement], given: Composition) -> list[Statement]:
    """Keep the statements that name a gas."""
    return [s for s in statements if any(holds(one, given) for one in _composition(s.value))]


def written_findings(store: Store, situation: Situation, ticket: Ticket) -> tuple[Finding, ...]:
    """Judge a small procedure by the audit: each contradiction that it finds is one finding."""
    found = []
    for one in _audited(tuple(ticket.conditions.items()), tuple(ticket.numbers.items())):
        if one.rule == "set-up" and one.severity in ("contradiction", "question"):
            found += [_against(r) for r in _sense(store, situation, ticket) if r.rule == one.about]
        elif one.rule == "stated-numbers":
            word = later("not the number of the tables")
            given = Statement(one.expected, "", (), one.grade, None, one.source_id, one.locator)
            if one.place == "p_number":
                given = p_number(store, ticket.conditions["material"]) or given
            found.append(Finding(one.place, one.value, "fails", word, statements=(given,)))
        elif one.severity in ("contradiction", "outside"):
            found.append(Finding(one.rule, one.value, "open", one.severity))
    if not found:
        named = _polarity_statements(store, ticket.conditions)
        said = later("the audit finds no contradiction")
        found.append(Finding("set-up", "", "passes", said, statements=tuple(named)))
    return tuple(found)


def p_number(store: Store, metal: str) -> Statement | None:
    """Return the P-Number of a metal with its source; None if the tables have none."""
    query = 'SELECT *, "group" AS named FROM material_groups WHERE material = $metal'
    for row in store.rows(query, {"metal": metal}):
        if match := re.search(r"P-No\.\d+", row["named"]):
            place = (row["how_read"], row["status"], row["source_id"], row["locator"])
            return Statement(match[0], "", (), *place)
    return None


@lru_cache(maxsize=2048)
def _audited(
    conditions: tuple[tuple[str, str], ...], numbers: tuple[tuple[str, str], ...]
) -> tuple[Audited, ...]:
    """Audit a small procedure; many tickets share one."""
    ticket = Ticket("written", dict(conditions), numbers=dict(numbers))
    return audit_procedure(procedure_of(ticket)).findings


def procedure_of(ticket: Ticket) -> Procedure:
    """Write a ticket as the procedure that it shows."""
    given = {name: Text(value) for name, value in ticket.conditions.items()}
    numbers = {name: Text(value, place=name) for name, value in ticket.numbers.items()}
    process, filler = given["process"], given["electrode"]

    def stated(name: str) -> tuple[Text, ...]:
        return (given[name],) if name in given else ()

    def size(name: str) -> Range:
        number, unit = ticket.conditions[name].split()
        return Range(parse_number(number), parse_number(number), unit)

    weld = Pass(
        label=Text("all"), process=process, filler_class=filler, sizes=(size("diameter"),),
        polarity=given["polarity"], transfer_mode=given.get("transfer_mode"),
        position=given["position"], gas=given.get("gas"),
    )  # fmt: skip
    return Procedure(
        processes=(process,), positions=(given["position"],), polarities=(given["polarity"],),
        base_metals=(BaseMetal(text=given["material"], p_number=numbers.get("p_number")),),
        fillers=(Filler(classification=filler, f_number=numbers.get("f_number")),),
        transfer_modes=stated("transfer_mode"), thickness=(size("thickness"),), passes=(weld,),
    )  # fmt: skip


PLANTED = {
    "polarity": ("polarity",),
    "gas": ("gas",),
    "setting": ("size",),
    "preheat": ("preheat",),
}
"""Topics of the set-up rules that a planted mistake may break, by family."""


def procedure_finding(
    store: Store, quantity: str, typed: str, limits: tuple[str, str, str]
) -> Finding:
    """Compare a value with the range of a written procedure."""
    low, high, unit = limits
    ends = [read_value(store, quantity, f"{end} {unit}", "us")[1].si for end in (low, high)]
    word, _ = compare_value(ends[0], ends[1], read_value(store, quantity, typed, "us")[1].si)
    outcome: Outcome = "passes" if word == "inside" else "fails"
    return Finding(quantity, typed, outcome, word, limits=limits)


def passes(findings: Sequence[Finding]) -> bool:
    """Tell whether everything on a ticket was judged and is right."""
    return bool(findings) and all(finding.outcome == "passes" for finding in findings)


@lru_cache(maxsize=2048)
def _all_polarities(store: Store, conditions: tuple[tuple[str, str], ...]) -> tuple[Statement, ...]:
    """Return what the tables say of the polarity, printed or recalled; many tickets share it."""
    return tuple(choices.polarities(store, resolve(store, dict(conditions))))


DECIDE_POLARITY = ("process", "material", "electrode", "thickness")


def _deciding(conditions: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple((name, conditions[name]) for name in DECIDE_POLARITY if name in conditions)


def polarity_finding(store: Store, conditions: Mapping[str, str]) -> Finding:
    """Judge the polarity by the tables of polarity, covered electrodes and flux cored wires."""
    given = resolve(store, conditions).terms["polarity"]
    allowing, against = [], []
    for statement in _printed(_all_polarities(store, _deciding(conditions))):
        # "DC" alone does not say which polarity.
        named = set(_POLARITY.findall(statement.value)) - {"DC"}
        fits = bool(named & set(given.broader))
        if statement.refuses:
            against += [statement] if fits else []
        elif fits:
            allowing.append(statement)
        elif not statement.advice:
            # A class's entry names every kind of current it is made for.
            against.append(statement)
    outcome: Outcome = "fails" if against else "passes" if allowing else "open"
    words = {
        "fails": later("not this polarity"),
        "passes": later("as published"),
        "open": later("nothing published"),
    }
    statements = tuple(against or allowing)
    return Finding("polarity", given.name, outcome, words[outcome], statements=statements)


def gas_finding(store: Store, situation: Situation) -> Finding:
    """Judge the shielding gas by what the tables name for the metal and the transfer mode."""
    given, value = situation.composition or {}, situation.gas or ""
    of_mode = [s for s in _printed(choices.gases(store, situation)) if _composition(s.value)]
    if fitting := _naming(of_mode, given):
        return Finding("gas", value, "passes", later("as published"), statements=tuple(fitting))
    if not of_mode:
        return Finding("gas", value, "open", later("nothing published"))
    terms = {name: term for name, term in situation.terms.items() if name != "transfer_mode"}
    anywhere = _printed(choices.gases(store, replace(situation, terms=terms)))
    elsewhere = _naming(anywhere, given)
    word = later("not published for this metal")
    if elsewhere:
        word = later("published for another transfer mode")
    return Finding("gas", value, "fails", word, statements=(*of_mode, *elsewhere))


def heat_finding(store: Store, situation: Situation, ticket: Ticket) -> Finding:
    """Compare a recorded heat input with what the other numbers give."""
    recorded = ticket.recorded_heat or 0.0
    value = f"{recorded:g} kJ/in"
    process = efficient_process(situation)
    if process is None:
        return Finding("recorded heat", value, "open", later("nothing published"))
    computed, efficiency = heat_of(store, {**ticket.readings, **ticket.shown}, process)
    fits = abs(recorded - computed) <= HEAT_SLACK * computed
    outcome: Outcome = "passes" if fits else "fails"
    word = later("follows") if fits else later("does not follow")
    return Finding("recorded heat", value, outcome, word, computed=computed, efficiency=efficiency)


def heat_of(store: Store, values: Mapping[str, str], process: str) -> tuple[float, float]:
    """Compute heat input in kJ/in, and the thermal efficiency, from values as typed."""
    volts, amps, speed = (
        read_value(store, name, values[name], "us")[1].si
        for name in ("voltage", "current", "travel_speed")
    )
    result = heat_input(voltage=volts, current=amps, travel_speed=speed, process=process)
    return Units(store).convert(result.value, "kJ/in"), result.parts["efficiency"]


def _printed(statements: Iterable[Statement]) -> list[Statement]:
    """Keep what was seen in print and is not in doubt: recalled statements decide nothing."""
    return [s for s in statements if s.how_read != "memory" and s.status is None]


def _composition(text: str) -> list[Composition]:
    """Read a gas as a table prints it: "98% Ar + 2% O2", "Ar + 1-5% O2", two with a semicolon."""
    found = []
    for part in text.split("; "):
        if match := _RANGE.fullmatch(part):
            low, high = float(match[1]), float(match[2])
            found.append({"Ar": Share(100 - high, 100 - low), match[3]: Share(low, high)})
        elif mixture := parse_mixture(part):
            found.append(mixture)
    return found


def vocabulary_gases(store: Store, wide: str) -> list[str]:
    """List single mixtures that lie inside a printed range of mixtures, or the gas itself."""
    name, composition = Vocabulary(store).gas(wide)
    if all(share.low == share.high for share in composition.values()):
        return [name]
    return [
        gas
        for gas, printed in Gases(store).compositions.items()
        if holds(composition, printed) and all(s.low == s.high for s in printed.values())
    ]
