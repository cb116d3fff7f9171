"""Choose the reader for a file by its content, then by its ending."""

from __future__ import annotations

import re
from pathlib import Path

from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.from_csv import read_csv
from weldref.procedures.from_json import read_json
from weldref.procedures.from_xlsx import read_xlsx
from weldref.procedures.from_yaml import read_yaml
from weldref.procedures.model import Procedure
from weldref.procedures.paper.draft import draft_from, is_draft
from weldref.procedures.paper.read import is_paper, read_paper
from weldref.procedures.paper.reading import Reading, saved_reading

READERS = {"json": read_json, "yaml": read_yaml, "csv": read_csv, "xlsx": read_xlsx}
ENDINGS = {
    ".json": "json", ".yaml": "yaml", ".yml": "yaml", ".csv": "csv", ".tsv": "csv",
    ".txt": "csv", ".xlsx": "xlsx", ".xlsm": "xlsx",
}  # fmt: skip
_REFUSED = {
    b"\xd0\xcf\x11\xe0": "an old or encrypted office file; save it as XLSX without a password",
    b"{\\rtf": "an RTF text; write its contents into the form (weldref procedure-template)",
}


def read_procedure(path: str | Path, *, unconfirmed: bool = False) -> Procedure:
    r"""Read the one procedure of a file: JSON, YAML, CSV or XLSX; with `unconfirmed` a PDF too.

    Parameters
    ----------
    path
        The file.
    unconfirmed
        Accept what a machine read of a PDF or a picture and nobody compared with it.

    Raises
    ------
    InputError
        In one sentence, if the file cannot be read or holds several procedures.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder, "wps.yaml")
    ...     _ = file.write_text("wps: 7\nprocess: GMAW\ncurrent: 130 - 150 A\n")
    ...     found = read_procedure(file)
    >>> found.number.text, str(found.passes[0].current)
    ('7', '130 to 150 A')
    """
    found = read_procedures(path, unconfirmed=unconfirmed)
    if len(found) > 1:
        names = ", ".join(str(one.number or "without a number") for one in found[:5])
        raise InputError(f"procedure: '{path}' holds {len(found)} procedures ({names}); give one")
    return found[0]


def read_procedures(path: str | Path, *, unconfirmed: bool = False) -> tuple[Procedure, ...]:
    """Read every procedure of a file (see `read_procedure`)."""
    path = Path(path)
    return read_bytes(limits.read_file(path), path.name, unconfirmed=unconfirmed)


def read_bytes(data: bytes, name: str, *, unconfirmed: bool = False) -> tuple[Procedure, ...]:
    r"""Read the procedures of a file that is in memory, such as an upload.

    Examples
    --------
    >>> [one.layout for one in read_bytes(b"WPS No.,7\nProcess,SMAW\n", "wps.csv")]
    ['csv']
    """
    reading = reading_in(data, name, unconfirmed=unconfirmed)
    if reading is not None:
        return reading.procedures()
    layout = _layout(data, name)
    limits.check_size(data, layout)
    return READERS[layout](data, name)


def reading_at(path: str | Path) -> Reading:
    """Read a PDF, a picture or a draft of one, confirmed or not.

    Raises `InputError` if it cannot be read, or is another kind of file.
    """
    path = Path(path)
    reading = reading_in(limits.read_file(path), path.name)
    if reading is None:
        raise InputError(
            f"procedure: '{path.name}' is not a PDF, a picture or a draft; "
            "give a PDF, PNG, JPEG or TIFF, or the draft of one"
        )
    return reading


def reading_in(data: bytes, name: str, *, unconfirmed: bool = True) -> Reading | None:
    """Read a PDF, a picture or a saved reading of one; None for any other file.

    Raises `InputError` if it cannot be read, or holds what is not confirmed and that is not
    accepted.
    """
    if is_paper(data):
        if not unconfirmed:
            raise InputError(
                f"procedure: '{name}' has to be read by machine; confirm what was read (the "
                "dashboard, or weldref read-procedure), or audit it with --unconfirmed"
            )
        limits.check_size(data, "pdf")
        return read_paper(data, name)
    reading = draft_from(data) if is_draft(data) else saved_reading(data)
    if reading is not None and not unconfirmed and (left := reading.unconfirmed):
        raise InputError(
            f"procedure: {left} values of '{name}' were read by machine and are not confirmed; "
            "confirm them, or audit it with --unconfirmed"
        )
    return reading


def _layout(data: bytes, name: str) -> str:
    for start, what in _REFUSED.items():
        if data.startswith(start):
            raise InputError(f"procedure: the file is {what}")
    if data.startswith(b"PK"):
        return "xlsx"
    ending = ENDINGS.get(Path(name).suffix.casefold(), "")
    if ending == "xlsx":
        raise InputError("procedure: the file ends in .xlsx but is not an XLSX workbook")
    start_of_text = data[:2000].removeprefix(b"\xef\xbb\xbf").lstrip()
    if start_of_text.startswith((b"{", b"[")) and ending != "yaml":
        return "json"
    if ending:
        return ending
    return "yaml" if re.search(rb"(?m)^[\w \"'./#()-]{1,60}:(?:\s|$)", start_of_text) else "csv"
