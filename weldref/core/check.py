"""Check proposed values against what is published, first each alone, then all together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar, Unpack

from weldref.core.cases import Answer, Ask, Word
from weldref.core.cautions import Caution, cautions_for
from weldref.core.lookup import Match, find, with_conditions
from weldref.core.nearest import neighbours
from weldref.core.rows import Near, Row, near_rows, show_rows
from weldref.core.setup import SetupFinding, findings, preheat_method
from weldref.core.situation import (
    Conditions,
    Situation,
    describe,
    quantity_row,
    refuse_implausible,
    unit_of,
)
from weldref.core.terms import Vocabulary
from weldref.core.together import Together, together
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Judgement, Reading, judge
from weldref.core.wording import distance, html_table, next_line, reading_line
from weldref.data.own import Given, plain
from weldref.data.store import Store, described, open_tables
from weldref.errors import InputError

if TYPE_CHECKING:
    import pandas as pd

NOT_APPROVAL = (
    "Inside a published range is not safe, qualified or sound: the governing code, the "
    "consumable maker's data and a qualified person decide."
)


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The answer to a check.

    `verdict` is the worst of the readings: "inside" only when every reading is inside. `sense`
    lists what cannot be in the set-up, is unusual or is worth knowing, strongest first.
    """

    verdict: Word
    situation: dict[str, str]
    readings: tuple[Reading, ...]
    sense: tuple[SetupFinding, ...]
    together: Together | None
    assumptions: tuple[str, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    dataset: dict[str, str]
    reminder: str = NOT_APPROVAL
    own_tables: dict[str, str] | None = None

    @property
    def ask(self) -> Ask | None:
        """The first question of a reading whose verdict depends; None if there is none."""
        return next((reading.ask for reading in self.readings if reading.ask), None)

    def __repr__(self) -> str:
        said = "; ".join(reading_line(reading) for reading in self.readings)
        title = ", ".join(self.situation.values()) or "any situation"
        return "\n".join(
            (f"{self.verdict}: {title}", said, next_line(self.readings) or self.reminder)
        )

    def _repr_html_(self) -> str:
        """The result as a notebook shows it: a line for each value, the source, the question."""
        lines = []
        for one in self.readings:
            row = next(iter((*one.rows, *one.general, *one.conditional)), None)
            place = f"{row.source}, {row.locator or 'place not noted'}" if row else ""
            said = distance(one.verdict, one.by, one.unit)
            value = f"{one.value:g} {one.unit}"
            lines.append((one.quantity.replace("_", " "), value, said, one.fit, one.grade, place))
        title = ", ".join(self.situation.values()) or "any situation"
        notes = [f"{found.strength}: {found.what}" for found in self.sense]
        helping = [(one.quantity.replace("_", " "), next_line([one])) for one in self.readings]
        notes += [f"{name}: {line}" for name, line in helping if line]
        notes += [self.reminder, *(caution.wording for caution in self.cautions)]
        header = ("quantity", "value", "verdict", "fit", "grade", "first source")
        return html_table(f"{self.verdict}: {title}", header, lines, notes)

    def to_frame(self) -> pd.DataFrame:
        """The readings as a pandas frame: a line for each value, with fixed column types.

        Examples
        --------
        >>> answer = check(process="SMAW", electrode="E7018", diameter="1/8", current=250)
        >>> answer.to_frame()[["quantity", "verdict", "by", "fit"]].values.tolist()
        [['current', 'high', 90.0, 'near']]
        """
        from weldref.core.frames import readings_frame

        return readings_frame(self)

    def as_dict(self) -> dict[str, Any]:
        """The result as plain dictionaries and lists, as ``--json`` prints it."""
        answer: dict[str, Any] = plain(asdict(self), self.own_tables)
        return answer


def check(
    *,
    process: str | None = None,
    transfer_mode: str | None = None,
    material: str | None = None,
    electrode: str | None = None,
    diameter: str | float | None = None,
    thickness: str | float | None = None,
    joint: str | None = None,
    position: str | None = None,
    polarity: str | None = None,
    gas: str | None = None,
    tungsten: str | None = None,
    code: str | None = None,
    under_water: bool = False,
    in_service: bool = False,
    units: UnitSystem = "us",
    grade: str = "memory",
    own: Given = None,
    **readings: str | float,
) -> CheckResult:
    """Check proposed values against the published ranges that apply.

    Parameters
    ----------
    process, transfer_mode, material, electrode, joint, position, polarity, gas, tungsten
        The situation, in any common spelling; leave out what is not known.
    code
        The code or specification of the work, for example "AWS D1.1".
    diameter, thickness
        With a unit, as an inch fraction, or bare in the unit system of `units`.
    under_water, in_service
        Whether the work is under water, or on a line or vessel in service. Rows for such work
        apply to no other.
    units
        "us" or "metric": how bare numbers are read.
    grade
        The lowest evidence grade to accept: "read", "secondary" or "memory".
    own
        A folder of own tables or `weldref.data.own.OwnTables`; by default those that the
        environment or the config file names.
    **readings
        The proposed values by quantity: ``current=130``, ``wire_feed_speed="250 in/min"``.

    Returns
    -------
    CheckResult
        A verdict for each value, the rows on which it rests, and the cautions.

    Raises
    ------
    InputError
        If a condition, a quantity, a unit or a value is not accepted, or one is given twice.

    Examples
    --------
    Machinery's Handbook, 31st edition, p. 1594, Table 14 prints 110 to 160 A:

    >>> check(process="SMAW", electrode="E7018", diameter="1/8", current=130).verdict
    'inside'
    >>> answer = check(process="SMAW", electrode="E7018", diameter="1/8", current=250)
    >>> answer.verdict, answer.readings[0].by
    ('high', 90.0)
    """
    store = open_tables(own)
    situation = describe(
        store,
        process=process,
        transfer_mode=transfer_mode,
        material=material,
        electrode=electrode,
        diameter=diameter,
        thickness=thickness,
        joint=joint,
        position=position,
        polarity=polarity,
        gas=gas,
        tungsten=tungsten,
        code=code,
        under_water=under_water,
        in_service=in_service,
        units=units,
    )
    return check_situation(store, situation, readings, grade)


@dataclass(frozen=True, slots=True)
class Published:
    """The rows that apply to a situation, without a proposed value.

    `own_rows` are own rows used beside the published ones; used instead, they are in `rows`.
    """

    situation: dict[str, str]
    rows: tuple[Row, ...]
    neighbours: tuple[Near, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    dataset: dict[str, str]
    reminder: str = NOT_APPROVAL
    own_rows: tuple[Row, ...] = ()
    own_tables: dict[str, str] | None = None

    def as_dict(self) -> dict[str, Any]:
        """The rows as plain dictionaries and lists, as ``--json`` prints them."""
        answer: dict[str, Any] = plain(asdict(self), self.own_tables)
        return answer


def published(
    *,
    quantity: str | None = None,
    grade: str = "memory",
    own: Given = None,
    **conditions: Unpack[Conditions],
) -> Published:
    """Look up the published rows of a situation (conditions and own tables as in `check`).

    Rows that say what one may set come first, then by quantity, recalled rows after printed ones.

    Examples
    --------
    >>> found = published(process="SMAW", electrode="E7018", diameter="1/8", quantity="current")
    >>> [(row.min, row.max) for row in found.rows if row.how_read == "read"][0]
    (110.0, 160.0)
    """
    store = open_tables(own)
    situation = describe(store, **conditions)
    name = Vocabulary(store).quantity(quantity) if quantity else None
    matches = find(store, situation, name, grade)
    added = find(store, situation, name, grade, own=True) if store.beside else []
    order = [r["quantity"] for r in store.rows("SELECT quantity FROM quantities ORDER BY rowid")]
    for listed in (matches, added):
        listed.sort(
            key=lambda match: (
                not match.gives_verdict,
                order.index(match.row["quantity"]),
                match.grade == "memory",
            )
        )
    near = neighbours(store, situation, name, grade) if name and not matches else []
    return Published(
        situation=situation.given(),
        rows=show_rows(store, matches),
        neighbours=near_rows(store, near, situation),
        cautions=cautions_for(store, situation),
        notes=situation.notes,
        dataset=dataset_of(store),
        own_rows=show_rows(store, added),
        own_tables=described(store),
    )


def check_situation(
    store: Store, situation: Situation, readings: Mapping[str, str | float], grade: str = "memory"
) -> CheckResult:
    """Check proposed values in a situation that is already resolved (see `check`)."""
    if not readings:
        raise InputError("check: no value to check; give for example a current")
    values = read_values(store, readings, situation.units)
    matches = {quantity: find(store, situation, quantity, grade) for quantity in values}
    sense = (*findings(store, situation, values), *preheat_method(store, situation))
    judged = tuple(
        judge_in_set_up(store, situation, q, value, grade, sense, matches[q])
        for q, value in values.items()
    )
    assumptions = dict.fromkeys(
        str(one) for reading in judged for row in reading.rows for one in row.assumptions
    )
    return CheckResult(
        verdict=worst(reading.verdict for reading in judged),
        situation=situation.given(),
        readings=judged,
        sense=sense,
        together=together(store, values, matches) if len(values) > 1 else None,
        assumptions=tuple(assumptions),
        cautions=cautions_for(store, situation),
        notes=situation.notes,
        dataset=dataset_of(store),
        own_tables=described(store),
    )


def judge_in_set_up(
    store: Store,
    situation: Situation,
    quantity: str,
    value: Value,
    grade: str,
    sense: Iterable[SetupFinding],
    matches: list[Match] | None = None,
) -> Reading:
    """Judge a value as `judge` does, and let the set-up rules hold back what would pass.

    Where a code was named and no row fits a metal that has several kinds, the question is which
    kind it is, because codes differ by kind.
    """
    reading = judge(store, situation, quantity, value, grade, matches)
    metal = situation.terms.get("material")
    if reading.verdict == "no published range" and metal and "scope" in situation.terms:
        answers = tuple(
            Answer(name, one.verdict, one.by, tuple(row.window_id for row in one.rows))
            for name in _kinds_of(store, metal.name)
            for work in [with_conditions(store, situation, {"material": name})]
            for one in [judge(store, work, quantity, value, grade)]
            if one.verdict != "no published range"
        )
        if answers:
            other = Answer("", "no published range", None)
            reading = replace(reading, ask=Ask("material", answers, other))
    return _held_back(reading, sense)


@lru_cache(maxsize=512)
def _kinds_of(store: Store, metal: str) -> tuple[str, ...]:
    """Return the kinds directly below a metal, such as the grades of a specification."""
    rows = store.rows(
        "SELECT term FROM broader_terms "
        "WHERE tree = 'materials' AND broader = $metal AND depth = 1 ORDER BY term",
        {"metal": metal},
    )
    return tuple(row["term"] for row in rows)


def _held_back(reading: Reading, sense: Iterable[SetupFinding]) -> Reading:
    """Withdraw a verdict that would pass where a set-up rule lets nothing pass; a failure stays."""
    wrong = tuple(found.rule for found in sense if found.holds(reading.quantity))
    if not wrong:
        return reading
    reading = replace(
        reading,
        from_memory=_passing_nothing(reading.from_memory),
        from_own=_passing_nothing(reading.from_own),
    )
    if reading.verdict in _FAILS:
        return reading
    passed = reading.verdict != "no published range"
    return replace(_passing_nothing(reading), held_back=wrong if passed else ())


_Judged = TypeVar("_Judged", Reading, Judgement, Judgement | None)


def _passing_nothing(judged: _Judged) -> _Judged:
    """Remove every word that passes a value, from the verdict and from its rows.

    Rows under a condition that was not stated keep theirs: it may be the rule's exception.
    """
    if judged is None or judged.verdict in _FAILS:
        return judged
    return replace(
        judged,
        verdict="no published range",
        by=None,
        ask=None,
        cases=(),
        rows=_unjudged(judged.rows),
        general=_unjudged(judged.general),
    )


def _unjudged(rows: Iterable[Row]) -> tuple[Row, ...]:
    return tuple(replace(row, verdict="") if row.verdict == "inside" else row for row in rows)


_FAILS = ("low", "high", "sources differ")


def dataset_of(store: Store) -> dict[str, str]:
    """Return version and digest of the published tables."""
    return dict(_dataset(store))


@lru_cache(maxsize=8)
def _dataset(store: Store) -> dict[str, str]:
    return store.rows("SELECT version, digest FROM dataset")[0]


def read_value(store: Store, typed: str, text: str | float, units: UnitSystem) -> tuple[str, Value]:
    """Read a proposed value: the quantity's stored name and the value.

    Raises
    ------
    InputError
        If it is not a number with a fitting unit, or far outside what the trade ever sets.
    """
    quantity = Vocabulary(store).quantity(typed)
    name, dimension = quantity.replace("_", " "), quantity_row(store, quantity)["dimension"]
    value = Units(store).parse(text, dimension, unit_of(store, quantity, units), name)
    refuse_implausible(store, quantity, name, value)
    return quantity, value


def read_values(
    store: Store, typed: Mapping[str, str | float], units: UnitSystem
) -> dict[str, Value]:
    """Read proposed values, by the stored names of their quantities.

    Raises
    ------
    InputError
        If one is not accepted (see `read_value`), or a quantity is given twice.
    """
    values: dict[str, Value] = {}
    named: dict[str, str] = {}
    for name, text in typed.items():
        quantity, value = read_value(store, name, text, units)
        if quantity in values:
            said = quantity.replace("_", " ")
            raise InputError(f"{said}: given twice ({named[quantity]}, {name}); give it once")
        values[quantity], named[quantity] = value, name
    return values


_WORST_FIRST: tuple[Word, ...] = (
    *("low", "high", "sources differ", "depends", "no published range", "inside"),
)


def worst(words: Iterable[Word]) -> Word:
    """Return the worst of several verdicts; a value without one is not inside.

    >>> worst(["inside", "no published range"]), worst([])
    ('no published range', 'no published range')
    """
    return min(words, key=_WORST_FIRST.index, default="no published range")
