"""Check what needs more than one table: keys, trees, units, plausibility, bands."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import pairwise
from tokenize import TokenError
from typing import Any

import pandas as pd
import pint

from weldref.data.schemas.declared import declared
from weldref.data.schemas.tables import Problem

Tables = dict[str, pd.DataFrame]
TREES = (
    "processes",
    "transfer_modes",
    "materials",
    "electrode_classes",
    "tungsten_terms",
    "joints",
    "positions",
    "polarities",
    "specifications",
)
"""Vocabulary tables whose terms form trees."""

SPELLED = {
    **dict.fromkeys(TREES, "term"),
    "units": "unit",
    "quantities": "quantity",
    "electrode_sizes": "size",
    "gases": "term",
}
"""Tables whose rows have spellings, each with the column that is spelled."""


def cross_table_problems(tables: Tables, *, sound: bool) -> list[Problem]:
    """Check everything that needs more than one table.

    Parameters
    ----------
    tables
        Every table by name, converted to its types, with the columns ``_file`` and ``_line``.
    sound
        Whether each table is sound by itself. A rule that fails on what an unsound table holds is
        left out: the problem is listed already.
    """
    rules: tuple[Callable[[Tables], Iterator[Problem]], ...] = (
        known_to_pint,
        foreign_keys,
        trees,
        spellings,
        units_fit,
        plausible,
        bands,
        readings,
        classes,
    )
    problems: list[Problem] = []
    for rule in rules:
        try:
            problems += rule(tables)
        except Exception:
            if sound and not problems:
                raise
    return problems


def _problem(row: Any, column: str, value: str, accepted: str) -> Problem:
    return Problem(str(row["_file"]), int(row["_line"]), column, value, accepted)


def _rows(frame: pd.DataFrame, *columns: str) -> list[dict[str, Any]]:
    """Return rows as plain values: walked through much faster than a frame."""
    found: list[dict[str, Any]] = frame[[*columns, "_file", "_line"]].to_dict("records")  # type: ignore[assignment]
    return found


def cells(value: Any) -> list[str]:
    """Split a cell that holds several values separated by "; ".

    >>> cells("mig; mag")
    ['mig', 'mag']
    """
    return [] if pd.isna(value) else [part.strip() for part in str(value).split(";")]


def foreign_keys(tables: Tables) -> Iterator[Problem]:
    """Every value of a column that refers to another table must be in that table."""
    for name, declaration in declared().items():
        frame = tables[name]
        for line in declaration.lines:
            if not line["refers_to"]:
                continue
            column, (table, wanted) = line["column"], line["refers_to"].split(".")
            known = set(tables[table][wanted].dropna())
            for value in frame[column].dropna().unique():
                for part in cells(value) if line["kind"] == "list" else [value]:
                    if part not in known:
                        accepted = f"give a value of the column {wanted} of {table}"
                        for row in _rows(frame[frame[column] == value]):
                            yield _problem(row, column, f"'{part}'", accepted)


def trees(tables: Tables) -> Iterator[Problem]:
    """Broader terms must exist and no term may be broader than itself."""
    for name in TREES:
        frame = tables[name]
        rows = _rows(frame, "term", "parents")
        parents = {row["term"]: cells(row["parents"]) for row in rows}
        for row in rows:
            for parent in parents[row["term"]]:
                if parent not in parents:
                    yield _problem(row, "parents", f"'{parent}'", f"give a term of {name}")
            if row["term"] in _ancestors(row["term"], parents):
                yield _problem(row, "parents", f"'{row['parents']}'", "the terms run in a circle")


def _ancestors(term: str, parents: dict[str, list[str]]) -> set[str]:
    found: set[str] = set()
    waiting = list(parents.get(term, []))
    while waiting:
        parent = waiting.pop()
        if parent not in found:
            found.add(parent)
            waiting += parents.get(parent, [])
    return found


def spellings(tables: Tables) -> Iterator[Problem]:
    """One spelling may mean one thing only within a table, or says that it may mean several."""
    for name, key in SPELLED.items():
        frame = tables[name]
        owners = {str(term).casefold(): str(term) for term in frame[key]}
        asked: dict[str, list[Any]] = {}
        for row in _rows(frame, key, "spellings"):
            for spelling in cells(row["spellings"]):
                # "m" and "M" may differ among units, so units keep their case.
                word = spelling if name == "units" else spelling.casefold()
                if word.endswith("?"):
                    asked.setdefault(word[:-1], []).append(row)
                    continue
                owner = owners.setdefault(word, str(row[key]))
                if owner != row[key]:
                    yield _problem(row, "spellings", f"'{spelling}'", f"it means {owner} already")
        for word, rows in asked.items():
            if word in owners or len(rows) < 2:
                accepted = "a word with ? belongs to two terms, and to none without the ?"
                yield _problem(rows[0], "spellings", f"'{word}?'", accepted)


def units_fit(tables: Tables) -> Iterator[Problem]:
    """The units of windows and of set-up rules must measure their quantities."""
    units, quantities = tables["units"], tables["quantities"]
    measured_in = dict(zip(units["unit"], units["dimension"], strict=True))
    measures = dict(zip(quantities["quantity"], quantities["dimension"], strict=True))
    rules = ("unit", "quantity", "per_unit", "per", "exceeds")
    for table, columns in (("windows", rules[:2]), ("setup_rules", rules)):
        for row in _rows(tables[table], *columns):
            for unit, quantity in zip(columns[0:4:2], columns[1:4:2], strict=True):
                wanted, found = measures.get(row[quantity]), measured_in.get(row[unit])
                if wanted and found and wanted != found:
                    yield _problem(row, unit, f"'{row[unit]}'", f"give a unit of {wanted}")
            one, other = measures.get(row["quantity"]), measures.get(row.get("exceeds"))
            if one and other and one != other:
                yield _problem(row, "exceeds", f"'{row['exceeds']}'", f"give a quantity of {one}")


@lru_cache(maxsize=512)
def _converted(ends: tuple[float, float], unit: str, other: str) -> tuple[float, float] | None:
    """Convert both ends of a range; None where the units measure different things."""
    registry = _registry()
    try:
        low, high = (float(registry.Quantity(end, unit).to(other).magnitude) for end in ends)
    except pint.DimensionalityError:
        return None
    return low, high


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


_PARSER_ERRORS = (ArithmeticError, AssertionError, AttributeError, LookupError, SyntaxError,
                  TypeError, ValueError)  # fmt: skip
_EXPRESSION = re.compile(r"[A-Za-z_]+(?:[*/ ]+(?:[A-Za-z_]+|[1-9](?!\d)))*")
"""Names of units with products, quotients and one-digit powers: pint computes any other power."""


@lru_cache(maxsize=512)
def _readable(expression: str) -> bool:
    """Tell whether pint reads an expression; its parser raises these on malformed text."""
    if not _EXPRESSION.fullmatch(expression):
        return False
    try:
        _registry().Quantity(1.0, expression)
    except (pint.PintError, TokenError, *_PARSER_ERRORS):
        return False
    return True


def known_to_pint(tables: Tables) -> Iterator[Problem]:
    """Each unit must have an expression that pint reads."""
    for row in _rows(tables["units"], "pint_expression"):
        if not _readable(row["pint_expression"]):
            accepted = "give a unit that pint reads, as 'inch/minute'"
            yield _problem(row, "pint_expression", f"'{row['pint_expression']}'", accepted)


def plausible(tables: Tables) -> Iterator[Problem]:
    """A value far outside what the trade ever sets is a slip."""
    expression = dict(zip(tables["units"]["unit"], tables["units"]["pint_expression"], strict=True))
    limits: dict[Any, Any] = tables["quantities"].set_index("quantity").to_dict("index")
    for row in _rows(tables["windows"], "quantity", "unit", "min", "max", "typical"):
        quantity, unit = row["quantity"], row["unit"]
        if quantity not in limits or unit not in expression:
            continue  # reported by foreign_keys
        limit = limits[quantity]
        ends = (limit["plausible_min"], limit["plausible_max"])
        converted = _converted(ends, expression[limit["plausible_unit"]], expression[unit])
        if converted is None:
            continue  # reported by units_fit
        low, high = converted
        slack = 1e-9 * max(abs(low), abs(high))
        for column in ("min", "max", "typical"):
            if row[column] < low - slack or row[column] > high + slack:
                accepted = f"plausible for {quantity} is {low:g} to {high:g} {unit}"
                yield _problem(row, column, f"{row[column]:g} {unit}", accepted)


def bands(tables: Tables) -> Iterator[Problem]:
    """Thickness bands of one table must not overlap, nor leave a gap that known_gaps omits.

    Only rows that differ in nothing but thickness and value form a table of bands.
    """
    frame = tables["windows"]
    gap_keys = ["source_id", "quantity", "material", "thickness_unit", "band_from", "band_to"]
    gaps = set(tables["known_gaps"][gap_keys].itertuples(index=False, name=None))
    values = ["window_id", "line", "min", "max", "typical", "remark", "status", "_file", "_line"]
    band = [c for c in frame.columns if c.startswith("thickness_") and c != "thickness_unit"]
    same = [c for c in frame.columns if c not in values + band]
    shown = ("source_id", "quantity", "material", *band, "thickness_unit", "low", "high")
    banded = frame[frame["thickness_unit"].notna() & (frame["basis"] == "limit")]
    banded = banded.assign(
        low=banded["thickness_min"].fillna(0.0), high=banded["thickness_max"].fillna(math.inf)
    ).sort_values(["low", "high"])
    groups: dict[tuple[Any, ...], list[dict[str, Any]]] = defaultdict(list)
    alike = banded[same].fillna("").itertuples(index=False, name=None)
    for key, row in zip(alike, _rows(banded, *shown), strict=True):
        groups[key].append(row)
    for rows in groups.values():
        for one, two in pairwise(rows):
            owners = (one["thickness_max_inclusive"], two["thickness_min_inclusive"])
            named = (*(one[key] for key in gap_keys[:4]), one["high"], two["low"])
            if two["low"] < one["high"] or (
                two["low"] == one["high"] and owners == ("true", "true")
            ):
                accepted = f"the band overlaps that of line {one['_line']}"
            elif (two["low"] > one["high"] or "true" not in owners) and named not in gaps:
                accepted = (
                    f"the table has no band from {one['high']:g}; add the row or name the gap in "
                    "reference/known_gaps.csv"
                )
            else:
                continue
            value = f"{two['low']:g} {two['thickness_unit']}"
            yield _problem(two, "thickness_min", value, accepted)


OWN_PLACE = ("textbook-gas-qa", "wac-296-62-08007")
"""Documents of one page or one section: the address where they were read is the place."""


def classes(tables: Tables) -> Iterator[Problem]:
    """A set-up rule names a term, or a class as a standard writes it: E410-16, E7xT-1, ER3*."""
    known = set(tables["electrode_classes"]["term"])
    for row in _rows(tables["setup_rules"], "filler_class", "unless_filler_class"):
        for column in ("filler_class", "unless_filler_class"):
            for name in cells(row[column]):
                if name not in known and not re.fullmatch(r"E[A-Za-z0-9*.-]+", name):
                    accepted = "give a term of electrode_classes, a class, or its form (E7xT-*)"
                    yield _problem(row, column, f"'{name}'", accepted)


def readings(tables: Tables) -> Iterator[Problem]:
    """A row that was read has an address and a place in the document, to read it again."""
    sources = tables["sources"]
    found = {*sources.loc[sources["address"].notna(), "source_id"]}
    for name, frame in tables.items():
        # A note on a source is about the whole document and has no locator.
        if "how_read" not in frame or name in ("sources", "source_notes"):
            continue
        for row in _rows(frame, "how_read", "source_id", "locator"):
            if row["how_read"] != "read":
                continue
            source = row["source_id"]
            if source not in found:
                accepted = f"sources.csv has no address where {source} was read"
                yield _problem(row, "how_read", "'read'", accepted)
            # The schema of windows has this rule already.
            if name != "windows" and pd.isna(row["locator"]) and source not in OWN_PLACE:
                accepted = "a row that was read needs a locator"
                yield _problem(row, "locator", "an empty cell", accepted)
