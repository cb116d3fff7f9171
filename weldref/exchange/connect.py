"""Open a connection for SQL of one's own: it reads the tables and no file."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from weldref.core.check import check_situation
from weldref.core.situation import Conditions, Situation, describe
from weldref.core.units import UnitSystem
from weldref.data.folder import HARDENED
from weldref.data.own import Given
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.grades import accepted_grades

if TYPE_CHECKING:
    import duckdb

MOST_KEPT = 100_000
"""Answers that are kept: a column of settings repeats itself."""

_ANSWER = ("verdict", "by", "fit", "ask", "problem")
FLAGS = ("under_water", "in_service")
"""Conditions that are true or false."""

_SAID = tuple(name for name in Conditions.__annotations__ if name != "units")


def connect(
    own: Given = None, units: UnitSystem = "us", grade: str = "memory"
) -> duckdb.DuckDBPyConnection:
    """Open a duckdb connection to the tables, which it can read and not change.

    It reads no file and no network, and fetches no extension. Frames of your own come in with
    ``register``; what you create is temporary. Unlike `weldref.query` it runs in this process,
    without limits of time or memory: it is for your own SQL, not for a stranger's.

    The macro ``check_setting(quantity, value, process := ..., material := ..., ...)`` checks a
    value as `weldref.check` does, with its conditions by name, each as text. It gives a struct of
    ``verdict``, ``by``, ``fit``, ``ask`` and ``problem``: a sentence where something is not
    accepted. ``check`` alone is a word of SQL.

    Parameters
    ----------
    own
        Own tables, as in `weldref.check`.
    units
        "us" or "metric": how bare numbers are read.
    grade
        The lowest evidence grade to accept.

    Raises
    ------
    InputError
        If the own tables, the unit system or the grade are not accepted.

    Examples
    --------
    >>> with connect() as tables:
    ...     tables.sql(
    ...         "SELECT x.verdict, x.by FROM (SELECT check_setting('current', 250, "
    ...         "process := 'SMAW', electrode := 'E7018', diameter := '1/8') AS x)"
    ...     ).fetchall()
    [('high', 90.0)]
    """
    import duckdb

    store = open_tables(own)
    describe(store, units=units)
    accepted_grades(grade)
    if store.path is None:  # nowhere to write: the tables live in this process alone
        opened = store.connection.cursor()
    else:
        opened = duckdb.connect(":memory:", config={**HARDENED, "enable_external_access": "true"})
        path = str(store.path).replace("'", "''")
        opened.execute(f"ATTACH '{path}' AS weldref (READ_ONLY)")
        opened.execute("USE weldref")
        opened.execute("SET enable_external_access = false")
        opened.execute("SET lock_configuration = true")
    _add_check(opened, store, units, grade)
    return opened


def _add_check(
    opened: duckdb.DuckDBPyConnection, store: Store, units: UnitSystem, grade: str
) -> None:
    """Add the macro `check_setting` and the function behind it."""
    import duckdb

    @lru_cache(maxsize=MOST_KEPT)
    def situation(said: tuple[tuple[str, str], ...]) -> Situation:
        named: dict[str, Any] = {n: text == "true" if n in FLAGS else text for n, text in said}
        return describe(store, **named, units=units)

    @lru_cache(maxsize=MOST_KEPT)
    def answer(quantity: str, value: str, said: tuple[tuple[str, str], ...]) -> dict[str, Any]:
        try:
            found = check_situation(store, situation(said), {quantity: value}, grade)
        except InputError as error:
            return {**dict.fromkeys(_ANSWER), "problem": str(error)}
        (one,) = found.readings
        ask = one.ask.condition if one.ask else None
        said_of_it = (one.verdict, one.by, one.fit, ask, None)
        return dict(zip(_ANSWER, said_of_it, strict=True))

    def check_text(quantity: str, value: str, said: dict[str, str | None]) -> dict[str, Any]:
        stated = tuple((name, text) for name, text in said.items() if text is not None)
        return answer(quantity, value, stated)

    kinds = {name: "DOUBLE" if name == "by" else "VARCHAR" for name in _ANSWER}
    opened.create_function(
        "check_text",
        check_text,
        ["VARCHAR", "VARCHAR", duckdb.map_type("VARCHAR", "VARCHAR")],
        duckdb.struct_type(kinds),
    )
    named = ", ".join(f"{name} := NULL" for name in _SAID)
    passed = ", ".join(f"'{name}': CAST({name} AS VARCHAR)" for name in _SAID)
    opened.execute(
        f"CREATE TEMP MACRO check_setting(quantity, value, {named}) AS "
        f"check_text(CAST(quantity AS VARCHAR), CAST(value AS VARCHAR), MAP {{{passed}}})"
    )
