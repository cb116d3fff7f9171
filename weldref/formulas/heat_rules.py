"""Heat input by rule: how each code computes it, and which refuses volts times amperes.

The codes give different letters to the same three ideas. NAVSEA 248 (b) is ASME IX QW-409.1 (c);
NAVSEA 248 (c) corresponds to ASME IX QW-409.1 (b). The word `form` names the idea.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula
from weldref.formulas.heat import (
    ArcTime,
    BeadLength,
    Current,
    Energy,
    Power,
    TravelSpeed,
    Voltage,
)
from weldref.formulas.thermal_efficiency import PROCESSES, efficiency_from

FORMS: Mapping[str, tuple[str, ...]] = {
    "volts-amperes": ("voltage", "current", "travel_speed"),
    "energy": ("energy", "bead_length"),
    "power": ("power", "arc_time", "bead_length"),
}
"""The forms that give an energy per length: the product of all quantities but the last, over it."""


@dataclass(frozen=True, slots=True)
class Clause:
    """One way in which a rule lets heat input be computed.

    Parameters
    ----------
    rule, letter
        The rule and its own letter for this way.
    form
        The idea behind it: a key of `FORMS`, or "deposit" for a measure of the weld metal laid,
        which is not an energy.
    equation
        In plain text.
    waveform_controlled
        Whether the rule accepts it for waveform-controlled welding; None when its text on
        that was not seen.
    with_efficiency
        Whether the thermal efficiency k of the process is in it.
    source
        Where it is printed.
    """

    rule: str
    letter: str
    form: str
    equation: str
    waveform_controlled: bool | None
    with_efficiency: bool
    source: Source


def _en(form: str, equation: str, note: str) -> Clause:
    source = Source("en-1011-1", "clause on heat input", "memory", note)
    waveform = None if form == "volts-amperes" else True
    return Clause("en-1011-1", "", form, equation, waveform, True, source)


def _asme(letter: str, form: str, equation: str) -> Clause:
    note = "roles of (a), (b), (c) read; the equations as navsea-248-r1 prints them"
    source = Source("asme-ix-2023", f"QW-409.1 {letter}, Appendix H", "read", note)
    return Clause("asme-ix", letter, form, equation, letter == "(c)", False, source)


def _navsea(letter: str, form: str, equation: str, note: str = "") -> Clause:
    source = Source("navsea-248-r1", f"4-4.1.13.2 {letter}", "read", note)
    return Clause("navsea-248", letter, form, equation, letter[1] == "b", False, source)


CLAUSES: tuple[Clause, ...] = (
    _en("volts-amperes", "Q = k U I / v", "the same in ISO/TR 17671-1"),
    _en("energy", "Q = k E / L", "k on a measured arc energy: Q = k AE"),
    _en("power", "Q = k P t / L", "k on a measured arc energy: Q = k AE"),
    _asme("(a)", "volts-amperes", "U I / v"),
    _asme("(b)", "deposit", "volume of weld metal per length"),
    _asme("(c)", "energy", "E / L"),
    _asme("(c)", "power", "P t / L"),
    _navsea("(a)", "volts-amperes", "U I / v"),
    _navsea("(b1)", "energy", "E / L"),
    _navsea("(b2)", "power", "P t / L"),
    _navsea("(c)", "deposit", "bead length per length of electrode", "SMAW only"),
)
"""Every way that the rules allow. The letters of two rules do not correspond; the forms do."""

_K_OF_EN = "twi-arc-energy-slides-2006"
"""The printed table used for the k of EN 1011-1, whose own text was not seen."""

RULES: tuple[str, ...] = tuple(dict.fromkeys(clause.rule for clause in CLAUSES))

_AVERAGES = Source(
    "wj-2010-heat-input",
    "p. 61",
    "read",
    "why the codes separate waveform-controlled welding",
)


@formula(
    equation="U I / v, E / L or P t / L; times k for EN 1011-1",
    result=Symbol("Q", "J/m", "heat input per length as the rule means it"),
    sources=(_AVERAGES,),
    valid="the form must be one that the rule accepts for the waveform",
    parts={"efficiency": ""},
)
def heat_input_by_rule(
    *,
    rule: Annotated[str, Symbol("", "", "the rule that governs", choices=RULES)],
    form: Annotated[str, Symbol("", "", "what was measured", choices=tuple(FORMS))],
    waveform: Annotated[
        str,
        Symbol(
            "",
            "",
            "whether the power source controls the waveform, as in pulsed welding",
            choices=("not-controlled", "controlled"),
        ),
    ],
    process: Annotated[
        str, Symbol("", "", "process, for the k of en-1011-1 only", choices=tuple(PROCESSES))
    ]
    | None = None,
    voltage: Voltage | None = None,
    current: Current | None = None,
    travel_speed: TravelSpeed | None = None,
    energy: Energy | None = None,
    power: Power | None = None,
    arc_time: ArcTime | None = None,
    bead_length: BeadLength | None = None,
) -> Outcome:
    """Heat input the way a chosen rule computes it.

    Forms: ``volts-amperes`` is U I / v, ``energy`` is E / L, ``power`` is P t / L. EN 1011-1
    (ISO/TR 17671-1 is alike) multiplies by the thermal efficiency k of the process; ASME IX
    QW-409.1 and NAVSEA 248 4-4.1.13.2 do not. A waveform is "controlled" when the power source
    shapes it (pulsed, controlled short-circuiting).

    EN 1011-1 is recalled, and what it says of waveform control was not seen: volts-amperes with a
    controlled waveform is computed there with a caveat. The result names the clause that was used,
    too. Refused if the rule does not allow volts-amperes because the waveform is controlled, or if
    a quantity of the form is missing or one of another form is given.

    Examples
    --------
    >>> found = heat_input_by_rule(
    ...     rule="navsea-248", form="energy", waveform="controlled",
    ...     energy=60_000.0, bead_length=0.05,
    ... )
    >>> found.value, found.sources[-1].locator
    (1200000.0, '4-4.1.13.2 (b1)')

    The same idea under the letters of each rule:

    >>> {clause.rule: clause.letter for clause in CLAUSES if clause.form == "deposit"}
    {'asme-ix': '(b)', 'navsea-248': '(c)'}
    """
    clause = next(one for one in CLAUSES if (one.rule, one.form) == (rule, form))
    controlled = waveform == "controlled"
    if controlled and clause.waveform_controlled is False:
        raise InputError(_refusal(clause))
    given = {
        "voltage": voltage,
        "current": current,
        "travel_speed": travel_speed,
        "energy": energy,
        "power": power,
        "arc_time": arc_time,
        "bead_length": bead_length,
    }
    *factors, per = _measured(form, given)
    arc = math.prod(factors) / per
    if not clause.with_efficiency:
        return Outcome(arc, parts={"arc_energy": arc}, sources=(clause.source,))
    if process is None:
        raise InputError(f"process: {rule} multiplies by the thermal efficiency of the process")
    efficiency = efficiency_from(_K_OF_EN, process)
    caveats: tuple[str, ...] = ()
    if controlled and clause.waveform_controlled is None:
        caveats = (
            "the waveform is controlled: the product of average volts and amperes is not the "
            "power of the arc; what EN 1011-1 says of this was not seen",
        )
    return Outcome(
        efficiency.value * arc,
        caveats,
        {"arc_energy": arc, "efficiency": efficiency.value},
        (efficiency.source, clause.source),
    )


def _refusal(clause: Clause) -> str:
    allowed = [
        f"{one.form} {one.letter}"
        for one in CLAUSES
        if one.rule == clause.rule and one.form in FORMS and one.waveform_controlled
    ]
    return (
        f"form: {clause.source.source_id} {clause.source.locator} takes volts times amperes only "
        "where the waveform is not controlled, because the product of average readings is not "
        f"the power of a pulsed arc; give {' or '.join(allowed)}"
    )


def _measured(form: str, given: Mapping[str, float | None]) -> list[float]:
    needed = FORMS[form]
    missing = [name for name in needed if given[name] is None]
    if missing:
        raise InputError(f"form {form} needs {', '.join(missing)}")
    unused = [name for name, value in given.items() if value is not None and name not in needed]
    if unused:
        raise InputError(f"form {form} does not use {', '.join(unused)}; leave it out")
    return [value for name in needed if (value := given[name]) is not None]
