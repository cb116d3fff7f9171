"""Read and write the file of readings: JSON lines, one reading a line.

The first line names the format. A reading is added by one write at the end of the file, so that
nothing that was typed is lost when the program is killed; a half-written last line is dropped.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field, fields
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO, Literal, get_args

from weldref.data.config import named_file
from weldref.errors import InputError
from weldref.files import check_place

FORMAT = "weldref readings"
VERSION = 1
LARGEST = 5_000_000
"""Bytes of a file of readings."""
LONGEST = 500
"""Characters of one text in it."""
MOST_VALUES = 12
"""Values of one reading: no row has more."""

Said = Literal["values", "not there", "other edition"]
SAID: tuple[Said, ...] = get_args(Said)

NOT_PRINTED = "-"
"""Typed for a value that is not printed, in a row of which others are."""

_INITIALS = re.compile(r"[^\W_][\w.-]{0,11}")
_NAME = re.compile(r"[a-z0-9_]{1,60}")


@dataclass(frozen=True, slots=True)
class Reading:
    """What one reader found at one place of one document.

    `source`, `table` and `row` name the row that was asked for and `asked` says in words what
    was asked; `values` are as typed, by column. `place` is where they are in the copy.
    """

    source: str
    table: str
    row: str
    asked: str
    said: Said
    reader: str
    date: str
    edition: str
    copy: str
    values: dict[str, str] = field(default_factory=dict)
    place: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        for name in ("source", "table", "row", "asked", "reader", "date", "edition", "copy"):
            text_in(name, getattr(self, name), needed=True)
        for name in ("place", "note"):
            text_in(name, getattr(self, name))
        if self.said not in SAID:
            raise InputError(f"said: '{self.said}' is not accepted; give {', '.join(SAID)}")
        if not _INITIALS.fullmatch(self.reader):
            raise InputError(
                f"reader: '{self.reader}' is not accepted; give initials or a role, at most 12 "
                "letters and digits"
            )
        try:
            date.fromisoformat(self.date)
        except ValueError:
            raise InputError(
                f"date: '{self.date}' is not accepted; give a date as 2026-01-31"
            ) from None
        if not isinstance(self.values, dict) or len(self.values) > MOST_VALUES:
            raise InputError(f"values: give at most {MOST_VALUES}, each by its column")
        for name, value in self.values.items():
            if not isinstance(name, str) or not _NAME.fullmatch(name):
                raise InputError(f"values: '{name}' is not a column of a table")
            text_in(f"values: {name}", value, needed=True)
        if (self.said == "values") != bool(self.values):
            raise InputError(f"values: with '{self.said}' {len(self.values)} are not accepted")

    @property
    def cell(self) -> tuple[str, str]:
        """The table and the row."""
        return self.table, self.row

    @property
    def by(self) -> str:
        """The reader, whether the initials are capitals or not."""
        return self.reader.casefold()


def text_in(name: str, value: object, *, needed: bool = False) -> str:
    r"""Return a text of one line, tidied at its ends; refuse any other in one sentence.

    >>> text_in("copy", " paper ")
    'paper'
    >>> text_in("copy", "a\tb")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: copy: it holds characters that cannot be printed; type it again
    """
    if not isinstance(value, str):
        raise InputError(f"{name}: {str(value)[:60]} is not a text")
    if len(value) > LONGEST:
        raise InputError(f"{name}: it is longer than {LONGEST} characters; shorten it")
    if not value.isprintable():
        raise InputError(f"{name}: it holds characters that cannot be printed; type it again")
    if needed and not value.strip():
        raise InputError(f"{name}: it is empty; fill it in")
    return value.strip()


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of a file, in the order in which they were made; `note` reports a lost line."""

    found: tuple[Reading, ...]
    note: str = ""


def read_file(path: Path) -> Readings:
    """Read a file of readings; a file that does not exist holds none.

    >>> read_file(Path("no-such-file.jsonl")).found
    ()
    """
    return parse(content_of(path), str(path)) if path.exists() else Readings(())


def content_of(path: Path) -> bytes:
    """Return what a file of readings holds.

    Raises
    ------
    InputError
        If it is not a file, cannot be read or is too large.
    """
    try:
        if not path.is_file():
            raise InputError(f"readings: '{path}' is not a file; give one that weldref read wrote")
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"readings: '{path}' cannot be read: {reason}") from None
    if len(content) > LARGEST:
        raise InputError(
            f"readings: '{path}' is larger than {LARGEST // 1_000_000} MB; give one that "
            "weldref read wrote"
        )
    return content


def parse(content: bytes, shown: str) -> Readings:
    r"""Read the lines of a file of readings, called as `shown` in messages.

    A whole line that is not accepted is an `InputError` that names the line.

    >>> parse(b'{"weldref readings": 1}\n{"source": "a', "r.jsonl").note
    'r.jsonl:2: the last line was half written and is left out'
    """
    *whole, last = content.split(b"\n")
    lines = [*whole, *([last] if last else [])]
    if not lines:
        return Readings(())
    found, note = [], ""
    for number, line in enumerate(lines, 1):
        place = f"{shown}:{number}"
        # Only the last line may lack its end; the others were written whole.
        ended = number <= len(whole)
        try:
            if number == 1:
                _header(line, shown)
            elif line.strip():
                found.append(_reading(line, place))
        except InputError:
            if ended or (number == 1 and not _begun(line)):
                raise
            note = f"{place}: the last line was half written and is left out"
    return Readings(tuple(found), note)


def _begun(line: bytes) -> bool:
    return _line({FORMAT: VERSION}).startswith(line)


def _header(line: bytes, shown: str) -> None:
    found = _json(line, f"{shown}:1")
    if not isinstance(found, dict) or set(found) != {FORMAT}:
        raise InputError(f"{shown}:1: this is not a file of readings; give one that weldref read "
                         "wrote")  # fmt: skip
    if found[FORMAT] != VERSION or isinstance(found[FORMAT], bool):
        raise InputError(
            f"{shown}:1: version {str(found[FORMAT])[:20]} of the format is not known; "
            f"this weldref reads version {VERSION}"
        )


def _reading(line: bytes, place: str) -> Reading:
    given = _json(line, place)
    if not isinstance(given, dict):
        raise InputError(f"{place}: a reading is an object in braces")
    known = {one.name for one in fields(Reading)}
    for name in given:
        if name not in known:
            raise InputError(f"{place}: '{name[:60]}' is not accepted; a reading holds "
                             f"{', '.join(sorted(known))}")  # fmt: skip
    if missing := known - {"values", "place", "note"} - set(given):
        raise InputError(f"{place}: {', '.join(sorted(missing))} is missing")
    try:
        return Reading(**given)
    except InputError as error:
        raise InputError(f"{place}: {error}") from None


def _json(line: bytes, place: str) -> Any:
    try:
        return json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        raise InputError(f"{place}: it is not JSON; give a file that weldref read wrote") from None


def _line(held: Mapping[str, Any]) -> bytes:
    return json.dumps(held, ensure_ascii=False).encode()


def append(path: Path, reading: Reading) -> None:
    """Add a reading to a file, which is made if it does not exist.

    Another process that reads the file sees the whole line or none of it; a half-written last
    line of a killed process is removed.

    Raises
    ------
    InputError
        If the file is not one of readings, or cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> one = Reading("a-source", "windows", "a-source:001", "Table 2: current, A", "not there",
    ...               "ab", "2026-01-31", "2012", "paper")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     append(Path(folder, "readings.jsonl"), one)
    ...     read_file(Path(folder, "readings.jsonl")).found == (one,)
    True
    """
    check_place(path, "readings")
    held = {name: value for name, value in asdict(reading).items() if value or name == "values"}
    line = _line(held) + b"\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with _locked(path) as file:
            content = file.read(LARGEST + 1)
            if len(content) + len(line) > LARGEST:
                raise InputError(f"readings: '{path}' is full; give another with --file")
            *_, last = content.split(b"\n")
            if parse(content, str(path)).note:
                file.truncate(len(content) - len(last))
                content = content[: len(content) - len(last)]
            elif last:
                line = b"\n" + line
            if not content:
                line = _line({FORMAT: VERSION}) + b"\n" + line
            file.seek(0, os.SEEK_END)
            file.write(line)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise InputError(f"readings: '{path}' cannot be written: {error.strerror}") from None


@contextmanager
def _locked(path: Path) -> Iterator[BinaryIO]:
    """Open a file for one process at a time, where the system can."""
    with path.open("a+b", buffering=0) as file:
        with suppress(ImportError):
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX)
        file.seek(0)
        yield file


def latest(readings: Iterable[Reading]) -> dict[tuple[str, str], list[Reading]]:
    """Sort readings by table and row; the last reading of each reader counts.

    >>> latest([])
    {}
    """
    found: dict[tuple[str, str], dict[str, Reading]] = {}
    for reading in readings:
        found.setdefault(reading.cell, {})[reading.by] = reading
    return {cell: list(by_reader.values()) for cell, by_reader in found.items()}


def desk_file() -> Path:
    """Return the file that the desk writes to: the one that counts here, else the user's own.

    >>> desk_file().suffix
    '.jsonl'
    """
    if named := named_file():
        return named
    if os.name == "nt":
        home = Path(os.environ.get("APPDATA") or "~").expanduser()
    else:
        home = Path(os.environ.get("XDG_DATA_HOME") or "~/.local/share").expanduser()
    return home / "weldref" / "readings.jsonl"
