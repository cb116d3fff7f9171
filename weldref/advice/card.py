"""Fill one card that answers "what do I set?": one printed line and what completes it.

The values come from one line of one source where a line prints several; what the line lacks comes
from another one that goes with it, and says so. Lines are ordered by how closely they fit, then by
what kind of statement they are, then by grade. A recalled line leads where nothing printed fits,
marked as recalled. A broad row, one side of a setting, and a row under a special condition never
give a start. Nothing is interpolated.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Any

from weldref.advice import choices
from weldref.core.bands import compare_value
from weldref.core.cases import SAID_FIRST
from weldref.core.cautions import Caution, cautions_for
from weldref.core.check import NOT_APPROVAL, judge_in_set_up, read_values
from weldref.core.lookup import Fit, Match, find, neighbours, with_conditions
from weldref.core.setup import SetupFinding, findings, preheat_method
from weldref.core.situation import Situation, conditions_in, describe, sizes_of
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Near, Reading, as_row, by_document, near_rows
from weldref.core.wording import asks, html_table
from weldref.data.own import Given, plain
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store, described, open_tables
from weldref.errors import InputError
from weldref.grades import GRADES, weakest

SAID = ("transfer_mode", "filler_class", "electrode_size", "polarity", "gas", "tungsten_class")
"""Conditions of the leading line that the card names among what to set up."""

STEPS = {
    "A": 5.0, "V": 0.5, "in/min": 1.0, "mm/min": 10.0, "m/min": 0.1, "ft3/h": 1.0, "L/min": 1.0,
    "psi": 1.0, "bar": 0.1, "in": 1 / 16, "mm": 0.5, "F": 5.0, "C": 5.0,
}  # fmt: skip
"""How finely a dial or a rule is read: the middle of a range is given no finer."""

DECIDED = ("electrode_size", "filler_class", "transfer_mode", "thickness", "material")
"""Conditions that a value beside the leading line may not add where rows differ in them."""


@dataclass(frozen=True, slots=True)
class CardValue:
    """One quantity of a card.

    `min` and `max` are the range, `value` the single setting that is printed, in `unit`, the unit
    that was asked for; `start` is that setting or the middle of the range, as a dial shows it.
    `printed` is the statement as printed. `grade` is how it was read, `fit` how closely the row
    fits. `same_line` tells whether it stands on the line that leads the card. `assumed` are the
    conditions under which it holds and that were not said. `reading` is the verdict where a
    value was proposed.
    """

    quantity: str
    value: float | None
    min: float | None
    max: float | None
    start: float | None
    unit: str
    printed: str
    grade: str
    fit: Fit
    basis: str
    source_id: str
    locator: str | None
    line: str
    same_line: bool
    own: bool
    assumed: dict[str, str]
    reading: Reading | None = None

    @property
    def shown(self) -> str:
        """The range or setting in the unit that was asked for."""
        return _printed(self.min, self.max, self.value, self.unit)

    @property
    def recalled(self) -> bool:
        """Whether it was recalled from memory: it passes and fails nothing."""
        return self.grade == "memory"


@dataclass(frozen=True, slots=True)
class CardLine:
    """One line of one source that fits, with all its values and the conditions that it adds."""

    line: str
    source_id: str
    source: str
    grade: str
    fit: Fit
    basis: str
    own: bool
    assumed: dict[str, str]
    values: tuple[CardValue, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """One answer to the card's question: the condition's value, and the setting that it gives.

    `setting` is None where the answer leaves several, because more has to be said.
    """

    value: str
    setting: CardValue | None

    @property
    def range(self) -> str:
        """The range that it gives; empty where it leaves several."""
        return self.setting.shown if self.setting else ""


@dataclass(frozen=True, slots=True)
class CardAsk:
    """The one question whose answer changes the card most."""

    condition: str
    options: tuple[Option, ...]

    def text(self, most: int = 12) -> str:
        """Write the question and its answers in one line."""
        said = [": ".join(filter(None, (one.value, one.range))) for one in self.options[:most]]
        left = len(self.options) - most
        said += [f"{left} more"] if left > 0 else []
        return f"{asks(self.condition)} {'; '.join(said)}"


@dataclass(frozen=True, slots=True)
class Tungsten:
    """A tungsten whose capacity holds the card's current: a size and class that carry it."""

    size: str
    tungsten_class: str | None
    printed: str
    grade: str
    source_id: str
    locator: str | None


@dataclass(frozen=True, slots=True)
class Card:
    """What to set for a situation, from one line as far as it goes, and what to mind.

    `set_up` holds what else the leading line names: size, polarity, gas, filler. `lines` are all
    lines that fit, the leading one first; a line that only guesses the answer to the question
    `ask` is none. Without a line and a question, `neighbours` are the nearest rows of what would
    lead. Nothing leads where a set-up rule says that no printed range is for such a set-up.
    """

    situation: dict[str, str]
    set_up: dict[str, str]
    values: tuple[CardValue, ...]
    lines: tuple[CardLine, ...]
    neighbours: tuple[Near, ...]
    ask: CardAsk | None
    missing: tuple[str, ...]
    shades: tuple[choices.Shade, ...]
    polarities: tuple[choices.Statement, ...]
    gases: tuple[choices.Statement, ...]
    fillers: tuple[choices.Statement, ...]
    tungstens: tuple[Tungsten, ...]
    sense: tuple[SetupFinding, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    dataset: dict[str, str]
    reminder: str = NOT_APPROVAL
    own_tables: dict[str, str] | None = None

    def __repr__(self) -> str:
        title = ", ".join((*self.situation.values(), *self.set_up.values()))
        said = "; ".join(
            f"{one.quantity.replace('_', ' ')} {one.shown} ({one.grade})" for one in self.values
        )
        following = self.reminder
        if self.ask:
            following = self.ask.text()
        return "\n".join((f"card: {title}", said or "nothing to start from yet", following))

    def _repr_html_(self) -> str:
        """The card as a notebook shows it: a line for each setting, the question, the cautions."""
        lines = [
            (
                one.quantity.replace("_", " "),
                "" if one.start is None else f"{one.start:g} {one.unit}",
                one.shown,
                one.fit,
                one.grade,
                f"{one.source_id}, {one.locator or 'place not noted'}",
            )
            for one in self.values
        ]
        title, _, following = repr(self).split("\n")
        notes = [f"{found.strength}: {found.what}" for found in self.sense]
        notes += list(dict.fromkeys((following, self.reminder)))
        notes += [caution.wording for caution in self.cautions]
        return html_table(title, ("set", "start", "range", "fit", "grade", "source"), lines, notes)

    def as_dict(self) -> dict[str, Any]:
        """The card as plain dictionaries and lists, as ``--json`` prints it."""
        content = asdict(self)
        beside = ("situation", "sense", "cautions", "notes", "dataset", "reminder", "own_tables")
        inner = {name: value for name, value in content.items() if name not in beside}
        answer: dict[str, Any] = plain(
            {"card": inner} | {name: content[name] for name in beside}, self.own_tables
        )
        return answer


ASKED_FIRST = ("material", "thickness", "transfer_mode", "filler_class", *SAID_FIRST)
"""Conditions in the order in which a card asks for them."""


def card(
    store: Store,
    situation: Situation,
    values: Mapping[str, Value] | None = None,
    grade: str = "memory",
    line: int = 0,
) -> Card:
    """Make the card of a situation.

    Parameters
    ----------
    store, situation
        The open store and what was said of the work; the process is what a card needs.
    values
        Proposed values by stored names of quantities, each judged beside the card's.
    grade
        The lowest evidence grade to accept.
    line
        Which of the lines that fit leads the card, to look through several.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> found = card(store, describe(store, process="SMAW", electrode="E7018", diameter="1/8"))
    >>> [(v.quantity, v.min, v.max, v.start, v.grade) for v in found.values][0]
    ('current', 110.0, 160.0, 135.0, 'read')
    """
    proposed = values or {}
    process = situation.terms.get("process")
    shown = card_quantities(store, process.name) if process else {}
    matches = _fitting(store, situation, grade, shown)
    polarities = choices.polarities(store, situation)
    refused = {one.value for one in polarities if one.refuses}
    ask = _ask(store, situation, matches, shown)
    stated = findings(store, situation, proposed)
    lines: list[CardLine] = []
    made_for_it = not any(found.holds_back for found in findings(store, situation))
    if made_for_it:
        leads = [q for q, leads in shown.items() if leads]
        lines = _lines(store, situation, _told(matches, ask), leads, refused)
    # Settings of another metal are not near where the metal is the question.
    near = made_for_it and not lines and not (ask and ask.condition == "material")
    leading = lines[line % len(lines)] if lines else None
    set_up = dict(leading.assumed) if leading else {}
    completed = with_conditions(store, situation, set_up)
    found = {value.quantity: value for value in (leading.values if leading else ())}
    if leading is not None:
        for quantity in shown:
            if quantity not in found and (other := _other(store, completed, quantity, grade)):
                found[quantity] = other
    judged = {
        quantity: judge_in_set_up(store, situation, quantity, value, grade, stated)
        for quantity, value in proposed.items()
    }
    ordered = tuple(
        replace(found[quantity], reading=judged.get(quantity))
        for quantity in shown
        if quantity in found
    )
    amperes = _amperes(ordered, proposed)
    return Card(
        situation=situation.given(),
        set_up={name: value for name, value in set_up.items() if name in SAID},
        values=ordered,
        lines=tuple(lines),
        neighbours=_nearest(store, situation, shown, grade) if near else (),
        ask=ask,
        missing=tuple(quantity for quantity in shown if quantity not in found),
        shades=tuple(choices.shades(store, completed, amperes)),
        polarities=tuple(polarities),
        gases=tuple(choices.gases(store, situation)) if choices.takes_gas(situation) else (),
        fillers=tuple(choices.fillers(store, situation)),
        tungstens=_tungstens(store, completed, ordered, proposed, grade),
        sense=(
            *findings(store, completed, {**_starts(ordered, store), **proposed}),
            *preheat_method(store, situation),
        ),
        cautions=cautions_for(store, situation),
        notes=situation.notes,
        dataset=store.rows("SELECT version, digest FROM dataset")[0],
        own_tables=described(store),
    )


def bench(*, grade: str = "memory", own: Given = None, line: int = 1, **said: Any) -> Card:
    """Answer what to set for what is on the bench, with one card.

    Parameters
    ----------
    grade, own
        As in `weldref.check`.
    line
        Which of the lines that fit leads the card, from 1 on.
    **said
        The conditions of `weldref.check`; anything else is a proposed value by its quantity.

    Raises
    ------
    InputError
        If a condition, a quantity or a value is not accepted, or no process is named.

    Examples
    --------
    >>> found = bench(process="SMAW", electrode="E7018", diameter="1/8", current=130)
    >>> found.values[0].reading.verdict
    'inside'
    """
    conditions, proposed = conditions_in(said)
    store = open_tables(own)
    situation = describe(store, **conditions)
    return card_of(store, situation, read_values(store, proposed, situation.units), grade, line)


def card_of(
    store: Store, situation: Situation, values: Mapping[str, Value], grade: str, line: int
) -> Card:
    """Make the card of a situation that may lack what a card needs (see `bench`).

    Raises
    ------
    InputError
        If no process is named, or there is no such line.
    """
    if "process" not in situation.terms:
        raise InputError("process: a card needs one; give for example GMAW")
    if line < 1:
        raise InputError(f"line: {line} is not accepted; give 1 or more")
    found = card(store, situation, values, grade, line - 1)
    if line > max(len(found.lines), 1):
        raise InputError(f"line: {line} is not accepted; {len(found.lines)} lines fit")
    return found


@lru_cache(maxsize=64)
def card_quantities(store: Store, process: str) -> dict[str, bool]:
    """Return the quantities of a process's card in their order, and whether each may lead it.

    >>> from weldref.data.store import open_store
    >>> list(card_quantities(open_store(), "SMAW"))[:2]
    ['current', 'arc_length']
    """
    rows = store.rows(
        """
        SELECT quantity, leads FROM card_quantities c JOIN broader_terms b
        ON b.tree = 'processes' AND b.term = $process AND b.broader = c.process
        ORDER BY b.depth, c.rowid
        """,
        {"process": process},
    )
    return {row["quantity"]: row["leads"] for row in rows}


def starting_rows(store: Store, situation: Situation, quantity: str, grade: str) -> list[Match]:
    """Return the rows of a quantity that may give a start, own ones too."""
    found = find(store, situation, quantity, grade)
    if store.beside:
        found += find(store, situation, quantity, grade, own=True)
    kept = [m for m in found if m.gives_verdict and not m.bounds and not m.special]
    return [m for rows in by_document(kept, situation.units).values() for m in rows]


def _fitting(
    store: Store, situation: Situation, grade: str, shown: Iterable[str]
) -> dict[str, list[Match]]:
    return {quantity: starting_rows(store, situation, quantity, grade) for quantity in shown}


def _rank(match: Match) -> tuple[int, ...]:
    """Order rows that fit: own, then printed, then recalled; then by fit, kind and grade."""
    return (
        not match.row.get("own"),
        # Of many sizes, nothing chooses one where the row is silent on the plate.
        bool(match.drivers_unsaid) and "thickness" in match.silent_on,
        match.grade == "memory",
        ("exact", "near", "broad").index(match.fit),
        len(match.drivers_unsaid),
        (*VERDICT_BASES,).index(match.row["basis"]) if match.row["basis"] != "limit" else 9,
        GRADES.index(match.grade),
        len(match.assumptions),
    )


def _lines(
    store: Store,
    situation: Situation,
    matches: Mapping[str, Sequence[Match]],
    leads: Sequence[str],
    refused: Collection[str],
) -> list[CardLine]:
    """Gather the rows by printed line, and order the lines that hold what leads the card.

    A line that adds a polarity that a source advises against comes last. One that adds what a
    set-up rule calls unusual is left out: nobody is sent there who did not ask for it.
    """
    gathered: dict[str, list[Match]] = {}
    for rows in matches.values():
        for match in rows:
            gathered.setdefault(match.row["line"] or match.row["window_id"], []).append(match)
    ranked = sorted(
        (
            (
                any("polarity" in m.assumed and m.row["polarity"] in refused for m in rows),
                min(_rank(m) for m in rows if m.row["quantity"] in leads),
                -len(rows),
                name,
            )
            for name, rows in gathered.items()
            if any(m.row["quantity"] in leads for m in rows)
        ),
        key=lambda one: (one[0], one[1][:5], one[2], one[1], one[3]),
    )
    lines = [_line(store, situation, name, gathered[name]) for *_, name in ranked]
    odd = _odd(store, situation)
    return [
        line
        for line in lines
        if _odd(store, with_conditions(store, situation, line.assumed)) <= odd
    ]


def _odd(store: Store, situation: Situation) -> set[str]:
    """Name the rules that call a set-up unusual or impossible, whatever its values."""
    found = findings(store, situation)
    return {one.rule for one in found if one.strength != "worth knowing"}


def _told(
    matches: Mapping[str, Sequence[Match]], ask: CardAsk | None
) -> dict[str, Sequence[Match]]:
    """Leave out the rows that guess the answer to the question: not even the plate chooses it.

    Nothing is left where the metal is the question: what names no metal is not a setting for any.
    """
    if ask is None:
        return dict(matches)
    if ask.condition == "material":
        return {}
    return {
        quantity: [
            m
            for m in rows
            if ask.condition not in m.drivers_unsaid
            or (ask.condition != "thickness" and "thickness" in m.matched)
        ]
        for quantity, rows in matches.items()
    }


def _line(store: Store, situation: Situation, name: str, rows: Sequence[Match]) -> CardLine:
    best: dict[str, Match] = {}
    for match in sorted(rows, key=_rank):
        best.setdefault(match.row["quantity"], match)
    values = tuple(_value(store, situation, match, name, same=True) for match in best.values())
    first = min(rows, key=_rank)
    return CardLine(
        name,
        first.row["source_id"],
        first.row["source"],
        weakest(m.grade for m in best.values()),
        first.fit,
        first.row["basis"],
        bool(first.row.get("own")),
        {n: m.state(n) for m in best.values() for n in SAID_FIRST if n in m.assumed},
        values,
    )


def _nearest(
    store: Store, situation: Situation, shown: Mapping[str, bool], grade: str
) -> tuple[Near, ...]:
    """Return the nearest rungs of what would lead; without rungs, what is near otherwise."""
    leading = [name for name, leads in shown.items() if leads]
    found = [neighbours(store, situation, quantity, grade) for quantity in leading]
    rungs = [[one for one in near if one.side] for near in found]
    nearest = next(filter(None, (*rungs, *found)), [])
    return near_rows(store, nearest, situation)


def _other(store: Store, completed: Situation, quantity: str, grade: str) -> CardValue | None:
    """Return the best value for what the leading line lacks, under the conditions that it adds."""
    rows = sorted(starting_rows(store, completed, quantity, grade), key=_rank)
    rows = [m for m in rows if not _undecided(m, rows)]
    if not rows:
        return None
    name = rows[0].row["line"] or rows[0].row["window_id"]
    return _value(store, completed, rows[0], name, same=False)


def _undecided(match: Match, rows: Sequence[Match]) -> bool:
    """Tell whether a row adds a condition that another row adds otherwise, with other values."""
    return any(
        other.row[end] != match.row[end]
        for name in DECIDED
        if name in match.assumed
        for other in rows
        if name in other.assumed and other.state(name) != match.state(name)
        for end in ("min_si", "max_si", "typical_si")
    )


def _value(store: Store, situation: Situation, match: Match, line: str, *, same: bool) -> CardValue:
    units, row = Units(store), match.row
    unit = unit_of(store, row["quantity"], situation.units)
    printed = as_row(units, match, None)
    ends = [
        None if row[name] is None else _tidy(units.convert(row[name], unit))
        for name in ("typical_si", "min_si", "max_si")
    ]
    value, low, high = ends
    start = value
    if value is not None and unit != row["unit"]:
        start = _on_dial(float(f"{value:.2g}"), value * 0.95, value * 1.05, unit)
    if start is None and low is not None and high is not None:
        start = _on_dial((low + high) / 2, low, high, unit)
    return CardValue(
        quantity=row["quantity"],
        value=value,
        min=low,
        max=high,
        start=start,
        unit=unit,
        printed=_printed(printed.min, printed.max, printed.typical, printed.unit),
        grade=match.grade,
        fit=match.fit,
        basis=row["basis"],
        source_id=row["source_id"],
        locator=row["locator"],
        line=line,
        same_line=same,
        own=bool(row.get("own")),
        assumed=printed.assumed,
    )


@lru_cache(maxsize=256)
def unit_of(store: Store, quantity: str, system: UnitSystem) -> str:
    """Return the unit of a quantity in a unit system."""
    (row,) = store.rows("SELECT * FROM quantities WHERE quantity = $name", {"name": quantity})
    return str(row["us_unit"] if system == "us" else row["metric_unit"])


def _printed(low: float | None, high: float | None, typical: float | None, unit: str) -> str:
    if low is not None and high is not None:
        return f"{low:g} to {high:g} {unit}" if low != high else f"{low:g} {unit}"
    if low is not None:
        return f"at least {low:g} {unit}"
    return f"at most {high:g} {unit}" if high is not None else f"{typical:g} {unit}"


def _on_dial(middle: float, low: float, high: float, unit: str) -> float:
    """Round the middle of a range to what a dial shows, never out of the range."""
    step = STEPS.get(unit)
    rounded = round(middle / step) * step if step else middle
    return _tidy(rounded if low <= rounded <= high else middle)


def _ask(
    store: Store,
    situation: Situation,
    matches: Mapping[str, Sequence[Match]],
    shown: Mapping[str, bool],
) -> CardAsk | None:
    """Find the condition that was not said and on which the leading quantity turns most."""
    for quantity in (name for name, leads in shown.items() if leads):
        rows = [m for m in matches[quantity] if m.is_range]
        unsaid = {name for m in rows for name in m.drivers_unsaid}
        for condition in (name for name in ASKED_FIRST if name in unsaid):
            options = _options(store, situation, rows, condition)
            if len(options) > 1 and {option.range for option in options} != {options[0].range} - {
                ""
            }:
                return CardAsk(condition, options)
    return None


def _options(
    store: Store, situation: Situation, rows: Sequence[Match], condition: str
) -> tuple[Option, ...]:
    found: dict[str, Option] = {}
    best = sorted(rows, key=lambda match: (match.grade == "memory", _rank(match)))
    for match in (one for one in best if condition in one.assumed):
        stated = match.state(condition)
        line = match.row["line"] or match.row["window_id"]
        value = _value(store, situation, match, line, same=True)
        if stated not in found:
            found[stated] = Option(stated, value)
        elif set(match.drivers_unsaid) != {condition} and found[stated].range != value.shown:
            found[stated] = Option(stated, None)
    sizes = sizes_of(store)
    return tuple(
        sorted(found.values(), key=lambda option: (sizes.get(option.value, 0.0), option.value))
    )


def _amperes(values: Sequence[CardValue], proposed: Mapping[str, Value]) -> tuple[float, ...]:
    """Return the current for which the lens is chosen: the one proposed, else the card's top."""
    if "current" in proposed:
        return (proposed["current"].si,)
    current = next((value for value in values if value.quantity == "current"), None)
    top = None if current is None else (current.max or current.value)
    return () if top is None else (top,)


def _starts(values: Sequence[CardValue], store: Store) -> dict[str, Value]:
    """Return the card's own starts as proposed values, to hold them against each other."""
    units = Units(store).by_spelling
    found = {}
    for value in values:
        if value.start is not None:
            unit = units[value.unit]
            si = value.start * unit.factor + unit.shift
            found[value.quantity] = Value(value.start, value.unit, si, f"{value.start:g}")
    return found


def _tungstens(
    store: Store,
    completed: Situation,
    values: Sequence[CardValue],
    proposed: Mapping[str, Value],
    grade: str,
) -> tuple[Tungsten, ...]:
    """List the tungstens that carry the card's current, the smallest first.

    Where the wave of an AC was not said, a tungsten has to carry it in every one.
    """
    current = proposed.get("current") or _starts(values, store).get("current")
    if current is None or not choices.takes_tungsten(completed):
        return ()
    sizes = sizes_of(store)
    anywhere = replace(completed, thickness=None, size=None, sizes={})
    found: dict[tuple[str, str | None], Tungsten] = {}
    failing: set[tuple[str, str | None]] = set()
    for match in find(store, anywhere, "current", grade):
        row = match.row
        if not row["electrode_size"] or row["thickness_min_si"] is not None or not match.is_range:
            continue
        if compare_value(row["min_si"], row["max_si"], current.si)[0] == "inside":
            one = Tungsten(
                row["electrode_size"],
                row["tungsten_class"],
                _printed(row["min"], row["max"], row["typical"], row["unit"]),
                match.grade,
                row["source_id"],
                row["locator"],
            )
            found.setdefault((one.size, one.tungsten_class), one)
        else:
            failing.add((row["electrode_size"], row["tungsten_class"]))
    kept = [one for key, one in found.items() if key not in failing]
    return tuple(sorted(kept, key=lambda one: sizes.get(one.size, 1.0)))


def _tidy(number: float) -> float:
    return float(f"{number:.4g}")
