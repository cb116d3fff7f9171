"""Show the reading desk as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from weldref.data.judge_readings import Kind, Outcome
from weldref.data.reading_cells import Cell
from weldref.data.readings import NOT_PRINTED
from weldref.exchange.apply_readings import Plan
from weldref.exchange.reading_desk import Waiting, counts
from weldref.text import clean, paragraph, table

HELP = f"""Type what is printed in the copy before you, as it is printed: 175, 0.035 or 1/8. The
unit may be left out if it is the one that is asked for; add it if it is another (80 C).
  {NOT_PRINTED}       this value is not printed, though others of the cell are
  none    nothing of what is asked is in this copy
  other   this part of the copy is of another edition
  place X it is somewhere else: place Table 5.8
  note X  what somebody should know: note printed as preferred
  back    read the cell before this one again
  s       skip this cell; it is asked again the next time
  q       save and quit
What was recalled is shown when you have answered every cell of the document, so that you do not
read it into the print. Every answer is in the file as soon as it is given."""


def kind_text(kind: Kind) -> str:
    """Say what came of several cells.

    >>> kind_text("agrees"), kind_text("not there")
    ('agree', 'not there')
    """
    return {"agrees": "agree", "differs": "differ"}.get(kind, kind)


def counted_text(found: Sequence[Outcome]) -> str:
    """Count cells by what came of them."""
    return ", ".join(f"{n} {kind_text(kind)}" for kind, n in counts(found).items() if n)


def waiting_text(found: Sequence[Waiting], file: Path) -> str:
    """List the documents to read."""
    rows = [
        (one.cells, one.once, one.twice, one.by_eye or "", one.source_id, one.document)
        for one in found
    ]
    return "\n\n".join(
        [
            "documents to read, the most useful first:",
            table(("cells", "read", "twice", "by eye", "source", "document"), rows),
            paragraph(
                "By eye: rows that hold sentences, which nobody can type blind; their grade is "
                "raised by hand. Read a document with: weldref read SOURCE"
            ),
            clean(f"readings: {file}"),
        ]
    )


def cell_text(cell: Cell, number: int, total: int) -> str:
    """Show a cell to a reader; nothing of what was recalled."""
    lines = [f"[{number} of {total}] {cell.place or 'no place is noted: give it with place X'}"]
    lines.append(f"  {cell.title}")
    lines += [f"  {label}: {value}" for label, value in cell.conditions]
    if cell.kept_back:
        lines.append("  (a condition is kept back, since it names the answer)")
    return "\n".join(map(clean, lines))


def read_text(outcome: Outcome) -> str:
    """Write what the readers found; the same words stand once."""
    return " / ".join(dict.fromkeys(map(outcome.read_words, outcome.readings)))


def summary_text(found: Sequence[Outcome]) -> str:
    """Show what was read beside what was recalled, once everything is answered."""
    parts = [f"{len(found)} cells: {counted_text(found)}"]
    rows = [
        (kind_text(one.kind), read_text(one), one.recalled_words, one.cell.words)
        for one in found
        if one.kind != "agrees"
    ]
    if rows:
        parts.append(table(("", "read", "recalled", "cell"), rows))
    return "\n\n".join(parts)


def progress_text(cells: Sequence[Cell], left: Iterable[tuple[str, int]]) -> str:
    """Say how far each reader is."""
    lines = [
        f"{reader}: {len(cells) - waiting} of {len(cells)} cells answered"
        for reader, waiting in left
    ]
    return "\n".join(map(clean, lines or [f"nobody has read any of the {len(cells)} cells"]))


def plan_text(made: Plan, *, written: Sequence[Path]) -> str:
    """Say what readings change in the tables."""
    parts = [clean(note) for note in made.notes]
    if made.raised:
        word = "raised" if written else "to be raised"
        listed = [
            (one.cell.source_id, *one.cell.key, ", ".join(one.readers)) for one in made.raised
        ]
        parts.append(
            f"{word} from memory to read:\n{table(('source', 'table', 'row', 'read by'), listed)}"
        )
    if made.for_a_person:
        headings = ("why", "recalled", "read; row: what was asked")
        left = [(why, one.recalled_words, _asked_text(one)) for one, why in made.for_a_person]
        parts.append(f"for a person to decide, left as they are:\n{table(headings, left)}")
    if made.gone:
        named = ", ".join(one.row for one in made.gone[:10])
        parts.append(paragraph(f"{len(made.gone)} readings of rows that are not there: {named}"))
    if made.already:
        parts.append(f"{made.already} rows had been raised before")
    if not made.raised:
        parts.append("nothing to raise")
    elif written:
        parts.append("written:\n" + "\n".join(clean(f"  {path}") for path in written))
        parts.append(paragraph("Then run: python scripts/update_docs.py"))
    else:
        parts.append("nothing was written; --write writes it")
    return "\n\n".join(parts)


def _asked_text(one: Outcome) -> str:
    """Write what each reader found, and for which row."""
    edition = one.kind == "other edition"
    read = "; ".join(
        f"{reading.reader}: {one.read_words(reading)}"
        + (f", edition {reading.edition}" if edition else "")
        for reading in one.readings
    )
    return f"{read}; {one.cell.row}: {one.cell.words}"
