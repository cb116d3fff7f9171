"""Describe what is in the dataset: tables, documents, grades and coverage."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from weldref.data.fetch import tables_with
from weldref.data.own import Given
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.grades import GRADES


@dataclass(frozen=True, slots=True)
class Source:
    """A document that rows point to, with the number of rows it gives to each table.

    `own` tells that it is one of a shop's or school's own tables.
    """

    source_id: str
    title: str
    issuer: str | None
    document_number: str | None
    edition: str | None
    address: str | None
    terms: str | None
    how_read: str
    remark: str | None
    rows: dict[str, int]
    own: bool = False


@dataclass(frozen=True, slots=True)
class TableSummary:
    """A table with its rows by evidence grade (None where its rows carry no grade)."""

    name: str
    rows: int
    read: int | None
    secondary: int | None
    memory: int | None
    description: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """Rows that give a verdict for a process, a family of metals and a quantity, by grade."""

    process: str
    material: str
    quantity: str
    read: int
    secondary: int
    memory: int


def source(source_id: str, own: Given = None) -> Source:
    """Look up a document; with own tables, also one of theirs.

    Parameters
    ----------
    source_id
        Its key, as every answer prints it.
    own
        Own tables, as in `weldref.check`.

    Raises
    ------
    InputError
        If no document has this key.

    Examples
    --------
    >>> source("machinerys-handbook-31").edition
    '31st edition (2020, year from memory)'
    """
    store = open_tables(own)
    # A byte that is no text can be typed at a terminal, and the database takes none.
    key = source_id.encode("utf-8", "replace").decode()
    found = store.rows("SELECT * FROM sources WHERE source_id = $id", {"id": key})
    if not found:
        from difflib import get_close_matches

        known = [r["source_id"] for r in store.rows("SELECT source_id FROM sources")]
        near = get_close_matches(source_id, known, n=3, cutoff=0.4)
        hint = f"did you mean {', '.join(near)}?" if near else "see the table sources"
        raise InputError(f"source: '{source_id}' is not known; {hint}")
    rows = {}
    for table in tables_with(store.rows, "source_id"):
        if table != "sources":
            (count,) = store.rows(
                f'SELECT count(*) AS n FROM "{table}" WHERE source_id = $id',  # noqa: S608
                {"id": source_id},
            )
            if count["n"]:
                rows[table] = int(count["n"])
    return Source(**found[0], rows=rows)


@lru_cache(maxsize=8)  # a store holds one content of the tables for good
def document_names(store: Store) -> dict[str, str]:
    """Name every document in full, title, number and edition, by its key.

    >>> from weldref.data.store import open_store
    >>> document_names(open_store())["usc-15-206"].startswith("Standard gauge")
    True
    """
    return {r["source_id"]: r["name"] for r in store.rows("SELECT source_id, name FROM documents")}


def tables(own: Given = None) -> list[TableSummary]:
    """List the tables of the dataset with their rows by grade; own rows are a table apart.

    Parameters
    ----------
    own
        Own tables, as in `weldref.check`.

    Examples
    --------
    >>> [t.rows > 1000 for t in tables() if t.name == "windows"]
    [True]
    """
    store = open_tables(own)
    graded = tables_with(store.rows, "how_read")
    found = []
    for listed in store.rows("SELECT name, description FROM table_list"):
        name = listed["name"]
        counts = "count(*) AS rows"
        if name in graded:
            counts += "".join(
                f", count(*) FILTER (how_read = '{grade}') AS {grade}" for grade in GRADES
            )
        (row,) = store.rows(f'SELECT {counts} FROM "{name}"')  # noqa: S608
        found.append(
            TableSummary(
                name,
                row["rows"],
                row.get("read"),
                row.get("secondary"),
                row.get("memory"),
                listed["description"],
            )
        )
    return found


FAMILIES = (
    "carbon steel",
    "low-alloy steel",
    "steel",
    "stainless steel",
    "aluminium",
    "magnesium",
    "titanium",
    "copper",
    "nickel alloy",
    "cast iron",
)


def coverage(own: Given = None) -> list[Coverage]:
    """Count the rows that give a verdict by process, family of metals, quantity and grade.

    With own tables instead of the published ones, it counts own rows.

    Parameters
    ----------
    own
        Own tables, as in `weldref.check`.

    Examples
    --------
    >>> sum(c.read for c in coverage() if (c.process, c.quantity) == ("SMAW", "current")) > 0
    True
    """
    rows = open_tables(own).rows(
        """
        WITH family AS (
            SELECT term, arg_min(broader, depth) AS family FROM broader_terms
            WHERE tree = 'materials' AND list_contains($families, broader) GROUP BY term
        )
        SELECT
            coalesce(process, 'any process') AS process,
            CASE WHEN w.material IS NULL THEN 'not stated'
                ELSE coalesce(family, 'other') END AS material,
            quantity,
            count(*) FILTER (how_read = 'read') AS read,
            count(*) FILTER (how_read = 'secondary') AS secondary,
            count(*) FILTER (how_read = 'memory') AS memory
        FROM windows w LEFT JOIN family ON family.term = w.material
        WHERE status IS NULL AND list_contains($bases, basis)
        GROUP BY ALL ORDER BY ALL
        """,
        {"families": list(FAMILIES), "bases": list(VERDICT_BASES)},
    )
    return [Coverage(**row) for row in rows]
