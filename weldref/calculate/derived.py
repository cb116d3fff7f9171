"""Work out what follows from the settings: heat input, with and without k, and deposition rate.

Each value names its formula, the printed numbers that it uses, and how well these were read. What
is missing is named; nothing is assumed except what a note says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from weldref.advice.choices import metals_of
from weldref.calculate.by_name import SHOWN, convert
from weldref.core.situation import Situation
from weldref.core.units import Units, Value
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.formula import Result, Source
from weldref.formulas.heat import arc_energy, heat_input
from weldref.formulas.thermal_efficiency import process_with_k, thermal_efficiencies
from weldref.formulas.wire import deposition_rate
from weldref.grades import GRADES, weakest

HEAT_NEEDS = ("current", "voltage", "travel_speed")
WIRE_FED = ("GMAW", "FCAW", "SAW")
TUBULAR = ("FCAW",)
# The table of densities has its own names for some metals.
_WIRES = {"aluminium 4043/5356": "aluminium", "copper deoxidised": "deoxidised copper"}


@dataclass(frozen=True, slots=True)
class Follows:
    """One derived value.

    `us` and `metric` are the value in either system, with its unit; they are a range where a
    published range was used. `grade` is the weakest of its formula and its numbers.
    """

    name: str
    us: str
    metric: str
    equation: str
    grade: str
    sources: tuple[Source, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Derived:
    """What could be derived, and one sentence for each thing that could not."""

    values: tuple[Follows, ...]
    missing: tuple[str, ...]


def heat(situation: Situation, values: Mapping[str, Value]) -> Derived:
    """Derive arc energy and, for each published k, heat input.

    Parameters
    ----------
    situation
        The resolved question.
    values
        The settings by quantity, as `weldref.core.check.read_value` reads them.

    Examples
    --------
    >>> from weldref.core.check import read_value
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> typed = {"current": "200 A", "voltage": "25 V", "travel_speed": "10 in/min"}
    >>> values = dict(read_value(store, q, text, "us") for q, text in typed.items())
    >>> found = heat(describe(store, process="GMAW"), values)
    >>> [(one.name, one.us) for one in found.values][:2]
    [('Arc energy, without k', '30 kJ/in'), ('Heat input, k = 0.8', '24 kJ/in')]
    """
    lacking = [name for name in HEAT_NEEDS if name not in values]
    if lacking:
        needed = _listed([name.replace("_", " ") for name in lacking])
        verb = "is" if len(lacking) == 1 else "are"
        return Derived((), (f"Heat input needs {needed}, which {verb} not set",))
    volts, amps = values["voltage"].si, values["current"].si
    speed = values["travel_speed"].si
    term = situation.terms.get("process")
    process = process_with_k(term.broader) if term else None
    try:
        found = [_derived("Arc energy, without k", arc_energy(volts, amps, speed))]
        if process is None:
            return Derived(
                tuple(found), ("No thermal efficiency k is published here for this process",)
            )
        for source_id, k in thermal_efficiencies(process).items():
            result = heat_input(volts, amps, speed, process, source_id)
            note = (k.source.note,) if k.source.note else ()
            found.append(_derived(f"Heat input, k = {k.value:g}", result, notes=note))
    except InputError as error:
        return Derived((), (str(error),))
    return Derived(tuple(found), ())


def deposit(store: Store, situation: Situation, values: Mapping[str, Value]) -> Derived:
    """Derive the melting rate of a wire and the share of it that is deposited.

    Parameters
    ----------
    store
        The open store.
    situation, values
        As for `heat`.

    Examples
    --------
    >>> from weldref.core.check import read_value
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> bench = describe(store, process="GMAW", material="carbon steel", diameter="0.035")
    >>> values = dict([read_value(store, "wire_feed_speed", "300 in/min", "us")])
    >>> [(one.name, one.us) for one in deposit(store, bench, values).values]
    [('Melting rate', '4.91 lb/h'), ('Deposition rate', '4.52 to 4.81 lb/h')]
    """
    process = situation.terms.get("process")
    fed = next((p for p in WIRE_FED if process and p in process.broader), None)
    if fed is None:
        return Derived((), ())
    lacking = []
    if "wire_feed_speed" not in values:
        lacking.append("the wire feed speed")
    if situation.size is None:
        lacking.append("the wire diameter")
    if "material" not in situation.terms:
        lacking.append("the metal")
    if lacking or situation.size is None:
        return Derived((), (f"Deposition rate needs {_listed(lacking)}",))
    density = _density(store, situation)
    if density is None:
        return Derived((), ("No density is published here for this metal's wire",))
    rho, metal, about = density
    diameter = Units(store).parse(situation.size, "length", "in", "diameter").si
    kind = "tubular" if fed in TUBULAR else "solid"
    speed = values["wire_feed_speed"].si
    note = f"wire taken as {metal}"
    melted = deposition_rate(speed, diameter, rho, wire=kind)
    found = [_derived("Melting rate", melted, more=(about,), notes=(note,))]
    rows = store.rows(
        "SELECT * FROM deposition_efficiency WHERE process = $process ORDER BY rowid",
        {"process": fed},
    )
    missing = () if rows else ("No deposition efficiency is published here for this process",)
    for row in rows:
        low, high = (
            deposition_rate(speed, diameter, rho, row[end] / 100, kind) for end in ("min", "max")
        )
        place = Source(row["source_id"], row["locator"] or "", row["how_read"])
        share = f"of the wire {row['min']:g} to {row['max']:g} % is deposited"
        found.append(
            _derived(
                "Deposition rate", low, to=high, more=(about, place),
                notes=(note, share),
            )
        )  # fmt: skip
    return Derived(tuple(found), missing)


def _derived(
    name: str,
    result: Result,
    *,
    to: Result | None = None,
    more: Sequence[Source] = (),
    notes: Sequence[str] = (),
) -> Follows:
    metric, us = (_text(result, to, unit) for unit in SHOWN[result.unit])
    sources = tuple(dict.fromkeys((*result.sources, *more)))
    return Follows(
        name,
        us,
        metric,
        _EQUATIONS[name.split(",")[0]],
        weakest((result.grade, *(source.how_read for source in more))),
        sources,
        (*notes, *result.caveats),
    )


def _text(low: Result, high: Result | None, unit: str) -> str:
    # Three figures: more would claim a precision that no dial and no stopwatch has.
    numbers = [f"{convert(r.value, r.unit, unit):.3g}" for r in (low, high) if r is not None]
    return f"{' to '.join(dict.fromkeys(numbers))} {unit}"


_EQUATIONS = {
    "Arc energy": "U × I ÷ v",
    "Heat input": "k × U × I ÷ v",
    "Melting rate": "wire feed speed × π/4 × diameter² × density",
    "Deposition rate": "melting rate × deposition efficiency",
}


def _density(store: Store, situation: Situation) -> tuple[float, str, Source] | None:
    """Find the best-read density of a wire like the base metal: kg/m3, the metal, the source."""
    wider = situation.terms["material"].broader
    found: list[tuple[int, int, int, dict[str, Any]]] = []
    for row in store.rows("SELECT * FROM densities ORDER BY rowid"):
        names = (_WIRES[row["material"]],) if row["material"] in _WIRES else None
        near = [wider[n] for n in names or metals_of(store, row["material"]) if n in wider]
        if near:
            found.append((GRADES.index(row["how_read"]), min(near), len(found), row))
    if not found:
        return None
    row = min(found)[-1]
    place = Source(row["source_id"], row["locator"] or "", row["how_read"], row["remark"] or "")
    return row["density"] * convert(1.0, row["unit"], "kg/m3"), row["material"], place


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
