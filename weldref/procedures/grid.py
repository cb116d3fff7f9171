"""Turn a form of cells, from CSV or a sheet, into a tree of fields.

A form holds fields with a label and a value beside it ("WPS No." | "7"), and a table of passes
with headings in one row, perhaps with units or min and max in the rows below. Labels and
headings are told by the table of fields, so that any form that uses the trade's words is read.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from weldref.errors import InputError
from weldref.procedures.build import procedure_of
from weldref.procedures.declared import is_unit_key
from weldref.procedures.keys import LIMITS, resolve, words_of
from weldref.procedures.model import Entry, Procedure, Slip
from weldref.procedures.tree import Group, Items, Leaf, Node
from weldref.procedures.units import unit_of

SHARED = {
    ("pass.position", "procedure.positions"),
    ("pass.progression", "procedure.progressions"),
    ("pass.preheat_min", "procedure.preheat_min"),
    ("pass.interpass_max", "procedure.interpass_max"),
    ("pass.thickness", "procedure.thickness"),
}
"""What a heading may mean of a pass, and of the document as well."""

Row = dict[int, Leaf]
"""The cells of a row that hold something, by column."""


@dataclass(slots=True)
class Form:
    """What a form holds: fields by label, lines of a table, and texts without a label.

    `blank` are the places that say nothing, or only repeat another.
    """

    title: str = ""
    fields: list[tuple[str, Node]] = field(default_factory=list)
    lines: list[Node] = field(default_factory=list)
    notes: list[Leaf] = field(default_factory=list)
    blank: list[str] = field(default_factory=list)

    def group(self) -> Group:
        """Make the tree of the form; a label that comes again keeps both values."""
        items: dict[str, Node] = {}
        twice = [
            (label, node)
            for label, node in self.fields
            if items.setdefault(label, node) is not node
        ]
        if self.lines:
            items["passes"] = Items(tuple(self.lines), self.title)
        if self.notes:
            # A text without a label is kept, but is not reported as an unknown field.
            items[""] = Items(tuple(self.notes), self.title)
        return Group(items, self.title, tuple(twice))

    def add(self, other: Form) -> None:
        """Add what the next sheet or page of the same form holds."""
        self.fields += other.fields
        self.lines += other.lines
        self.notes += other.notes
        self.blank += other.blank

    @property
    def number(self) -> str:
        """The number of the procedure, if the form states it."""
        for label, node in self.fields:
            match = resolve((label,), "procedure")
            if match and match.field.target == "procedure.number" and isinstance(node, Leaf):
                return node.text
        return ""


def read_form(rows: Iterable[tuple[str, Row]], title: str = "") -> Form:
    """Read a form from its rows, each with its place.

    >>> cells = [["WPS No.", "7"], ["Pass", "Amps"], ["root", "90-120"]]
    >>> rows = [(f"line {i}", {k: Leaf(c, f"{i}:{k}") for k, c in enumerate(row)})
    ...         for i, row in enumerate(cells, 1)]
    >>> form = read_form(rows)
    >>> [label for label, _ in form.fields], [sorted(line.items) for line in form.lines]
    (['WPS No.'], [['Amps', 'Pass']])
    """
    form = Form(title)
    left = list(rows)
    index = 0
    while index < len(left):
        row = left[index][1]
        if row and _is_header(row, left[index + 1 :]):
            index = _read_table(form, left, index)
        else:
            _read_fields(form, row)
            index += 1
    return form


def forms_of(
    sheets: Iterable[tuple[str, Iterable[tuple[str, Row]]]], help_texts: Iterable[str] = ()
) -> list[Form]:
    """Read the forms of sheets or pages: one, or one for each that states another number.

    `help_texts` are the sentences on our own form, which say nothing about a procedure.
    """
    forms: list[Form] = []
    helps = frozenset(help_texts)
    for title, rows in sheets:
        form = read_form(rows, title)
        form.blank += [note.place for note in form.notes if note.text in helps]
        form.notes = [note for note in form.notes if note.text not in helps]
        numbered = bool(form.number) and any(each.number for each in forms)
        if forms and not (numbered and form.number != forms[-1].number):
            forms[-1].add(form)
        else:
            forms.append(form)
    return forms


def procedures_of(
    forms: list[Form],
    name: str,
    layout: str,
    nothing: str,
    slips: Iterable[Slip] = (),
    other: Iterable[Entry] = (),
) -> tuple[Procedure, ...]:
    """Make the procedures of forms; `nothing` is the message where none of them states a field.

    `slips` and `other` are what was noticed in the file; they go with its first procedure.
    """
    if not any(form.fields or form.lines for form in forms):
        blank = any(form.blank for form in forms)
        raise InputError(
            "procedure: the form is not filled in: it states nothing" if blank else nothing
        )
    of_first = {0: (slips, other)}
    return tuple(
        procedure_of(form.group(), name, layout, *of_first.get(turn, ((), ())), form.blank)
        for turn, form in enumerate(forms)
    )


def is_label(text: str) -> bool:
    """Whether a text is a label that some field goes by."""
    text = text.strip().rstrip(": ")
    if not text or len(text) > 80:
        return False
    if len(words_of(text)) < 5 and is_unit_key(text, Leaf("", "")):
        return True
    return any(resolve((text,), area) for area in ("procedure", "pass"))


def _is_label(leaf: Leaf) -> bool:
    return isinstance(leaf.value, str) and not leaf.date and is_label(leaf.text)


def _filled(row: Row) -> Row:
    """List the cells of a row that are not blank, from left to right."""
    return {column: leaf for column, leaf in sorted(row.items()) if not leaf.blank}


def _is_header(row: Row, below: list[tuple[str, Row]]) -> bool:
    """Whether a row has headings, not labels with values: nearly every cell is a label."""
    cells = _filled(row)
    labels = {column: leaf for column, leaf in cells.items() if _is_label(leaf)}
    if len(cells) < 2 or len(labels) < max(2, 0.6 * len(cells)):
        return False
    if any(leaf.text[0].isdigit() for leaf in cells.values()):
        return False  # a value beside its label
    electrical = [
        column
        for column, leaf in labels.items()
        if (match := resolve((leaf.text.rstrip(": "),), "pass")) is not None
        and match.field.dimension
    ]
    # A row of values holds more than units and words for limits.
    filled = (_filled(under) for _, under in below[:3])
    values = next((under for under in filled if under and not _adds_to(under)), None)
    if values is None:
        return len(electrical) > 1 and len(labels) == len(cells)  # an empty form
    if electrical:
        digits = [c for c in electrical if c in values and re.search(r"\d", values[c].text)]
        return bool(digits) or (len(electrical) > 1 and len(cells) > 3)
    # Fields of the procedure side by side, their values in the row below.
    under = [column for column in row if column in values and not _is_label(values[column])]
    return len(cells) > 3 and len(labels) == len(cells) and len(under) > 0.6 * len(cells)


def below_heading(text: str) -> str:
    """Return what a text below a heading adds to it: a unit or a limit."""
    text = text.strip("()[] .")
    if text and unit_of(text):
        return f"({text})"
    words = words_of(text)
    return text if len(words) == 1 and words[0] in LIMITS else ""


def _adds_to(row: Row) -> bool:
    """Whether a row only adds units and limits to the headings above it."""
    cells = _filled(row).values()
    return bool(cells) and all(
        isinstance(leaf.value, str) and below_heading(leaf.text) for leaf in cells
    )


def _read_table(form: Form, rows: list[tuple[str, Row]], start: int) -> int:
    """Read a table; return the index of the row after it."""
    headings = {c: leaf.text.rstrip(": ") for c, leaf in _filled(rows[start][1]).items()}
    index = start + 1
    if index < len(rows) and (below := _second_row(headings, rows[index][1])):
        headings |= below
        index += 1
    while index < len(rows) and _adds_to(rows[index][1]):
        for column, leaf in _filled(rows[index][1]).items():
            over = _over(headings, column)
            if over is not None:
                headings[column] = f"{_bare(over, column, headings)} {leaf.text}"
        index += 1
    lines: list[tuple[str, dict[str, list[Leaf]]]] = []
    while index < len(rows):
        place, row = rows[index]
        if not _filled(row) or _ends_table(row, rows[index:], headings):
            break
        line: dict[str, list[Leaf]] = defaultdict(list)
        for column, leaf in sorted(row.items()):
            # A cell below no heading belongs to the one on its left: two limits in two columns.
            over = _over(headings, column)
            if leaf.blank:
                form.blank.append(leaf.place)
            elif over is not None:
                line[over].append(leaf)
            else:
                form.notes.append(leaf)
        lines.append((place, line))
        index += 1
    _add_lines(form, headings, lines)
    return index


def _second_row(headings: dict[int, str], row: Row) -> dict[int, str]:
    """Read the second row of a heading, below wide cells: "Current" over "Polarity", "Amps"."""
    cells = _filled(row)
    if min(headings) in cells or not set(cells) - set(headings):
        return {}
    found: dict[int, str] = {}
    for column, leaf in cells.items():
        whole = " ".join(filter(None, (_over(headings, column), leaf.text)))
        known = [name for name in (whole, leaf.text) if resolve((name,), "pass") is not None]
        if not known or not isinstance(leaf.value, str) or re.search(r"\d", leaf.text):
            return {}
        found[column] = known[0]
    return found


def _bare(heading: str, column: int, headings: dict[int, str]) -> str:
    """Drop the limit that a column to the left has given to the same heading."""
    if column in headings:
        return heading
    rest, _, last = heading.rpartition(" ")
    return rest if words_of(last)[:1] and words_of(last)[0] in LIMITS else heading


def _over(headings: dict[int, str], column: int) -> str | None:
    """Return the heading above a column, or to its left."""
    left = [one for one in headings if one <= column]
    return headings[max(left)] if left else None


def _ends_table(row: Row, rest: list[tuple[str, Row]], headings: dict[int, str]) -> bool:
    """Whether a row ends the table above it: a label with its value, or new headings."""
    cells = list(_filled(row).values())
    if len(cells) <= 2 < len(headings) and _is_label(cells[0]):
        return True
    return len(cells) > 2 and all(_is_label(leaf) for leaf in cells) and _is_header(row, rest[1:])


def _add_lines(
    form: Form, headings: dict[int, str], lines: list[tuple[str, dict[str, list[Leaf]]]]
) -> None:
    """Make passes of the lines; columns about the whole procedure go to its fields."""
    whole = [
        heading
        for heading in dict.fromkeys(headings.values())
        if (resolve((heading,), "pass") is None and resolve((heading,), "procedure") is not None)
    ]
    if whole:
        # A table with columns about the document repeats them on every line: what is equal on all
        # lines holds for the document, and a thickness is then the base metal's.
        for heading in _same_on_each(headings, lines, form):
            match = resolve((heading,), "pass")
            if match is not None and match.field.name == "thickness":
                whole.append(heading)
            else:
                form.fields.append((heading, lines[0][1][heading][0]))
    for heading in whole:
        told = [leaf for _, line in lines for leaf in line.get(heading, [])]
        for text in dict.fromkeys(leaf.text for leaf in told):
            same = [leaf for leaf in told if leaf.text == text]
            form.fields.append((heading, same[0]))
            form.blank += [leaf.place for leaf in same[1:]]  # the same said on each line
    for place, line in lines:
        items: dict[str, Node] = {
            heading: leaves[0] if len(leaves) == 1 else Items(tuple(leaves), leaves[0].place)
            for heading, leaves in line.items()
            if heading not in whole
        }
        if items:
            form.lines.append(Group(items, place))


def _same_on_each(
    headings: dict[int, str], lines: list[tuple[str, dict[str, list[Leaf]]]], form: Form
) -> list[str]:
    """List the headings of `SHARED` that say the same on every line, unless a field says it too."""
    stated = {target for label, _ in form.fields for target in _targets(label)}
    return [
        heading
        for heading in dict.fromkeys(headings.values())
        if (targets := _targets(heading)) in SHARED and targets[1] not in stated
        if len({tuple(leaf.text for leaf in line.get(heading, ())) for _, line in lines}) == 1
        if all(len(line.get(heading, ())) == 1 for _, line in lines)
    ]


def _targets(heading: str) -> tuple[str, ...]:
    """Name the fields of a pass and of the procedure that a heading may mean."""
    found = (resolve((heading,), area) for area in ("pass", "procedure"))
    return tuple(match.field.target for match in found if match is not None)


def _read_fields(form: Form, row: Row) -> None:
    """Read labels and the values beside them."""
    cells = list(_filled(row).items())
    index, before = 0, ""
    while index < len(cells):
        column, leaf = cells[index]
        index += 1
        label = leaf.text.rstrip(": ")
        both = inline(leaf)
        if both is not None and not _is_label(leaf):
            form.fields.append(both)
            continue
        known = _is_label(leaf)
        if not known and before and is_label(f"{before} {label}"):
            # "Parent material | S355 | | Group | 1.2": the group is the material's.
            label, known = f"{before} {label}", True
        if not known and (len(cells) == 1 or not isinstance(leaf.value, str) or leaf.date):
            form.notes.append(leaf)
            continue
        values: list[Leaf] = []
        last = column
        while index < len(cells):
            next_column, value = cells[index]
            apart = next_column > column + 1
            if (_is_label(value) and (values or apart)) or (values and inline(value) is not None):
                break
            if values and next_column > last + 1 and _begins_pair(cells, index):
                break
            last = next_column
            index += 1
            if values and value.text.casefold() in BETWEEN:
                form.blank.append(value.place)
            else:
                values.append(value)
        if values:
            node = values[0] if len(values) == 1 else Items(tuple(values), values[0].place)
            form.fields.append((label[:200], node))
            before = label
        elif known:
            form.blank.append(leaf.place)
        else:
            form.notes.append(leaf)


BETWEEN = ("to", "and")
"""What forms write between the boxes of two base metals."""


def _begins_pair(cells: list[tuple[int, Leaf]], index: int) -> bool:
    """Whether a cell after a gap looks like a label: words, with a value right beside it."""
    column, leaf = cells[index]
    if not isinstance(leaf.value, str) or re.search(r"\d", leaf.text) or index + 1 == len(cells):
        return False
    return cells[index + 1][0] == column + 1 and leaf.text.casefold() not in BETWEEN


def inline(leaf: Leaf) -> tuple[str, Leaf] | None:
    """Read "WPS No.: 7" in one cell; None if no field goes by what is before the colon."""
    if not isinstance(leaf.value, str):
        return None
    label, colon, value = leaf.text.partition(":")
    if not colon or not value.strip() or not is_label(label):
        return None
    return label.strip(), replace(leaf, value=value.strip())
