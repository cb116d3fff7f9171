"""Read a table's files and check them against its schema."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pandas as pd
import pandera.pandas as pa
from pandera.errors import SchemaErrors

from weldref.data.schemas.schema import schema_of


@dataclass(frozen=True, slots=True)
class Problem:
    """One failing cell (or file): where it is, what it holds and what is accepted."""

    file: str
    line: int | None
    column: str
    value: str
    accepted: str

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        column = f" {self.column}:" if self.column else ""
        return f"{place}:{column} {self.value} is not accepted; {self.accepted}"


Files = tuple[tuple[str, bytes | str], ...]
"""Files of a table: the name to show and the content, or why that cannot be read."""


def read_files(paths: Mapping[Path, str]) -> Files:
    """Read files of a table; `paths` holds the name to show for each."""
    found: list[tuple[str, bytes | str]] = []
    for path, shown in paths.items():
        try:
            found.append((shown, path.read_bytes()))
        except OSError as error:
            found.append((shown, error.strerror or str(error)))
    return tuple(found)


@lru_cache(maxsize=256)  # of a folder that changes, most files stay as they are
def checked(name: str, files: Files) -> tuple[pd.DataFrame, tuple[Problem, ...]]:
    """Convert a table to its types and list every cell that its schema refuses.

    The rows have the columns ``_file`` and ``_line`` too and are not to be changed.
    """
    schema = schema_of(name)
    columns = list(schema.columns)
    read = [read_rows(content, shown, columns) for shown, content in files]
    empty = pd.DataFrame(columns=[*columns, "_file", "_line"])
    frame = pd.concat([rows for rows, _ in read], ignore_index=True) if read else empty
    typed, found = _against_schema(frame, schema)
    problems = (*(problem for _, unread in read for problem in unread), *found)
    return typed.assign(_file=frame["_file"], _line=frame["_line"]), problems


def read_rows(
    content: bytes | str, shown: str, columns: list[str]
) -> tuple[pd.DataFrame, list[Problem]]:
    """Read a CSV file as text with the file and line of each row; report what cannot be read.

    Parameters
    ----------
    content, shown
        The content of the file, or why it cannot be read, and the name to show for it.
    columns
        The header that the file must have.
    """
    problems: list[Problem] = []
    rows: list[list[str]] = []
    lines: list[int] = []
    try:
        if isinstance(content, str):
            raise OSError(content)
        reader = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
        header = next(reader, [])
        if header != columns:
            return pd.DataFrame(columns=[*columns, "_file", "_line"]), [
                Problem(shown, 1, "", "the header", _header_difference(header, columns))
            ]
        last = reader.line_num
        for row in reader:
            start, last = last + 1, reader.line_num
            if len(row) == len(columns):
                rows.append(row)
                lines.append(start)
            else:
                accepted = f"give {len(columns)} cells, one for each column"
                problems.append(Problem(shown, start, "", f"a row of {len(row)}", accepted))
    except (UnicodeDecodeError, csv.Error, OSError) as error:
        problems.append(Problem(shown, None, "", "the file", f"it cannot be read: {error}"))
    frame = pd.DataFrame(rows, columns=columns, dtype="str").replace("", pd.NA)
    frame["_file"] = shown
    frame["_line"] = lines
    return frame, problems


def _header_difference(found: list[str], wanted: list[str]) -> str:
    missing = [name for name in wanted if name not in found]
    extra = [name or "(empty)" for name in found if name not in wanted]
    parts = []
    if missing:
        parts.append("missing: " + ", ".join(missing))
    if extra:
        parts.append("not known: " + ", ".join(extra))
    return (
        "give these columns in this order: "
        + ", ".join(wanted)
        + (f" ({'; '.join(parts)})" if parts else "")
    )


def _against_schema(
    frame: pd.DataFrame, schema: pa.DataFrameSchema
) -> tuple[pd.DataFrame, list[Problem]]:
    plain = frame.drop(columns=["_file", "_line"])
    places = list(zip(frame["_file"], frame["_line"], strict=True))
    problems: list[Problem] = []
    reported: set[tuple[int, str]] = set()

    def report(index: Any, column: str, value: str, accepted: str) -> None:
        file, line = places[int(index)]
        problems.append(Problem(str(file), int(line), column, value, accepted))

    def report_cell(index: Any, column: str, accepted: str) -> None:
        if (int(index), column) not in reported:  # one problem for each cell
            reported.add((int(index), column))
            value: Any = plain.at[index, column]
            report(index, column, "an empty cell" if pd.isna(value) else f"'{value}'", accepted)

    for name, column in schema.columns.items():
        if str(column.dtype) != "float64":
            continue
        numbers = pd.to_numeric(plain[name], errors="coerce")
        wrong = plain[name].notna() & ~numbers.abs().lt(float("inf"))
        for index in plain.index[wrong]:
            report_cell(index, name, "give a number")
        plain[name] = numbers.where(~wrong)
    try:
        return schema.validate(plain, lazy=True), problems
    except SchemaErrors as errors:
        cases = errors.failure_cases
    seen: set[tuple[Any, Any]] = set()
    for case in cases.to_dict("records"):
        index, check = case["index"], str(case["check"])
        if index is None or pd.isna(index):
            continue
        frame_check = case["schema_context"] == "DataFrameSchema"
        if frame_check and (check, index) in seen:
            continue
        seen.add((check, index))
        if check.startswith("multiple_fields_uniqueness"):
            keys = list(schema.unique or [])
            value = ", ".join(str(plain.at[index, k]) for k in keys)
            report(index, ", ".join(keys), f"'{value}'", "this key is in the table already")
        elif frame_check:
            named = [name for name in map(str, plain) if re.search(rf"\b{name}\b", check)]
            filled = frame.loc[index, named].dropna()
            value = ", ".join(f"{name} '{cell}'" for name, cell in filled.items())
            empty = "an empty cell" if named else "the row"
            report(index, "" if value else ", ".join(named), value or empty, check)
        else:
            report_cell(index, str(case["column"]), _accepted(check))
    return plain, problems


def _accepted(check: str) -> str:
    """Turn pandera's name of a check into words."""
    if check == "not_nullable":
        return "this column may not be empty"
    if check == "field_uniqueness":
        return "this key is in the table already"
    if match := re.match(r"isin\(\[(.*)\]\)", check):
        return "give one of " + match[1].replace("'", "")
    for pattern, words in (
        (r"greater_than\((.*)\)", "give a number above {}"),
        (r"greater_than_or_equal_to\((.*)\)", "give a number of at least {}"),
        (r"less_than_or_equal_to\((.*)\)", "give a number of at most {}"),
        (r"str_matches\('\^(.*)\$'\)", "write it as {}"),
    ):
        if match := re.match(pattern, check):
            return words.format(match[1])
    return check
