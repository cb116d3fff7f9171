"""Read a log, CSV or Parquet, into the form that every query of the audit uses.

A number in a cell is read as `weldref.check` reads it. Parquet with plain numbers is read in place;
everything else is first written to a Parquet file in the engine's folder, because an audit reads
the log several times.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.core.units import Units, UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs import engine as sql
from weldref.logs.columns import CONDITIONS, LABELS, Column, Columns, read_columns

if TYPE_CHECKING:
    from collections.abc import Iterator

    from weldref.logs.engine import DuckEngine

NOT_A_NUMBER = float("nan")
"""The value of a cell that is not a number with a fitting unit."""

_NUMBERS = ("TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT", "FLOAT", "DOUBLE", "DECIMAL",
            "UTINYINT", "USMALLINT", "UINTEGER", "UBIGINT")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Readings:
    """One quantity in one unit, in the column `name` of the log's form; NULL if there is none."""

    name: str
    quantity: str
    unit: str


@dataclass(frozen=True, slots=True)
class Log:
    """A log in the form that the audit reads.

    `source` is the SQL of a table with the columns record (from 1), place (from 0), c_FIELD for
    each condition that is a word or a size ('' if it is left out), thickness (metres, NaN if it is
    not a length), joint, welder, seconds, and one column for each of `readings`.
    """

    path: str
    source: str
    conditions: tuple[str, ...]
    thickness: bool
    readings: tuple[Readings, ...]
    columns: Columns
    records: int

    def has(self, field: str) -> bool:
        """Whether the log has a column for a field."""
        return self.columns.get(field) is not None


def open_log(
    engine: DuckEngine,
    store: Store,
    path: Path,
    mapping: Mapping[str, str],
    unit_of: Mapping[str, str],
    units: UnitSystem,
) -> Log:
    """Open a log in the form that the audit reads.

    Raises
    ------
    InputError
        If the file cannot be read, or a column is not accepted (see `read_columns`).
    """
    if not path.is_file():
        raise InputError(f"log: '{path}' is not a file; give a CSV or Parquet file of weld records")
    with path.open("rb") as file:
        parquet = file.read(4) == b"PAR1"
    if path.suffix.lower() in (".parquet", ".pq") and not parquet:
        raise InputError(f"log: '{path}' is not a Parquet file though its name says so")
    with sentences(path):
        if parquet:
            source = f"read_parquet({sql.place(str(path))})"
            kinds = {r[0]: str(r[1]) for r in engine.fetch(f"DESCRIBE SELECT * FROM {source}")}
        else:
            source, kinds = _csv(path)
        columns = read_columns(store, list(kinds), mapping, unit_of, units)
        measured = [c for c in columns.used if c.quantity or c.field == "thickness"]
        if all(_is_number(kinds[column.heading]) for column in measured):
            return _in_place(engine, store, path, kinds, columns)
        return _rewritten(engine, store, path, source, kinds, columns)


def _csv(path: Path) -> tuple[str, dict[str, str]]:
    """Read the headings, and have duckdb read every cell as text."""
    try:
        with path.open("rb") as file:
            first = file.readline().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"log: '{path}' is not UTF-8 text in line 1; save it as UTF-8") from None
    if not first.strip():
        raise InputError(f"log: '{path}' is empty or has no headings in line 1; name each column")
    mark = max(",;\t|", key=first.count)
    try:
        headings = next(csv.reader([first], delimiter=mark), [])
    except csv.Error as error:
        raise InputError(f"log: '{path}' has no headings in line 1: {error}") from None
    if not all(heading.strip() for heading in headings):
        raise InputError(f"log: '{path}' has a column without a heading in line 1; name each")
    repeated = {heading for heading in headings if headings.count(heading) > 1}
    if repeated:
        raise InputError(f"log: two columns are headed '{repeated.pop()}' in line 1; name each")
    # Reading by position is right here, since the names are those of the file's first line.
    # duckdb's own detection would hide the line of a mistake.
    named = ", ".join(f"{sql.text(heading)}: 'VARCHAR'" for heading in headings)
    source = (
        f"read_csv({sql.place(str(path))}, header = true, auto_detect = false, "
        f"columns = {{{named}}}, delim = {sql.text(mark)}, quote = '\"', escape = '\"')"
    )
    return source, dict.fromkeys(headings, "VARCHAR")


def _rewritten(
    engine: DuckEngine,
    store: Store,
    path: Path,
    source: str,
    kinds: dict[str, str],
    columns: Columns,
) -> Log:
    """Copy the columns that are used to a file in the engine's folder, numbers as numbers."""
    cells = []
    for column in columns.used:
        cell = f"CAST({sql.name(column.heading)} AS VARCHAR)"
        if column.field == "thickness" or column.quantity:
            # duckdb reads 1_000 as a number; a check does not.
            plain = f"CASE WHEN NOT contains({cell}, '_') THEN TRY_CAST({cell} AS DOUBLE) END"
            cells.append(f"{plain} AS n_{column.field}")
            cells.append(
                f"CASE WHEN ({plain}) IS NULL AND trim({cell}) <> '' THEN {cell} END "
                f"AS x_{column.field}"
            )
        elif column.field == "time":
            cells.append(f"{_seconds(column, kinds)} AS seconds")
        else:
            cells.append(f"coalesce({cell}, '') AS {_plain(column.field)}")
    target = str(Path(engine.folder) / "log.parquet")
    engine.run(
        f"COPY (SELECT {', '.join(cells)} FROM {source}) TO {sql.text(target)} (FORMAT parquet)"
    )
    base = engine.log(target)
    joins = ""
    shown = ["l.place", "l.record"]
    readings: list[Readings] = []
    for column in columns.used:
        field = column.field
        if field == "time":
            shown.append("l.seconds")
        elif field == "thickness" or column.quantity:
            typed = [r[0] for r in engine.fetch(f"SELECT DISTINCT x_{field} FROM {base} l")]
            said = _typed(store, column, [text for text in typed if text is not None])
            if said:
                engine.load(
                    f"said_{field}",
                    {"text": "VARCHAR", "unit": "VARCHAR", "number": "DOUBLE"},
                    [(text, *found) for text, found in said.items()],
                )
                joins += f" LEFT JOIN said_{field} ON said_{field}.text = l.x_{field}"
            if field == "thickness":
                shown.append(f"{_metres(store, column, bool(said))} AS thickness")
                continue
            for unit in dict.fromkeys([column.unit or "", *(u for u, _ in said.values())]):
                name = f"v{len(readings)}"
                readings.append(Readings(name, column.quantity or "", unit))
                own = f"l.n_{field}" if unit == column.unit else "NULL"
                cell = (
                    f"CASE WHEN l.x_{field} IS NULL THEN {own} "
                    f"WHEN said_{field}.unit = {sql.text(unit)} THEN said_{field}.number END"
                )
                shown.append(f"{cell if said else own} AS {name}")
        else:
            shown.append(f"l.{_plain(field)}")
    return _log(
        engine, path, f"(SELECT {', '.join(shown)} FROM {base} l{joins})", columns, readings
    )


def _is_number(kind: str) -> bool:
    return kind.startswith(_NUMBERS) and not kind.endswith("]")


def _double(cell: str, kind: str) -> str:
    """Write the SQL of a number as DOUBLE; the FLOAT nearest to 3.2 means 3.2."""
    return (
        f"CAST(CAST({cell} AS VARCHAR) AS DOUBLE)" if kind == "FLOAT" else f"CAST({cell} AS DOUBLE)"
    )


def _in_place(
    engine: DuckEngine, store: Store, path: Path, kinds: dict[str, str], columns: Columns
) -> Log:
    """Use the file in place."""
    shown = ["place", "record"]
    readings: list[Readings] = []
    for column in columns.used:
        cell = sql.name(column.heading)
        number = _double(cell, kinds[column.heading])
        if column.field == "thickness":
            unit = Units(store).by_spelling[column.unit or ""]
            shown.append(f"{number} * {sql.number(unit.factor)} AS thickness")
        elif column.quantity:
            readings.append(Readings(f"v{len(readings)}", column.quantity, column.unit or ""))
            shown.append(f"{number} AS {readings[-1].name}")
        elif column.field == "time":
            shown.append(f"{_seconds(column, kinds)} AS seconds")
        else:
            shown.append(f"coalesce(CAST({cell} AS VARCHAR), '') AS {_plain(column.field)}")
    source = f"(SELECT {', '.join(shown)} FROM {engine.log(str(path))} l)"
    return _log(engine, path, source, columns, readings)


def _log(
    engine: DuckEngine, path: Path, source: str, columns: Columns, readings: list[Readings]
) -> Log:
    ((records,),) = engine.fetch(f"SELECT count(*) FROM {source}")
    if not records:
        raise InputError(f"log: '{path}' has no record below its heading; give at least one")
    words = tuple(f for f in CONDITIONS if f != "thickness" and columns.get(f))
    return Log(
        path=str(path),
        source=source,
        conditions=words,
        thickness=columns.get("thickness") is not None,
        readings=tuple(readings),
        columns=columns,
        records=int(records),
    )


def _plain(field: str) -> str:
    return field if field in LABELS else f"c_{field}"


def _seconds(column: Column, kinds: dict[str, str]) -> str:
    """Write the SQL of a time in seconds; a bare number is in seconds."""
    cell = sql.name(column.heading)
    kind = kinds[column.heading]
    if _is_number(kind):
        return _double(cell, kind)
    if kind.startswith(("TIMESTAMP", "DATE")) and not kind.endswith("]"):
        return f"epoch({cell})"
    cell = f"CAST({cell} AS VARCHAR)"
    return f"coalesce(epoch(TRY_CAST({cell} AS TIMESTAMP)), TRY_CAST({cell} AS DOUBLE))"


def _typed(store: Store, column: Column, texts: list[str]) -> dict[str, tuple[str, float]]:
    """Read cells that are not bare numbers: '6 mm', '1/8', '250 in/min'."""
    converter = Units(store)
    found: dict[str, tuple[str, float]] = {}
    for text in texts:
        try:
            if column.field == "thickness":
                found[text] = "m", thickness_metres(store, text, column.unit or "in")
            else:
                (row,) = store.rows(
                    "SELECT dimension FROM quantities WHERE quantity = $quantity",
                    {"quantity": column.quantity},
                )
                value = converter.parse(text, row["dimension"], column.unit or "", column.field)
                found[text] = value.unit, value.number
        except InputError:
            unit = "m" if column.field == "thickness" else column.unit or ""
            found[text] = unit, NOT_A_NUMBER
    return found


def thickness_metres(store: Store, text: str, unit: str) -> float:
    """Read a typed thickness in metres; a bare number is in the column's unit.

    Whether it is plausible is tested later, as for every thickness. A gauge number depends on the
    metal of its record and is counted as unreadable.

    Raises
    ------
    InputError
        If it is not a length.
    """
    return Units(store).parse(text, "length", unit, "thickness").si


def _metres(store: Store, column: Column, said: bool) -> str:
    unit = Units(store).by_spelling[column.unit or ""]
    own = f"l.n_thickness * {sql.number(unit.factor)}"
    if not said:
        return own
    return f"CASE WHEN l.x_thickness IS NULL THEN {own} ELSE said_thickness.number END"


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn duckdb's error about a broken file into one sentence with the line."""
    import duckdb

    try:
        yield
    except duckdb.OutOfMemoryException:
        raise InputError(
            f"log: '{path}' has too many different conditions for the memory; split the file"
        ) from None
    except (duckdb.BinderException, duckdb.CatalogException, duckdb.ParserException):
        raise  # a mistake in our SQL, not in the file
    except duckdb.Error as error:
        said = str(error)
        line = re.search(r"Line: (\d+)", said)
        place = f" line {line[1]}" if line else ""
        if cells := re.search(r"Expected Number of Columns: (\d+) Found: (\d+)", said):
            reason = f"has {cells[2]} cells where the heading has {cells[1]}; give {cells[1]}"
        elif "unterminated quote" in said:
            reason = "opens a quotation mark that is never closed; close it"
        elif "No space left" in said:
            reason = "needs more room for temporary files than there is; make room, or split it"
        elif "not utf-8" in said:
            reason = "is not UTF-8 text; save the file as UTF-8"
        else:
            first = re.sub(r"^[\w ]*Error: *", "", said.splitlines()[0])
            reason = f"cannot be read ({first.rstrip('. ')}); give CSV in UTF-8 or Parquet"
        raise InputError(f"log: '{path}'{place} {reason}") from None
