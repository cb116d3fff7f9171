"""Which published rows could speak of a log at all? The windows as numbers for the engine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from weldref.core.lookup import ASSUMED, GRADES
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.logs.columns import CONDITIONS
from weldref.logs.engine import Engine
from weldref.logs.terms import Words, digit
from weldref.logs.thickness import Band

BASE = 16
"""The digits of a row's conditions are packed into one number, four bits each."""

_SPEAKS = f"""
    basis IN {VERDICT_BASES} AND status IS NULL AND (min IS NOT NULL OR max IS NOT NULL)
    AND list_contains($quantities, quantity) AND list_contains($accepted, how_read)
    AND ($under_water OR environment IS NULL)
"""
"""A row that gives verdicts and is a range, as `weldref.core.verdict.judge` chooses them."""

_BANDS = f"""
    SELECT DISTINCT thickness_min_si AS low, thickness_max_si AS high,
        thickness_min_inclusive AS low_inclusive, thickness_max_inclusive AS high_inclusive
    FROM windows WHERE {_SPEAKS} AND coalesce(thickness_min_si, thickness_max_si) IS NOT NULL
"""


_BAND_ORDER = "ORDER BY low, high, low_inclusive, high_inclusive"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of every record alike."""

    quantities: tuple[str, ...]
    grade: str
    under_water: bool

    @property
    def parameters(self) -> dict[str, Any]:
        """The parameters of the SQL that chooses rows."""
        return {
            "quantities": list(self.quantities),
            "accepted": list(GRADES[: GRADES.index(self.grade) + 1]),
            "under_water": self.under_water,
        }


def printed_terms(store: Store, question: Question) -> dict[str, list[str]]:
    """List, for each condition that is a word or a size, the terms that the rows state."""
    conditions = [c for c in CONDITIONS.values() if c != "thickness"]
    listed = ", ".join(f'list(DISTINCT "{c}") AS "{c}"' for c in conditions)
    (row,) = store.rows(
        f"SELECT {listed} FROM windows WHERE {_SPEAKS}",
        question.parameters,
    )
    return {c: sorted(t for t in row[c] or [] if t is not None) for c in conditions}


def printed_bands(store: Store, question: Question) -> list[Band]:
    """List the thickness bands that the rows state."""
    rows = store.rows(f"{_BANDS} {_BAND_ORDER}", question.parameters)
    return [Band(**row) for row in rows]


@dataclass(frozen=True, slots=True)
class Windows:
    """The rows that could speak, by their number in the engine's table `wins`.

    `levels` names the conditions that the log states, in the order in which rows are matched,
    and `unsaid` those that it does not; a row's digits come in that order: unsaid, levels.
    """

    ids: tuple[str, ...]
    unsaid: tuple[str, ...]
    levels: tuple[str, ...]

    def rows(self, store: Store, numbers: Iterable[int]) -> dict[int, dict[str, Any]]:
        """Fetch rows in full, as `weldref.core.lookup.find` shows them."""
        by_id = {self.ids[number]: number for number in numbers}
        found = store.rows(
            """
            SELECT w.*, d.name AS source FROM windows w JOIN documents d USING (source_id)
            WHERE w.window_id IN (SELECT unnest($ids::VARCHAR[]))
            """,
            {"ids": list(by_id)},
        )
        return {by_id[row["window_id"]]: row for row in found}


def load_windows(
    engine: Engine,
    store: Store,
    question: Question,
    words: Mapping[str, Words],
    *,
    thickness: bool,
) -> Windows:
    """Make the table `wins`: each row's conditions, quantity and source as numbers.

    The number of a thickness band is its place in `printed_bands`, that of a term its place
    among the terms that the log meets; both count from 1, and 0 is a condition not stated.

    Parameters
    ----------
    engine, store, question
        Where to, where from, and which rows.
    words
        The log's spellings by condition of a row; a row whose term none of them meets is left
        out.
    thickness
        Whether the log states thicknesses.
    """
    met = {
        condition: sorted({term for s in word.standings for term in s.codes})
        for condition, word in words.items()
    }
    filters = " ".join(
        f'AND ("{c}" IS NULL OR "{c}" IN (SELECT unnest(${c}::VARCHAR[])))' for c in met
    )
    levels = (*words, *(["thickness"] if thickness else []))
    unsaid = tuple(c for c in ("environment", *CONDITIONS.values()) if c not in levels)
    places = "".join(f", coalesce(p_{c}.place, 0)" for c in words)
    joins = " ".join(
        f"LEFT JOIN (SELECT unnest(${c}::VARCHAR[]) AS term, "
        f'unnest(range(1, len(${c}::VARCHAR[]) + 1)) AS place) p_{c} ON p_{c}.term = w."{c}"'
        for c in words
    )
    if thickness:
        places += ", coalesce(b.place, 0)"
        joins += f"""
            LEFT JOIN (SELECT *, row_number() OVER ({_BAND_ORDER}) AS place FROM ({_BANDS})) b
            ON b.low IS NOT DISTINCT FROM w.thickness_min_si
            AND b.high IS NOT DISTINCT FROM w.thickness_max_si
            AND b.low_inclusive IS NOT DISTINCT FROM w.thickness_min_inclusive
            AND b.high_inclusive IS NOT DISTINCT FROM w.thickness_max_inclusive"""
    cursor = store.connection.cursor().execute(
        f"""
        SELECT window_id, row_number() OVER (ORDER BY window_id) - 1 AS win,
            list_position($quantities, quantity) - 1, dense_rank() OVER (ORDER BY source_id),
            list_position({list(GRADES)}, how_read) - 1, {_unsaid_digits(unsaid)}{places}
        FROM (SELECT * FROM windows WHERE {_SPEAKS} {filters}) w {joins} ORDER BY win
        """,
        {**question.parameters, **met},
    )
    rows = cursor.fetchall()
    columns = ("win", "quantity", "source", "grade", "digits", *(f"v_{c}" for c in levels))
    engine.load(
        "wins",
        {c: "BIGINT" if c == "digits" else "INTEGER" for c in columns},
        [row[1:] for row in rows],
    )
    for condition, word in words.items():
        _load_standings(engine, condition, word, met[condition])
    return Windows(tuple(row[0] for row in rows), unsaid, levels)


def _unsaid_digits(unsaid: Sequence[str]) -> str:
    """Write the digits of the conditions that a log does not state."""
    digits = "CAST(0 AS BIGINT)"
    for condition in unsaid:
        # Surroundings are said for the whole log; a row that needs others was left out.
        found = digit(0) if condition == "environment" else digit(ASSUMED)
        stated = f'w."{condition}"'
        if condition == "thickness":
            stated = "coalesce(w.thickness_min_si, w.thickness_max_si)"
        digits = f"({digits} * {BASE} + CASE WHEN {stated} IS NOT NULL THEN {found} ELSE 0 END)"
    return digits


def _load_standings(engine: Engine, condition: str, words: Words, terms: Sequence[str]) -> None:
    """Make the table of how each word stands to each term, by the numbers of both."""
    place = {term: number for number, term in enumerate(terms, 1)}
    rows = []
    for number, found in enumerate(words.standings):
        rows.append((number, 0, 0, 0))  # a row that does not state the condition
        rows += [
            (number, place[term], how, found.membership.get(term, 0))
            for term, how in found.codes.items()
        ]
    columns = {"term": "INTEGER", "value": "INTEGER", "digit": "BIGINT", "member": "BIGINT"}
    engine.load(f"stands_{condition}", columns, rows)
