"""Keep charts as own tables: a windows file for each, and its line in sources.csv."""

from __future__ import annotations

import csv
import hashlib
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import IO

from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart.check import (
    Line,
    Setting,
    checked,
    number_text,
    shown,
    unit_for,
)
from weldref.exchange.shop_chart.model import (
    ASIDE,
    CONDITIONS,
    KEYS,
    Chart,
    Column,
    column_of,
    plain_text,
    short_name,
)
from weldref.files import csv_bytes, write_whole

PREFIX = "chart-"
"""The start of the names of a chart's source and file, so that it replaces nothing else."""

LOCK = ".weldref-lock"
SECONDS = 3.0
"""How long to wait while somebody else is saving."""

GAS_ROLES = {"OFC": "fuel", "OFW": "fuel", "PAC": "plasma", "LBC": "assist"}
FRACTIONS = (2, 4, 8, 16, 32, 64)


class SavedMeanwhileError(InputError):
    """A chart of this name was saved after the one to save was opened."""


def save(store: Store, chart: Chart, folder: Path, begun_from: str | None = None) -> Path:
    """Write a chart as own tables; one of the same name is replaced. Return the file of its rows.

    `begun_from` is the `version` that was opened to be edited, "" for a new chart: no other version
    is then replaced. None replaces any version. A folder that is missing is made.

    Raises
    ------
    SavedMeanwhileError
        If another version than `begun_from` is there.
    InputError
        If the chart has a problem, another chart's file has its name, somebody else is saving,
        or the folder cannot be written; what is there then stays as it is.
    """
    found = checked(store, chart)
    if found.refused:
        more = len(found.refused) - 1
        others = f" (and {more} more)" if more else ""
        raise InputError(f"chart: {found.refused[0]}{others}")
    name, shop, place = (
        plain_text(text, "chart", 200) for text in (chart.name, chart.shop, chart.place)
    )
    source_id = f"{PREFIX}{short_name(name)}"
    source = {
        "source_id": source_id,
        "title": f"our chart, {name}, {chart.date}",
        "issuer": shop,
        "document_number": name,
        "edition": chart.date,
        "address": place,
        "how_read": "read",
    }
    windows = csv_bytes(_header("windows"), _rows(source_id, found.lines))
    _refuse_unsound("sources", csv_bytes(_header("sources"), [source]))
    _refuse_unsound("windows", windows)
    make_folder(folder)
    with locked(folder):
        sources = _sources(folder)
        path = _file(folder, source)
        there = next((one for one in sources if one["source_id"] == source_id), None)
        if (there is None and path.exists()) or (
            there and there["document_number"].casefold() != name.casefold()
        ):
            called = there["document_number"] if there else path.name
            raise InputError(
                f"chart: name: '{name}' would be written over '{called}'; give another name"
            )
        if begun_from is not None and version(folder, name) != begun_from:
            raise SavedMeanwhileError(
                f"chart: '{name}' was saved by someone else, or in another window, since yours was "
                "begun; nothing of yours is lost: give it another name, or save it over theirs"
            )
        kept = [one for one in sources if one["source_id"] != source_id]
        # The source first: a reader would refuse rows that cite a missing source.
        _write_sources(folder, [*kept, source])
        write_whole(path, windows, "chart")
    return path


def version(folder: Path, name: str) -> str:
    """Tell one saved state of a chart from another; "" where no chart has this name.

    >>> version(Path("no-such-folder"), "Booth 3")
    ''
    """
    if name.casefold() not in (one.casefold() for one in names(folder)):
        return ""
    source = _source(folder, name)
    rows = _read(_file(folder, source), "windows")
    return hashlib.sha256(repr((source, rows)).encode()).hexdigest()


def names(folder: Path) -> tuple[str, ...]:
    """Name the charts of a folder, in the order of the alphabet.

    >>> names(Path("no-such-folder"))
    ()
    """
    found = (
        one["document_number"] for one in _sources(folder)
        if _file(folder, one).is_file() and _is_chart(one)
    )  # fmt: skip
    return tuple(sorted(found, key=str.casefold))


def load(store: Store, folder: Path, name: str) -> Chart:
    """Read a chart back from own tables.

    Raises
    ------
    InputError
        If there is no such chart, or its file was changed into something else.
    """
    source = _source(folder, name)
    rows = _read(_file(folder, source), "windows")
    if not rows:
        raise InputError(f"chart: '{name}' holds no row; remove it or type it again")
    said = {key: column_of(key) for key in CONDITIONS}
    common = {
        key: rows[0][column] for key, column in said.items()
        if rows[0][column] and len({row[column] for row in rows}) == 1
    }  # fmt: skip
    lines: dict[str, dict[str, str]] = {}
    units: dict[str, Counter[str]] = defaultdict(Counter)
    for row in rows:
        cells = lines.setdefault(row["line"] or row["window_id"], _place_of(row, said, common))
        try:
            cells[row["quantity"]] = _setting_text(row)
        except ValueError:
            raise InputError(
                f"chart: '{name}', row {row['window_id']}: a number in it cannot be read; correct "
                f"it in windows/{source['source_id']}.csv"
            ) from None
        units[row["quantity"]][row["unit"]] += 1
    metric = {"mm", "mm/min", "m/min", "L/min", "bar"}
    us = {"in", "in/min", "ft3/h", "psi", "gauge"}
    used = [unit for row in rows for unit in (row["unit"], row["thickness_unit"])]
    is_metric = sum(unit in metric for unit in used) > sum(unit in us for unit in used)
    system: UnitSystem = "metric" if is_metric else "us"
    columns = tuple(
        Column(name, units[name].most_common(1)[0][0] if name in units else "")
        for name in _order(lines.values())
    )
    chart = Chart(
        source["document_number"], source["edition"], system, common, columns, (),
        source["issuer"], source["address"],
    )  # fmt: skip
    # A cell leaves out the unit that the heading of its column names.
    endings = {c.name: f" {unit}" if (unit := unit_for(store, chart, c)) else "" for c in columns}
    kept = (
        {name: text.removesuffix(endings[name]) for name, text in cells.items()}
        for cells in lines.values()
    )
    return replace(chart, rows=tuple(kept))


def remove(folder: Path, name: str) -> None:
    """Take a chart out of own tables; the other tables stay sound.

    Raises
    ------
    InputError
        If there is no such chart, or somebody else is saving.
    """
    with locked(folder):
        source = _source(folder, name)
        # The rows first: without their source they would be refused.
        _file(folder, source).unlink(missing_ok=True)
        _keep_a_table(folder)
        kept = [one for one in _sources(folder) if one["source_id"] != source["source_id"]]
        _write_sources(folder, kept)


def make_folder(folder: Path) -> None:
    """Make a folder of own tables, with empty tables, if there is none.

    Raises
    ------
    InputError
        If it cannot be made.
    """
    try:
        (folder / "windows").mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"chart: '{folder}' cannot be made: {error.strerror}") from error
    with locked(folder):
        if not (folder / "sources.csv").exists():
            _write_sources(folder, [])
        _keep_a_table(folder)


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Keep others from saving meanwhile; the system releases the lock when a process ends.

    Raises
    ------
    InputError
        If somebody else keeps it for longer than a few seconds.
    """
    try:
        file = (folder / LOCK).open("a+b")
    except OSError as error:
        raise InputError(f"chart: '{folder}' cannot be written: {error.strerror}") from error
    with file:
        end = time.monotonic() + SECONDS
        while not _take(file):
            if time.monotonic() > end:
                raise InputError(f"chart: someone else is saving in '{folder}'; try again")
            time.sleep(0.05)
        yield  # closing the file releases the lock


def _take(file: IO[bytes]) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _keep_a_table(folder: Path) -> None:
    """Write an empty file of windows if there is none: own tables without one are refused."""
    if not any((folder / "windows").glob("*.csv")):
        write_whole(folder / "windows" / "own.csv", csv_bytes(_header("windows"), []), "chart")


def _is_chart(source: Mapping[str, str]) -> bool:
    if not source["source_id"].startswith(PREFIX):
        return False
    with suppress(InputError):
        return source["source_id"] == PREFIX + short_name(source["document_number"])
    return False


def _sources(folder: Path) -> list[dict[str, str]]:
    return _read(folder / "sources.csv", "sources") if folder.is_dir() else []


def _file(folder: Path, source: Mapping[str, str]) -> Path:
    return folder / "windows" / f"{source['source_id']}.csv"


def _source(folder: Path, name: str) -> dict[str, str]:
    for one in _sources(folder):
        if _is_chart(one) and name.casefold() in (
            one["document_number"].casefold(), one["source_id"].removeprefix(PREFIX),
        ):  # fmt: skip
            return one
    listed = ", ".join(names(folder)) or "there is none yet"
    raise InputError(f"chart: '{name}' is not in {folder}; charts: {listed}")


def _rows(source_id: str, lines: tuple[Line, ...]) -> Iterator[dict[str, str]]:
    number = count(1)
    for line in lines:
        place: dict[str, str] = {**line.terms, **line.asides}
        if line.situation.size:
            place["electrode_size"] = line.situation.size
        if "gas" in place:
            place["gas_role"] = GAS_ROLES.get(place.get("process", ""), "shielding")
        if band := line.thickness:
            for end, value in (("min", band.low), ("max", band.high)):
                if value is not None:
                    place[f"thickness_{end}"] = number_text(value)
                    place[f"thickness_{end}_inclusive"] = "true"
            place["thickness_unit"] = band.unit
        for setting in line.settings:
            yield place | {
                "window_id": f"{source_id}:{next(number):04}",
                "line": f"{source_id}:line-{line.row}",
                "quantity": setting.quantity,
                **_ends(setting),
                "unit": setting.unit,
                "source_id": source_id,
                "locator": f"row {line.row}",
                "how_read": "read",
            }


def _ends(setting: Setting) -> dict[str, str]:
    ends = {"min": setting.low, "max": setting.high, "typical": setting.typical}
    one = setting.low is None and setting.high is None
    basis = "general-practice" if one else "recommended"
    said = {name: number_text(value) for name, value in ends.items() if value is not None}
    return said | {"basis": basis}


def _order(lines: Iterable[Mapping[str, str]]) -> list[str]:
    """Put the columns of all rows into one order: conditions first, then as the rows have them."""
    order: list[str] = []
    for cells in lines:
        at = 0
        for name in cells:
            if name not in order:
                order.insert(at, name)
            at = order.index(name) + 1
    first = [name for name in (*KEYS, *ASIDE) if name in order]
    return first + [name for name in order if name not in first]


def _place_of(
    row: Mapping[str, str], said: Mapping[str, str], common: Mapping[str, str]
) -> dict[str, str]:
    """Write the conditions of a row as cells, except those of the whole chart."""
    cells = {key: row[column] for key, column in said.items() if row[column] and key not in common}
    low, high, unit = row["thickness_min"], row["thickness_max"], row["thickness_unit"]
    if low or high:
        ends = [_nominal(end, unit) for end in (low, high) if end]
        bound = "at least" if low else "at most"
        text = ends[0] if len(set(ends)) == 1 else " to ".join(ends)
        text = text if low and high else f"{bound} {text}"
        cells["thickness"] = f"{text} {'ga' if unit == 'gauge' else unit}"
    if row["electrode_size"]:
        cells["diameter"] = row["electrode_size"]
    return cells | {name: row[name] for name in ASIDE if row[name]}


def _nominal(number: str, unit: str) -> str:
    """Write a fraction of an inch as one."""
    with suppress(ValueError):
        value = float(number)
        for bottom in FRACTIONS if unit == "in" else ():
            whole, top = divmod(value * bottom, bottom)
            if top and top.is_integer():
                return f"{f'{whole:g}-' if whole else ''}{top:g}/{bottom}"
    return number


def _setting_text(row: Mapping[str, str]) -> str:
    low, high, typical = (
        float(row[end]) if row[end] else None for end in ("min", "max", "typical")
    )
    if low is not None and high is not None and typical is not None:
        return f"{number_text(typical)} ± {number_text((high - low) / 2)} {row['unit']}"
    return shown(Setting(row["quantity"], low, high, typical, row["unit"], 0.0, 0.0))


def _refuse_unsound(table: str, content: bytes) -> None:
    """Check a table against its schema: one bad table would stop every answer."""
    from weldref.data.schemas.tables import checked

    for problem in checked(table, ((f"{table}.csv", content),))[1]:
        raise InputError(f"chart: {problem}")


def _header(table: str) -> list[str]:
    from weldref.data.schemas.declared import declared

    return declared()[table].columns


def _read(path: Path, table: str) -> list[dict[str, str]]:
    """Read a table of texts, refusing one with other columns."""
    header = _header(table)
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            found = list(csv.reader(file, strict=True))
    except FileNotFoundError:
        return []
    except (OSError, ValueError, csv.Error) as error:
        raise InputError(f"chart: '{path}' cannot be read: {error}") from None
    if not found or found[0] != header or any(len(row) != len(header) for row in found[1:]):
        raise InputError(
            f"chart: '{path}' does not have the columns of {table}; see weldref validate"
        )
    return [dict(zip(header, row, strict=True)) for row in found[1:]]


def _write_sources(folder: Path, sources: list[dict[str, str]]) -> None:
    rows = sorted(sources, key=lambda source: source["source_id"])
    write_whole(folder / "sources.csv", csv_bytes(_header("sources"), rows), "chart")
