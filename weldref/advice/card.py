"""Answer "what do I set?" with one card: the values of one printed line, and what completes them.

The values come from one line of one source where a line prints several. What the line lacks comes
from another line that goes with it, and is marked. A recalled line leads only where no printed line
fits, marked as recalled.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Any

from weldref.advice import choices
from weldref.advice.lines import (
    CardAsk,
    CardLine,
    CardValue,
    Option,
    lines_of,
    other_value,
    printed_range,
    question,
    starting_rows,
    without_guesses,
)
from weldref.core.bands import compare_value
from weldref.core.cautions import Caution, cautions_for
from weldref.core.check import NOT_APPROVAL, dataset_of, judge_in_set_up, read_values
from weldref.core.lookup import find, with_conditions
from weldref.core.nearest import neighbours
from weldref.core.rows import Near, near_rows
from weldref.core.setup import SetupFinding, findings, preheat_method
from weldref.core.situation import Situation, conditions_in, describe, sizes_of
from weldref.core.units import Units, Value
from weldref.core.wording import html_table
from weldref.data.own import Given, plain
from weldref.data.store import Store, described, open_tables
from weldref.errors import InputError

__all__ = ["Card", "CardValue", "Option", "bench", "card", "card_of", "card_quantities"]

SAID = ("transfer_mode", "filler_class", "electrode_size", "polarity", "gas", "tungsten_class")
"""Conditions of the leading line that the card lists under what to set up."""


@dataclass(frozen=True, slots=True)
class Tungsten:
    """A size and class of tungsten that carries the card's current."""

    size: str
    tungsten_class: str | None
    printed: str
    grade: str
    source_id: str
    locator: str | None


@dataclass(frozen=True, slots=True)
class Card:
    """What to set for a situation, from one printed line as far as it goes, and what to mind.

    `set_up` is what else the leading line states: size, polarity, gas, filler. `lines` are all
    lines that fit, the leading one first, without those that only guess the answer to the question
    `ask`. Without a line and a question, `neighbours` are the nearest rows of what would lead.
    Nothing leads if a set-up rule says that no printed range is for such a set-up.
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
        following = self.ask.text() if self.ask else self.reminder
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
        The open store and what was said of the work; a card needs the process.
    values
        Proposed values by stored names of quantities, each judged beside the card's.
    grade
        The lowest evidence grade to accept.
    line
        Which of the lines that fit leads the card, from 0 on.

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
    leads = [quantity for quantity, may_lead in shown.items() if may_lead]
    matches = {name: starting_rows(store, situation, name, grade) for name in shown}
    polarities = choices.polarities(store, situation)
    refused = {one.value for one in polarities if one.refuses}
    ask = question(store, situation, matches, leads)
    stated = findings(store, situation, proposed)
    lines: list[CardLine] = []
    ranges_apply = not any(found.holds_back for found in findings(store, situation))
    if ranges_apply:
        lines = lines_of(store, situation, without_guesses(matches, ask), leads, refused)
    # If the question is the metal, settings for another metal are not near.
    near = ranges_apply and not lines and not (ask and ask.condition == "material")
    leading = lines[line % len(lines)] if lines else None
    set_up = dict(leading.assumed) if leading else {}
    completed = with_conditions(store, situation, set_up)
    found = {value.quantity: value for value in (leading.values if leading else ())}
    if leading is not None:
        for quantity in shown:
            if quantity not in found and (other := other_value(store, completed, quantity, grade)):
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
        neighbours=_nearest(store, situation, leads, grade) if near else (),
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
        dataset=dataset_of(store),
        own_tables=described(store),
    )


def bench(*, grade: str = "memory", own: Given = None, line: int = 1, **said: Any) -> Card:
    """Answer what to set, with one card for what is on the bench.

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
    """Make the card of a situation, or refuse one that names no process (see `bench`).

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


def _nearest(
    store: Store, situation: Situation, leads: Sequence[str], grade: str
) -> tuple[Near, ...]:
    """Return the nearest rungs of a quantity that may lead or, without rungs, other near rows."""
    found = [neighbours(store, situation, quantity, grade) for quantity in leads]
    rungs = [[one for one in near if one.side] for near in found]
    nearest = next(filter(None, (*rungs, *found)), [])
    return near_rows(store, nearest, situation)


def _amperes(values: Sequence[CardValue], proposed: Mapping[str, Value]) -> tuple[float, ...]:
    """Return the current for the lens shade: the proposed one, else the card's highest."""
    if "current" in proposed:
        return (proposed["current"].si,)
    current = next((value for value in values if value.quantity == "current"), None)
    top = None if current is None else (current.max or current.value)
    return () if top is None else (top,)


def _starts(values: Sequence[CardValue], store: Store) -> dict[str, Value]:
    """Return the card's own starts as values, to compare them with each other."""
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

    If the wave form of an AC was not said, a tungsten has to carry the current in all of them.
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
                printed_range(row["min"], row["max"], row["typical"], row["unit"]),
                match.grade,
                row["source_id"],
                row["locator"],
            )
            found.setdefault((one.size, one.tungsten_class), one)
        else:
            failing.add((row["electrode_size"], row["tungsten_class"]))
    kept = [one for key, one in found.items() if key not in failing]
    return tuple(sorted(kept, key=lambda one: sizes.get(one.size, 1.0)))
