"""Choose the printed lines from which a card can start, and read their values.

Lines are ordered by how closely they fit, then by what kind of statement they are, then by grade. A
broad row, one end of a setting, and a row under a special condition never give a start. Nothing is
interpolated.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from weldref.core.cases import SAID_FIRST
from weldref.core.lookup import FITS, Fit, Match, find_with_own, with_conditions
from weldref.core.rows import as_row
from weldref.core.setup import findings
from weldref.core.situation import Situation, sizes_of, unit_of
from weldref.core.units import Units, tidy
from weldref.core.verdict import Reading, by_document
from weldref.core.wording import asks
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.grades import GRADES, weakest

STEPS = {
    "A": 5.0, "V": 0.5, "in/min": 1.0, "mm/min": 10.0, "m/min": 0.1, "ft3/h": 1.0, "L/min": 1.0,
    "psi": 1.0, "bar": 0.1, "in": 1 / 16, "mm": 0.5, "F": 5.0, "C": 5.0,
}  # fmt: skip
"""How finely a dial or a rule is read: the middle of a range is rounded to this."""

DECIDED = ("electrode_size", "filler_class", "transfer_mode", "thickness", "material")
"""Conditions that a value beside the leading line may not add if rows differ in them."""


ASKED_FIRST = ("material", "thickness", "transfer_mode", "filler_class", *SAID_FIRST)
"""Conditions in the order in which a card asks for them."""


@dataclass(frozen=True, slots=True)
class CardValue:
    """One quantity of a card.

    `min` and `max` are the range, `value` is a single printed setting, all in `unit`, the unit that
    was asked for; `start` is that setting or the middle of the range, as a dial shows it.
    `printed` is the statement as printed. `grade` is how it was read, `fit` how closely the row
    fits. `same_line` tells whether it is on the line that leads the card. `assumed` are the
    conditions under which it holds and that were not said. `reading` is the verdict, if a value
    was proposed.
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
        return printed_range(self.min, self.max, self.value, self.unit)

    @property
    def recalled(self) -> bool:
        """Whether it was recalled from memory, so that it passes and fails nothing."""
        return self.grade == "memory"


@dataclass(frozen=True, slots=True)
class CardLine:
    """A line of one source that fits, with all its values and the conditions that it adds."""

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
    """One answer to the card's question: the value of the condition and the setting it leads to.

    `setting` is None if the answer leaves several settings, because more has to be said.
    """

    value: str
    setting: CardValue | None

    @property
    def range(self) -> str:
        """The range of the setting; empty if there are several."""
        return self.setting.shown if self.setting else ""


@dataclass(frozen=True, slots=True)
class CardAsk:
    """The question whose answer changes the card most."""

    condition: str
    options: tuple[Option, ...]

    def text(self, most: int = 12) -> str:
        """Write the question and its answers in one line."""
        said = [": ".join(filter(None, (one.value, one.range))) for one in self.options[:most]]
        left = len(self.options) - most
        said += [f"{left} more"] if left > 0 else []
        return f"{asks(self.condition)} {'; '.join(said)}"


def starting_rows(store: Store, situation: Situation, quantity: str, grade: str) -> list[Match]:
    """Return the rows of a quantity that may give a start, including own rows."""
    found = find_with_own(store, situation, quantity, grade)
    kept = [m for m in found if m.gives_verdict and not m.bounds and not m.special]
    return [m for rows in by_document(kept, situation.units).values() for m in rows]


def _rank(match: Match) -> tuple[int, ...]:
    """Order rows that fit: own, printed, recalled; then by fit, kind of statement and grade."""
    return (
        not match.row.get("own"),
        # A row for one of many sizes that does not mention the plate cannot choose the size.
        bool(match.drivers_unsaid) and "thickness" in match.silent_on,
        match.recalled,
        -FITS.index(match.fit),
        len(match.drivers_unsaid),
        9 if match.is_limit else (*VERDICT_BASES,).index(match.row["basis"]),
        GRADES.index(match.grade),
        len(match.assumptions),
    )


def lines_of(
    store: Store,
    situation: Situation,
    matches: Mapping[str, Sequence[Match]],
    leads: Sequence[str],
    refused: Collection[str],
) -> list[CardLine]:
    """Group the rows by printed line, and order the lines that have a quantity of `leads`.

    A line that adds one of the `refused` polarities comes last. One that adds what a set-up rule
    calls unusual is left out: the card suggests it to nobody who did not ask for it.
    """
    gathered: dict[str, list[Match]] = defaultdict(list)
    for rows in matches.values():
        for match in rows:
            gathered[_line_of(match)].append(match)

    def place(rows: Sequence[Match]) -> tuple[object, ...]:
        advised_against = any(
            "polarity" in m.assumed and m.row["polarity"] in refused for m in rows
        )
        rank = min(_rank(m) for m in rows if m.row["quantity"] in leads)
        return advised_against, rank[:5], -len(rows), rank, _line_of(rows[0])

    leading = [rows for rows in gathered.values() if any(m.row["quantity"] in leads for m in rows)]
    lines = [_line(store, situation, rows) for rows in sorted(leading, key=place)]
    odd = _odd(store, situation)
    return [
        line
        for line in lines
        if _odd(store, with_conditions(store, situation, line.assumed)) <= odd
    ]


def _odd(store: Store, situation: Situation) -> set[str]:
    """Return the rules that call a set-up unusual or impossible, whatever its values."""
    found = findings(store, situation)
    return {one.rule for one in found if one.strength != "worth knowing"}


def without_guesses(
    matches: Mapping[str, Sequence[Match]], ask: CardAsk | None
) -> Mapping[str, Sequence[Match]]:
    """Leave out the rows that guess the answer to the question, unless they are for this plate.

    Nothing is left if the question is the metal: a row that names no metal is a setting for none.
    """
    if ask is None:
        return matches
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


def _line_of(match: Match) -> str:
    """Return the name of a row's line; a row without one is a line by itself."""
    return str(match.row["line"] or match.row["window_id"])


def _line(store: Store, situation: Situation, rows: Sequence[Match]) -> CardLine:
    """Make the line of some rows, with the best row of each quantity."""
    best: dict[str, Match] = {}
    for match in sorted(rows, key=_rank):
        best.setdefault(match.row["quantity"], match)
    values = tuple(_value(store, situation, match) for match in best.values())
    first = min(rows, key=_rank)
    return CardLine(
        _line_of(first),
        first.row["source_id"],
        first.row["source"],
        weakest(m.grade for m in best.values()),
        first.fit,
        first.row["basis"],
        bool(first.row.get("own")),
        {n: m.state(n) for m in best.values() for n in SAID_FIRST if n in m.assumed},
        values,
    )


def other_value(store: Store, completed: Situation, quantity: str, grade: str) -> CardValue | None:
    """Return the best value of a quantity that the leading line lacks.

    `completed` is the situation with the conditions that the leading line adds.
    """
    rows = sorted(starting_rows(store, completed, quantity, grade), key=_rank)
    best = next((match for match in rows if not _undecided(match, rows)), None)
    return None if best is None else _value(store, completed, best, same_line=False)


def _undecided(match: Match, rows: Sequence[Match]) -> bool:
    """Tell whether another row adds another value of a condition, with another range."""
    return any(
        other.row[end] != match.row[end]
        for name in DECIDED
        if name in match.assumed
        for other in rows
        if name in other.assumed and other.state(name) != match.state(name)
        for end in ("min_si", "max_si", "typical_si")
    )


def _value(
    store: Store, situation: Situation, match: Match, *, same_line: bool = True
) -> CardValue:
    """Make a value of a row, in the units of the situation."""
    units, row = Units(store), match.row
    unit = unit_of(store, row["quantity"], situation.units)
    printed = as_row(units, match, None)
    value, low, high = (
        None if row[name] is None else tidy(units.convert(row[name], unit), 4)
        for name in ("typical_si", "min_si", "max_si")
    )
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
        printed=printed_range(printed.min, printed.max, printed.typical, printed.unit),
        grade=match.grade,
        fit=match.fit,
        basis=row["basis"],
        source_id=row["source_id"],
        locator=row["locator"],
        line=_line_of(match),
        same_line=same_line,
        own=bool(row.get("own")),
        assumed=printed.assumed,
    )


def printed_range(low: float | None, high: float | None, typical: float | None, unit: str) -> str:
    """Write a range, or a single setting, with its unit."""
    if low is not None and high is not None:
        return f"{low:g} to {high:g} {unit}" if low != high else f"{low:g} {unit}"
    if low is not None:
        return f"at least {low:g} {unit}"
    return f"at most {high:g} {unit}" if high is not None else f"{typical:g} {unit}"


def _on_dial(middle: float, low: float, high: float, unit: str) -> float:
    """Round the middle of a range to what a dial shows, never out of the range."""
    step = STEPS.get(unit)
    rounded = round(middle / step) * step if step else middle
    return tidy(rounded if low <= rounded <= high else middle, 4)


def question(
    store: Store,
    situation: Situation,
    matches: Mapping[str, Sequence[Match]],
    leads: Sequence[str],
) -> CardAsk | None:
    """Find the unsaid condition on which the leading quantity depends most."""
    for quantity in leads:
        rows = [m for m in matches[quantity] if m.is_range]
        unsaid = {name for m in rows for name in m.drivers_unsaid}
        for condition in (name for name in ASKED_FIRST if name in unsaid):
            options = _options(store, situation, rows, condition)
            ranges = {option.range for option in options}
            if len(options) > 1 and ranges != {options[0].range} - {""}:
                return CardAsk(condition, options)
    return None


def _options(
    store: Store, situation: Situation, rows: Sequence[Match], condition: str
) -> tuple[Option, ...]:
    """List the values that rows add for a condition, each with the best setting for it."""
    found: dict[str, Option] = {}
    best = sorted(rows, key=lambda match: (match.recalled, _rank(match)))
    for match in (one for one in best if condition in one.assumed):
        stated = match.state(condition)
        value = _value(store, situation, match)
        if stated not in found:
            found[stated] = Option(stated, value)
        elif set(match.drivers_unsaid) != {condition} and found[stated].range != value.shown:
            found[stated] = Option(stated, None)
    sizes = sizes_of(store)
    return tuple(
        sorted(found.values(), key=lambda option: (sizes.get(option.value, 0.0), option.value))
    )
