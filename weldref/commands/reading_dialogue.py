"""Lead a reader at a terminal through the cells: plain questions, one answer a line."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TextIO

from weldref.commands.parser import INSIDE
from weldref.data.reading_cells import Cell
from weldref.data.readings import NOT_PRINTED, Said, read_file
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange import reading_desk, readings_text
from weldref.text import clean, paragraph

SAID: dict[str, Said] = {"none": "not there", "other": "other edition"}


class QuitError(Exception):
    """The reader quits, or the input has ended."""


class Dialogue:
    """Asks one cell after another on a terminal or through a pipe."""

    def __init__(self, store: Store, file: Path, entered: TextIO, shown: TextIO) -> None:
        self.store, self.file = store, file
        self.entered, self.shown = entered, shown
        self.place = self.note = ""

    def say(self, text: str) -> None:
        """Print a line."""
        print(text, file=self.shown)

    def ask(self, question: str) -> str:
        """Ask for a line; the end of the input counts as q."""
        print(f"{question}: ", end="", file=self.shown, flush=True)
        answer = self.entered.readline()
        if not answer:
            self.say("")
            raise QuitError
        if not self.entered.isatty():
            self.say("")
        return answer.strip()

    def run(self, source: str, reader: str | None, edition: str | None, copy: str | None) -> int:
        """Read a document and report the result."""
        cells = reading_desk.queue(self.store, source)
        named = {one.source_id: one for one in reading_desk.documents(self.store)}[source]
        self.say(paragraph(f"{source}: {named.document}; {len(cells)} cells"))
        self.say("Type ? at any question for help, q to save and quit.\n")
        try:
            sitting = reading_desk.sit_down(
                self.store, source,
                reader or self.ask("your initials or role (never a name)"),
                edition or self.ask(
                    f"edition or year printed on the copy ({reading_desk.NO_EDITION}: if so)"
                ),
                copy or self.ask("what you read (paper, scan, the address of a web page)"),
            )  # fmt: skip
        except QuitError:
            return INSIDE
        waiting = list(reading_desk.left(cells, read_file(self.file).found, sitting.reader))
        with suppress(QuitError):
            self._go_through(sitting, cells, waiting)
        self._finish(sitting, cells)
        return INSIDE

    def _go_through(
        self, sitting: reading_desk.Sitting, cells: tuple[Cell, ...], waiting: list[Cell]
    ) -> None:
        at = 0
        while at < len(waiting):
            cell = waiting[at]
            self.place = self.note = ""
            self.say("\n" + readings_text.cell_text(cell, cells.index(cell) + 1, len(cells)))
            answer = self._answer(cell)
            if answer == "back":
                at = max(at - 1, 0)
                continue
            if answer != "s":
                said = SAID.get(answer, "values") if isinstance(answer, str) else "values"
                values = None if isinstance(answer, str) else answer
                try:
                    reading_desk.record(
                        self.store, self.file, sitting, cell, said, values,
                        place=self.place, note=self.note,
                    )  # fmt: skip
                except InputError as error:
                    if str(error).startswith("readings:"):
                        raise
                    self.say(clean(error))
                    continue
            at += 1

    def _answer(self, cell: Cell) -> str | dict[str, str]:
        """Return the values that were typed, or the word for another answer."""
        values: dict[str, str] = {}
        for asked in cell.asked:
            while asked.column not in values:
                typed = self.ask(f"{asked.name}{f' ({asked.unit})' if asked.unit else ''}")
                word, _, rest = typed.partition(" ")
                if typed == "q":
                    raise QuitError
                if typed == "?":
                    self.say(readings_text.HELP)
                elif typed in ("s", "back", *SAID):
                    return typed
                elif word == "place" and rest:
                    self.place = rest
                elif word == "note" and rest:
                    self.note = rest
                elif self._accepted(cell, asked.column, typed):
                    values[asked.column] = typed
        if set(values.values()) == {NOT_PRINTED}:
            return "none"
        return values

    def _accepted(self, cell: Cell, column: str, typed: str) -> bool:
        try:
            reading_desk.check(self.store, cell, column, typed)
        except InputError as error:
            self.say(clean(error))
            return False
        return True

    def _finish(self, sitting: reading_desk.Sitting, cells: tuple[Cell, ...]) -> None:
        kept = read_file(self.file).found
        waiting = len(reading_desk.left(cells, kept, sitting.reader))
        done = len(cells) - waiting
        self.say(f"\n{done} of {len(cells)} cells are answered, {waiting} are left.")
        if not waiting:
            seen = reading_desk.answered(self.store, sitting.source_id, kept, sitting.reader)
            self.say(readings_text.summary_text(seen))
        if done:
            self.say(clean(f"Your readings are in {self.file}: send it to the project."))
            self.say(
                paragraph(
                    "To let them count on this machine, set WELDREF_READINGS to that file, or "
                    "name it in weldref.toml: [readings] with file."
                )
            )
