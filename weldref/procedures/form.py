"""Show a procedure as a form, lines and a grid of passes, and read the form back.

Every field with a title in the table of fields is on the form; one without a title only where the
procedure states it. What has no place on the form gets a line of its own, so nothing is lost.
The template writes this form to a file, and a page shows it to be filled in.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from weldref.cells import harmless
from weldref.core.units import UnitSystem
from weldref.procedures.fields import AT_THE_TOP, Field, all_fields, field, fields_of
from weldref.procedures.from_csv import read_csv
from weldref.procedures.limits import check_size
from weldref.procedures.model import Entry, Procedure, Range, Text, gather, values
from weldref.procedures.quantity import parse_quantity

UNITS: dict[str, tuple[str, str]] = {
    "current": ("A", "A"),
    "voltage": ("V", "V"),
    "length": ("in", "mm"),
    "speed": ("in/min", "mm/min"),
    "flow": ("ft3/h", "L/min"),
    "temperature": ("F", "C"),
    "heat input": ("kJ/in", "kJ/mm"),
    "angle": ("deg", "deg"),
    "time": ("h", "h"),
}
NOTES = {
    "preheat_by_thickness": "Each thickness with its minimum: up to 3/4 in: 50 F; over 3/4 to "
    "1 1/2 in: 150 F.",
    "tests": "A test and its result: Bend tests: no open defects. A line for each test.",
    "sizes": "Each size, separated by commas: 3/32, 1/8. As printed, in the unit of the heading.",
    "split": "Several are separated by semicolons.",
}
LONE = {
    "low": "A single number is the minimum.",
    "high": "A single number is the maximum.",
}
JOIN = {"split": "; ", "sizes": ", "}
BESIDES = "Also in the file"
"""The label of what no field takes."""

SECTIONS = {
    "procedure": "Procedure",
    "metal": "Base metal",
    "filler": "Filler metal",
    "gases": "Gas",
    "joint": "Joint",
    "technique": "Technique",
    "heats": "Heat treatment",
}
"""What the areas of fields are called on the form."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the form: a label, what the procedure states, and what may be written there."""

    label: str
    value: str
    section: str
    note: str


@dataclass(frozen=True, slots=True)
class Form:
    """A procedure as a form: its lines, and the table of passes under its headings."""

    lines: tuple[Line, ...]
    headings: tuple[str, ...]
    notes: tuple[str, ...]
    passes: tuple[tuple[str, ...], ...]


def form_of(procedure: Procedure | None = None, units: UnitSystem = "us") -> Form:
    """Write a procedure on the form; without one the form is empty.

    Parameters
    ----------
    procedure
        The procedure.
    units
        The units of the labels and headings.

    Examples
    --------
    >>> from weldref.procedures.model import Pass
    >>> weld = Pass(process=Text("SMAW"), current=Range(90, 120, "A"))
    >>> form = form_of(Procedure(number=Text("7"), passes=(weld,)))
    >>> form.lines[0].label, form.lines[0].value
    ('WPS or PQR number', '7')
    >>> procedure_from((line.label, line.value) for line in form.lines).number.text
    '7'
    """
    made = procedure or Procedure()
    lines = tuple(_lines(made, units))
    columns = _pass_fields(made)
    form = Form(
        lines,
        tuple(_heading(each, units) for each in columns),
        tuple(_note(each) for each in columns),
        tuple(
            tuple(
                ", ".join(_cell(v, each, units) for v in gather(one, each.name)) for each in columns
            )
            for one in made.passes
        ),
    )
    if procedure is None:
        return form
    back = procedure_from(((line.label, line.value) for line in lines), form.headings, form.passes)
    lost = (Line(BESIDES, text, SECTIONS["procedure"], "") for text in _missing(made, back))
    return replace(form, lines=(*lines, *lost))


def procedure_from(
    lines: Iterable[tuple[str, str]],
    headings: Sequence[str] = (),
    passes: Iterable[Sequence[str]] = (),
) -> Procedure:
    """Read a form that was filled in: labels with values, and the rows of the table of passes.

    Raises `InputError` if nothing is filled in.

    >>> made = procedure_from([("WPS No.", "7")], ["Pass", "Amps"], [["root", "90-120"]])
    >>> str(made.passes[0].current)
    '90 to 120 A'
    """
    data = as_csv(lines, headings, passes)
    check_size(data, "csv")
    (found,) = read_csv(data, "form.csv")
    return found


def as_csv(
    lines: Iterable[tuple[str, str]],
    headings: Sequence[str],
    passes: Iterable[Sequence[str]],
) -> bytes:
    """Write the lines and the table of passes as CSV."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerows([label, harmless(value)] for label, value in lines)
    writer.writerow([])
    writer.writerow(headings)
    writer.writerows([harmless(cell) for cell in one] for one in passes if any(one))
    # No text file may hold a zero byte; the mark makes spreadsheets read degree signs as UTF-8.
    return text.getvalue().replace("\0", "\N{REPLACEMENT CHARACTER}").encode("utf-8-sig")


def _missing(procedure: Procedure, back: Procedure) -> Iterator[str]:
    """List what a procedure states and its form, read back, does not, as "field: value"."""
    left = _stated(procedure) - _stated(back)
    for (name, value), count in left.items():
        yield from [value if name == BESIDES else f"{name}: {value}"] * count


def _stated(procedure: Procedure) -> Counter[tuple[str, str]]:
    found: Counter[tuple[str, str]] = Counter()
    for name, value in values(procedure):
        if isinstance(value, Entry):
            found[value.name or BESIDES, value.text] += 1
        elif str(value).strip() and ".also[" not in name:
            found[re.sub(r"\[\d+\]", "", name).replace("_", " ").replace(".", ", "),
                  str(value)] += 1  # fmt: skip
    for one in procedure.passes:
        for again in one.also:
            found[f"{one.label or 'pass'}, {again.name.replace('_', ' ')} too",
                  str(again.value)] += 1  # fmt: skip
    return found


def _note(each: Field) -> str:
    """Say what to write, in one sentence for each kind of field."""
    if each.numeric and each.kind != "sizes":
        lone = LONE.get(each.side, "A single number is the only value.")
        return f"A range as 90-150, or words such as unlimited. {lone} Another unit may follow."
    return NOTES.get(each.name) or NOTES.get(each.kind, "Words as the procedure prints them.")


def _pass_fields(procedure: Procedure) -> list[Field]:
    """List the columns of the table of passes: those with a title, and others that are stated."""
    return [
        each
        for each in fields_of("pass")
        if each.title or any(getattr(one, each.name) is not None for one in procedure.passes)
    ]


def _unit(each: Field, units: UnitSystem) -> str:
    if each.name == "wire_feed_speed" and units == "metric":
        return "m/min"
    return UNITS.get(each.dimension, ("", ""))[units == "metric"]


def _heading(each: Field, units: UnitSystem, of: str = "") -> str:
    unit = _unit(each, units)
    title = each.title or each.spellings[0].capitalize()
    return " ".join(filter(None, (title, of, f"({unit})" if unit else "")))


def _lines(procedure: Procedure, units: UnitSystem) -> Iterator[Line]:
    """List the lines of the form; a value for each process is a line."""
    for each in all_fields():
        if each.area not in AT_THE_TOP or not (each.title or each.spellings):
            continue
        cells = _of_lists(procedure, each.name)
        if each.kind not in ("group", "groups"):
            cells = [(of, _cell(value, each, units)) for of, value in _told(procedure, each)]
        if join := JOIN.get(each.kind):
            apart = {of: [text for other, text in cells if other == of] for of, _ in cells}
            cells = [(of, join.join(texts)) for of, texts in apart.items()]
        for of, text in cells or ([("", "")] if each.title else []):
            yield Line(_heading(each, units, of), text, SECTIONS[each.area], _note(each))


def _of_lists(procedure: Procedure, name: str) -> list[tuple[str, str]]:
    """Write what is a group in the model but a text on the form."""
    if name == "tests":
        return [("", f"{one.name}: {one.text}") for one in procedure.tests]
    size, least = field("step.thickness"), field("step.minimum")
    steps = "; ".join(
        f"{_cell(one.thickness, size, None)}: {_cell(one.minimum, least, None)}"
        for one in procedure.preheat_by_thickness
    )
    return [("", steps)] if name == "preheat_by_thickness" and steps else []


def _told(procedure: Procedure, each: Field) -> Iterator[tuple[str, Text | Range]]:
    """List what a procedure says for a field of the form, with what each value is for."""
    role, _, name = each.name.rpartition(".")
    parts: dict[str, Iterable[Any]] = {
        "procedure": (procedure,),
        "joint": (procedure.joint,),
        "technique": (procedure.technique,),
        "metal": procedure.base_metals if each.title else (),
        "filler": procedure.fillers if each.title else (),
        "gases": (gas for gas in procedure.gases if gas.role == role),
        "heats": (one for one in procedure.heat_treatments if one.kind == role),
    }
    for part in parts[each.area]:
        # The whole text of a filler holds its class, and reads back as it was.
        whole = each.target == "filler.classification" and part.text
        for one in gather(part, "text" if whole else name):
            of = one.of if part is procedure else str(getattr(part, "process", "") or "")
            yield of, one


def _cell(value: Text | Range, each: Field, units: UnitSystem | None) -> str:
    """Write a value so that it reads back: as printed, with its unit where the heading differs."""
    if isinstance(value, Text):
        return value.text
    if not value.stated:
        return value.words
    unit = value.unit if units is None or value.unit != _unit(each, units) else ""
    if printed := _print(value, each):
        has_unit = bool(parse_quantity(printed, each.dimension).unit)
        return printed if has_unit or not unit else f"{printed} {unit}"
    low, high = (None if n is None else f"{n:.10g}" for n in (value.low, value.high))
    if low is not None and high is not None:
        span = low if value.single else f"{low} to {high}"
    elif low is not None:
        span = low if each.side == "low" else f"min {low}"
    elif high is not None:
        span = high if each.side == "high" else f"max {high}"
    else:
        span = f"{value.typical:.10g}"
    return " ".join(filter(None, (span, unit, value.words)))


def _print(value: Range, each: Field) -> str:
    """Return the print if it says the same: 3/32 is better than 0.09375."""
    read = parse_quantity(value.text, each.dimension)
    low = None if read.alone and each.side == "high" else read.low
    high = None if read.alone and each.side == "low" else read.high
    told = (low, high, read.typical, read.words)
    same = told == (value.low, value.high, value.typical, value.words)
    plain = read.unit in ("", value.unit) and not read.doubts and not read.again
    return value.text if same and plain else ""
