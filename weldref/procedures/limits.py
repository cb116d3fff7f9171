"""Refuse harmful files before reading them: size, depth, zip bombs, encodings.

The limits are far above what any procedure needs (a long one is about 100 kB), and so low that
nothing here takes more than about a second or some tens of megabytes.
"""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from weldref.cells import harmless
from weldref.errors import InputError

MB = 1024 * 1024
LARGEST = {"xlsx": 20 * MB, "pdf": 20 * MB, "json": 2 * MB, "csv": 2 * MB, "yaml": MB // 2}
MOST_ENTRIES = 500
MOST_UNPACKED = 60 * MB
MOST_XML = 6 * MB
MOST_ELEMENTS = 60_000
HIGHEST_RATIO = 200
MOST_CELLS = 20_000
MOST_FILLED = 4_000
MOST_COLUMNS = 500
MOST_ROWS = 5_000


def read_file(path: Path) -> bytes:
    """Read a file of bounded size.

    Raises `InputError` if there is no such file, or it is larger than the largest limit.
    """
    try:
        if not path.is_file():
            what = "a folder or a device" if path.exists() else "not there"
            raise InputError(f"procedure: '{path}' is {what}; give a file")
        with path.open("rb") as file:
            return file.read(LARGEST["xlsx"] + 1)
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"procedure: '{path}' cannot be read: {reason}") from error


def check_size(data: bytes, layout: str) -> None:
    """Refuse a file that is larger than its format needs, or empty.

    >>> check_size(b"x" * 3_000_000, "json")
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: procedure: the file is larger than the 2 MB accepted for JSON
    """
    if not data.strip():
        raise InputError("procedure: the file is empty")
    if len(data) > LARGEST[layout]:
        size = f"{LARGEST[layout] / MB:g} MB"
        raise InputError(
            f"procedure: the file is larger than the {size} accepted for {layout.upper()}"
        )


def decode(data: bytes) -> str:
    r"""Decode UTF-8, with or without a byte order mark.

    >>> decode(b"\xef\xbb\xbfWPS")
    'WPS'
    >>> decode("WPS".encode("utf-16"))
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: procedure: the file is UTF-16 text; save it as UTF-8
    """
    if data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        raise InputError("procedure: the file is UTF-32 text; save it as UTF-8")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or _looks_wide(data):
        raise InputError("procedure: the file is UTF-16 text; save it as UTF-8")
    if b"\x00" in data:
        raise InputError("procedure: the file is not text (it holds zero bytes)")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"procedure: line {line}: byte 0x{data[error.start]:02x} is not UTF-8; "
            "save the file as UTF-8 (in a spreadsheet: 'CSV UTF-8')"
        ) from error


def _looks_wide(data: bytes) -> bool:
    """Whether it is UTF-16 without a mark: every other byte of plain text is zero."""
    start = data[:200]
    halves = start[0::2], start[1::2]
    return len(start) >= 4 and any(half.count(0) > 0.8 * len(half) for half in halves)


def check_workbook(data: bytes) -> Workbook:
    """Check an XLSX file before a library opens it.

    Raises `InputError` if it is not a workbook, is encrypted, or unpacks to more than is accepted.
    """
    book = Workbook()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            _check_parts(parts)
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    book.count(packed.read(part), part.filename)
    except InputError:
        raise
    except Exception as error:  # a broken archive fails in a dozen ways
        raise InputError("procedure: the XLSX file is damaged: it cannot be unpacked") from error
    book.links = [p.filename for p in parts if p.filename.startswith("xl/externalLinks/external")]
    return book


def _check_parts(parts: list[zipfile.ZipInfo]) -> None:
    names = {part.filename for part in parts}
    unpacked = sum(part.file_size for part in parts)
    xml = sum(part.file_size for part in parts if part.filename.endswith((".xml", ".rels")))
    bomb = next(
        (p.filename[:60] for p in parts if p.file_size > max(1e5, HIGHEST_RATIO * p.compress_size)),
        None,
    )
    checks = (
        (names.isdisjoint(("xl/workbook.xml", "[Content_Types].xml")),
         "the file is a ZIP archive but not an XLSX workbook"),
        ("xl/workbook.bin" in names, "the file is an XLSB workbook; save it as XLSX"),
        (not any(name.startswith("xl/") for name in names),
         "the file is an office document but not an XLSX workbook"),
        (len(parts) > MOST_ENTRIES or len(parts) > len(names),
         f"the XLSX file has more than {MOST_ENTRIES} parts, or some twice"),
        (any(part.flag_bits & 1 for part in parts),
         "the XLSX file is encrypted; save it without a password"),
        (unpacked > MOST_UNPACKED, f"the XLSX file unpacks to {unpacked / MB:.0f} MB; "
         f"at most {MOST_UNPACKED // MB} MB is accepted"),
        (bomb is not None, f"part '{bomb}' of the XLSX file is packed more than "
         f"{HIGHEST_RATIO} to 1, as in a ZIP bomb"),
        (xml > MOST_XML, f"the XLSX file holds {xml / MB:.0f} MB of tables; "
         f"at most {MOST_XML // MB} MB is accepted"),
    )  # fmt: skip
    for wrong, what in checks:
        if wrong:
            raise InputError(f"procedure: {what}")


@dataclass(slots=True)
class Workbook:
    """What is in a workbook: links to other files, and how far its cells reach."""

    links: list[str] = field(default_factory=list)
    rows: int = 0
    columns: int = 0
    cells: int = 0
    elements: int = 0

    def count(self, text: bytes, name: str) -> None:
        """Count the elements of an XML part, and the cells of a sheet.

        Raises `InputError` if the part declares entities, or exceeds a limit.
        """
        if text.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" in text[:100]:
            raise InputError(f"procedure: part '{name[:60]}' of the XLSX file is not UTF-8")
        if re.search(rb"<!(?:DOCTYPE|ENTITY)", text, re.IGNORECASE):
            raise InputError(
                f"procedure: part '{name[:60]}' of the XLSX file declares entities; it is not read"
            )
        parser = expat.ParserCreate()
        sheet = name.startswith("xl/worksheets/")
        at_row = at_column = 0

        def start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal at_row, at_column
            self.elements += 1
            if self.elements > MOST_ELEMENTS:
                raise InputError(
                    f"procedure: the XLSX file has more than {MOST_ELEMENTS:,} elements"
                )
            local = tag.rpartition(":")[2] if sheet else ""
            if local == "row":
                number = attributes.get("r", "")
                at_row = int(number) if number.isdigit() and len(number) < 9 else at_row + 1
                at_column = 0
                self.rows = max(self.rows, at_row)
                if self.rows > MOST_ROWS:
                    raise InputError(f"procedure: the sheet has cells below row {MOST_ROWS:,}")
            elif local == "c":
                self.cells += 1
                at_column = _column(attributes.get("r", "")) or at_column + 1
                self.columns = max(self.columns, at_column)
                if self.cells > MOST_CELLS:
                    raise InputError(f"procedure: the workbook has more than {MOST_CELLS:,} cells")
                if self.columns > MOST_COLUMNS:
                    raise InputError(f"procedure: the sheet has more than {MOST_COLUMNS} columns")

        parser.StartElementHandler = start
        parser.Parse(text, True)


def _column(reference: str) -> int:
    """Return the number of a cell's column: 28 of AB7."""
    number = 0
    for letter in reference[:7].upper():
        if not "A" <= letter <= "Z":
            break
        number = number * 26 + ord(letter) - 64
    return number


def without_apostrophe(text: str) -> str:
    """Undo `harmless` on reading.

    >>> without_apostrophe("'=1"), without_apostrophe("'quoted'")
    ('=1', "'quoted'")
    """
    guarded = text.startswith("'") and harmless(text[1:]) == text
    return text[1:] if guarded else text
