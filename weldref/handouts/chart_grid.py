"""Choose the rows, columns and cells of a wall chart.

A row of the chart is one printed line and what completes it, so that values that belong together
stay together; covered electrodes are listed by class and diameter. A cell holds the rows on which
a check would base a verdict, each with the number of its source; where nothing is printed it holds
recalled rows, marked as such. Nothing is interpolated, and the chart says what it leaves out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from weldref.advice import choices
from weldref.advice.card import card_quantities
from weldref.core.index import sold_as
from weldref.core.lookup import find, with_conditions
from weldref.core.situation import LABELS, Situation, describe, sizes_of
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart.model import SIZE_OF
from weldref.handouts.selection import Selection
from weldref.handouts.settings import Group, Setting, Settings, settings_for
from weldref.handouts.texts import Notes
from weldref.handouts.words import later

THICKNESSES = {
    "us": ("1/16 in", "1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in"),
    "metric": ("1.6 mm", "3.2 mm", "4.8 mm", "6.4 mm", "9.5 mm", "12.7 mm"),
}
"""Plate that a school has in stock: the rows of a chart if no thickness is given."""

CUT_THICKNESSES = {"us": ("3/4 in", "1 in"), "metric": ("19 mm", "25 mm")}
"""Thicker plate, added for cutting."""

AXES = ("thickness", "electrode", "diameter")
"""Conditions that may have several values on a chart; any other has one."""

SET_UP = (
    "process", "transfer_mode", "filler_class", "electrode_size", "gas", "polarity", "joint",
    "position",
)  # fmt: skip
"""What a line adds to the thickness and must be set up: a column each where the lines differ."""

NOT_CHARTED = ("preheat", "interpass")
"""Quantities that depend on metal, code and method: they are on the bench card."""

MOST_ENTRIES = 4
"""The most statements in a cell; instead of more, the cell says what they depend on."""


@dataclass(frozen=True, slots=True)
class Charted:
    """One cell before it is worded: the situation that it answers, and the rows that it shows.

    The rows are printed, or recalled where none is printed; own ones are apart. `depends` names
    the conditions that decide, where the rows are not shown.
    """

    situation: Situation
    quantity: str
    settings: tuple[Setting, ...]
    own: tuple[Setting, ...] = ()
    depends: tuple[str, ...] = ()

    @property
    def filled(self) -> bool:
        """Whether it shows anything."""
        return bool(self.settings or self.own)


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a chart: its labels and its cells by column."""

    labels: tuple[str, ...]
    cells: tuple[Charted, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A chart before it is worded.

    `heads` title the labels, `columns` the cells: each a title and the quantity that it shows.
    `shared` holds for every row; `left_out` says in sentences what the chart does not show.
    """

    shared: Situation
    heads: tuple[str, ...]
    columns: tuple[tuple[str, str], ...]
    lines: tuple[Line, ...]
    left_out: tuple[str, ...]

    def settings(self) -> list[tuple[Situation, Settings]]:
        """The rows shown, printed or recalled, by the situation that they answer."""
        return [
            (cell.situation, Settings((Group(cell.quantity, cell.settings),), (), 0, cell.own))
            for line in self.lines
            for cell in line.cells
            if not cell.depends
        ]

    def parts(self, pages: int) -> list[Grid]:
        """Split the rows over pages of about the same length; rows of one size stay together."""
        rows = [list(same) for _, same in groupby(self.lines, key=lambda line: line.labels[0])]
        parts: list[list[Line]] = [[]]
        for at, same in enumerate(rows):
            left, room = len(rows) - at, pages - len(parts)
            full = len(parts[-1]) + len(same) / 2 > len(self.lines) / pages
            if parts[-1] and room > 0 and (full or left <= room):
                parts.append([])
            parts[-1] += same
        return [replace(self, lines=tuple(part)) for part in parts]


def grid_of(store: Store, selection: Selection) -> Grid:
    """Choose the rows, columns and cells of a chart.

    Refuse one without a process, with a second value where it shows one, or with nothing known.
    """
    for name, texts in selection.given.items():
        if name not in AXES and len(texts) > 1:
            option = name.replace("_", "-")
            raise InputError(f"--{option}: a wall chart shows one; '{texts[1]}' is one too many")
    if "process" not in selection.given:
        raise InputError("--process: a wall chart needs one; give for example SMAW")
    base = _with(store, selection)
    if base.terms["process"].name == "SMAW" and len(selection.given.get("thickness", ())) < 2:
        return _by_electrode(store, selection, base)
    return _by_line(store, selection, base)


def _with(store: Store, selection: Selection, **axes: str) -> Situation:
    """Return the situation of the whole chart, with an electrode or sizes as typed."""
    given = {name: texts[0] for name, texts in selection.given.items() if name not in AXES}
    typed: dict[str, Any] = given | axes
    return describe(store, **typed, units=selection.typed)


# By electrode ------------------------------------------------------------------------------------


def _by_electrode(store: Store, selection: Selection, base: Situation) -> Grid:
    rows = [
        m.row
        for m in find(store, base, "current", selection.grade)
        if m.gives_verdict and not m.bounds and m.row["filler_class"] and m.row["electrode_size"]
    ]
    order = sizes_of(store)
    plate = {"thickness": given[0]} if (given := selection.given.get("thickness")) else {}
    classes = selection.given.get("electrode") or sorted({row["filler_class"] for row in rows})
    twins, unit = sold_as(store), " mm" if base.units == "metric" else " in"
    printed = {row["electrode_size"] for row in rows}
    known = {size for one in printed for size in (one, *twins.get(one, ())) if size.endswith(unit)}
    sizes = selection.given.get("diameter") or sorted(known, key=lambda size: order.get(size, 0.0))
    only = replace(selection, quantities=("current",))

    def cell(name: str, size: str) -> Charted:
        asked = _with(store, selection, electrode=name, diameter=size, **plate)
        return cell_of(asked, settings_for(store, asked, only), "current")

    lines = []
    for name in classes:
        label = _with(store, selection, electrode=name, **plate).given()["filler_class"]
        lines.append(Line((label,), tuple(cell(name, size) for size in sizes)))
    kept = [line for line in lines if any(cell.filled for cell in line.cells)]
    if not kept:
        raise _nothing(base)
    left_out = [line.labels[0] for line in lines if line not in kept]
    columns = _sold_as_one(sizes, kept, twins)
    kept = [replace(line, cells=tuple(line.cells[at] for at, _ in columns)) for line in kept]
    return Grid(
        _with(store, selection, **plate),
        (selection.words.say("electrode"),),
        tuple((label, "current") for _, label in columns),
        tuple(kept),
        _said_left_out(Notes(store, selection.words), left_out),
    )


def _sold_as_one(
    sizes: Sequence[str], lines: Sequence[Line], twins: Mapping[str, frozenset[str]]
) -> list[tuple[int, str]]:
    """Join neighbouring columns that are one size under two names; return place and label of each.

    They stay separate where a row of the chart differs in them.
    """

    def row_ids(at: int) -> list[set[str]]:
        cells = [line.cells[at] for line in lines]
        return [{one.row.window_id for one in (*cell.settings, *cell.own)} for cell in cells]

    columns: list[tuple[int, str]] = []
    for at, size in enumerate(sizes):
        first = columns[-1][0] if columns else at
        twin = twins.get(size, frozenset()) & twins.get(sizes[first], frozenset())
        if at > first and twin and row_ids(at) == row_ids(first):
            value, _, _ = columns[-1][1].rpartition(" ")
            columns[-1] = (first, f"{value} / {size}")
        else:
            columns.append((at, size))
    return columns


# By thickness or size, line by line --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Found:
    """One line before its cells are filled: its label, what it adds to set up, its rows."""

    label: str
    situation: Situation
    set_up: dict[str, str]
    rows: tuple[Setting, ...]

    @property
    def recalled(self) -> bool:
        row = self.rows[0].row
        return row.how_read == "memory" and not row.own

    @property
    def line(self) -> str:
        return _line_of(self.rows[0])


def _by_line(store: Store, selection: Selection, base: Situation) -> Grid:
    words, notes = selection.words, Notes(store, selection.words)
    process = base.terms["process"].name
    shown = card_quantities(store, process)
    columns = _columns(selection, base, shown)
    asked = replace(selection, quantities=columns)
    leads = tuple(q for q in columns if shown.get(q)) or columns
    axis = list(_axis(store, selection, base))
    every = [one for label, at in axis for one in _lines(store, label, at, asked, leads)]
    diameters = selection.given.get("diameter", [])
    if len(diameters) > 1:
        sizes = {size for typed in diameters for size in describe(store, diameter=typed).sizes}
        every = [one for one in every if one.set_up.get("electrode_size") in sizes]
    found = _without_doubles(every, words.say("not named"))
    if not found:
        raise _nothing(base)
    differing = [name for name in SET_UP if len({one.set_up.get(name) for one in found}) > 1]
    common = {name: value for name, value in found[0].set_up.items() if name not in differing}
    lines = [
        Line(
            (one.label, *(words.term(one.set_up.get(name, "")) for name in differing)),
            _completed(store, one, asked, columns),
        )
        for one in found
    ]
    kept = [i for i in range(len(columns)) if any(line.cells[i].filled for line in lines)]
    dropped = [[line.cells[i] for line in lines] for i in range(len(columns)) if i not in kept]
    passed_over = {one.line for one in every} - {one.line for one in found}
    empty = [label for label, _ in axis if label not in {one.label for one in found}]
    return Grid(
        with_conditions(store, base, common),
        (words.say("thickness"), *(words.say(_head(name, process)) for name in differing)),
        tuple((_column_title(columns[i], notes), columns[i]) for i in kept),
        _once(Line(line.labels, tuple(line.cells[i] for i in kept)) for line in lines),
        _said_left_out(notes, empty, dropped, len(passed_over)),
    )


def _once(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Keep each line once: what completes two printed lines can make them alike."""
    shown: dict[tuple[Any, ...], Line] = {}
    for line in lines:
        rows = tuple(one.row.window_id for cell in line.cells for one in cell.settings)
        shown.setdefault((line.labels, rows), line)
    return tuple(shown.values())


def _without_doubles(every: Sequence[_Found], not_named: str) -> list[_Found]:
    """Leave out recalled lines where a printed one has the same set-up.

    Lines that name no thickness come once, at the end; recalled ones of these only where nothing
    else is known.
    """
    printed = {(one.label, str(one.set_up)) for one in every if not one.recalled}
    own = [one for one in every if not one.recalled or (one.label, str(one.set_up)) not in printed]
    named = [one for one in own if "thickness" not in one.rows[0].row.silent_on]
    rest: dict[str, _Found] = {}
    for one in own:
        if one not in named and not (one.recalled and named):
            anywhere = replace(one.situation, thickness=None)
            rest.setdefault(one.line, replace(one, label=not_named, situation=anywhere))
    return [*named, *rest.values()]


def _said_left_out(
    notes: Notes, empty: Iterable[str], dropped: Sequence[Sequence[Charted]] = (), recalled: int = 0
) -> tuple[str, ...]:
    """Say what the chart does not show: sizes, quantities and recalled lines."""
    words = notes.words

    def names(*, turns: bool) -> str:
        return words.listed(
            notes.quantity(column[0].quantity)
            for column in dropped
            if any(cell.depends for cell in column) is turns
        )

    left_out = (
        (
            later("Nothing is published or recalled for {names}."),
            words.listed(map(words.term, empty)),
        ),
        (later("Nothing is published or recalled for these rows: {names}."), names(turns=False)),
        (
            later("Depends on more than this chart says, see a bench card: {names}."),
            names(turns=True),
        ),
    )
    said = [words.say(message, names=named) for message, named in left_out if named]
    if recalled:
        message = later("Recalled lines beside others of the same set-up, not shown: {count}.")
        said.append(words.say(message, count=recalled))
    return tuple(said)


def _column_title(quantity: str, notes: Notes) -> str:
    if quantity == "electrode_diameter":
        return notes.words.say(later("tungsten size"))
    return notes.quantity(quantity)


def _head(name: str, process: str) -> str:
    size = SIZE_OF.get(process, "diameter")
    if name == "filler_class" and size == "wire size":
        return later("wire")
    return size if name == "electrode_size" else LABELS[name]


def _columns(selection: Selection, base: Situation, shown: Mapping[str, bool]) -> tuple[str, ...]:
    """List the quantities of a chart: those named, else those of the process's card."""
    if selection.quantities:
        return selection.quantities
    named = [q for q in shown if q not in NOT_CHARTED]
    if choices.takes_tungsten(base):
        named.insert(1, "electrode_diameter")
    return tuple(named)


def _axis(store: Store, selection: Selection, base: Situation) -> Iterator[tuple[str, Situation]]:
    """Yield the label and the situation of each thickness."""
    given, more = selection.given, {}
    for name in ("electrode", "diameter"):
        several = given.get(name, [])
        if len(several) > 1 and (name == "electrode" or choices.takes_tungsten(base)):
            raise InputError(
                f"--{name}: a wall chart of this process shows one; '{several[1]}' is one too many"
            )
        if len(several) == 1:
            more[name] = several[0]
    thicknesses = tuple(given.get("thickness", ())) or THICKNESSES[base.units]
    if not given.get("thickness") and choices.cuts(store, base):
        thicknesses = (*thicknesses, *CUT_THICKNESSES[base.units])
    for thickness in thicknesses:
        one = _with(store, selection, thickness=thickness, **more)
        yield one.given()["thickness"], one


def _lines(
    store: Store, label: str, situation: Situation, selection: Selection, leads: Sequence[str]
) -> list[_Found]:
    """Gather the lines that hold a leading quantity, with what each adds to set up."""
    settings = settings_for(store, situation, selection)
    gathered: dict[str, list[Setting]] = {}
    fitting = (one for group in settings.groups for one in (*group.printed, *group.recalled))
    for one in (*fitting, *settings.own):
        gathered.setdefault(_line_of(one), []).append(one)
    # The size of the tungsten has a column of its own.
    apart = ("electrode_size",) if choices.takes_tungsten(situation) else ()
    named = [name for name in SET_UP if name not in apart]
    sizes, found = sizes_of(store), []
    for rows in gathered.values():
        leading = [one for one in rows if one.row.quantity in leads]
        if leading:
            assumed = leading[0].row.assumed
            set_up = {name: assumed[name] for name in named if name in assumed}
            rest = (one for one in rows if one not in leading)
            found.append(_Found(label, situation, set_up, (*leading, *rest)))

    def order(one: _Found) -> tuple[str, float, str]:
        size = sizes.get(one.set_up.get("electrode_size", ""), 0.0)
        return one.set_up.get("transfer_mode", ""), size, str(one.set_up)

    return sorted(found, key=order)


def _line_of(setting: Setting) -> str:
    return setting.row.line or setting.row.window_id


def _completed(
    store: Store, found: _Found, selection: Selection, quantities: Sequence[str]
) -> tuple[Charted, ...]:
    """Fill the cells of a line from the line itself, or from rows that go with its set-up."""
    completed = with_conditions(store, found.situation, found.set_up)
    settings = settings_for(store, completed, selection)
    again = {one.row.window_id: one for group in settings.groups for one in group.rows}
    # Verdicts are based on the published rows, or on the own rows that replace them.
    main = [one for one in found.rows if not one.row.own or store.instead]
    cells = []
    for quantity in quantities:
        cell = cell_of(completed, settings, quantity)
        if completed.thickness is None and any("thickness" in s.row.assumed for s in cell.settings):
            # A row for a thickness cannot complete a line that names none.
            cell = replace(cell, settings=(), depends=("thickness",))
        of_line = [again.get(s.row.window_id, s) for s in main if s.row.quantity == quantity]
        if of_line:
            printed = tuple(s for s in of_line if s.row.how_read != "memory")
            cell = replace(cell, settings=printed or tuple(of_line), depends=())
        cells.append(cell)
    return tuple(cells)


def cell_of(situation: Situation, settings: Settings, quantity: str) -> Charted:
    """Choose the rows of a cell: those printed, else those recalled."""
    (group,) = [one for one in settings.groups if one.quantity == quantity]
    rows = group.printed or group.recalled
    own = tuple(one for one in settings.own if one.row.quantity == quantity)
    shown = {(r.min, r.max, r.typical, r.unit, str(r.assumed)) for r in (one.row for one in rows)}
    depends: tuple[str, ...] = () if rows else group.asks[:1]
    if len(shown) > MOST_ENTRIES:
        depends = tuple(n for n in LABELS if len({s.row.assumed.get(n) for s in rows}) > 1)[:2]
        rows = ()
    return Charted(situation, quantity, rows, own, depends)


def _nothing(base: Situation) -> InputError:
    return InputError(f"handout: nothing is published or recalled of settings for {base}")
