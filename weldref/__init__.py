"""Published welding-parameter ranges, every number with its source.

>>> import weldref
>>> weldref.check(process="stick", electrode="7018", diameter="1/8", current=130).verdict
'inside'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weldref.errors import DataError, InputError, WeldrefError

if TYPE_CHECKING:
    import pandas as pd

    from weldref.advice.card import bench
    from weldref.core.check import CheckResult, check
    from weldref.core.units import UnitSystem
    from weldref.data.catalogue import coverage, source, tables
    from weldref.data.own import Given
    from weldref.exchange.diff import diff
    from weldref.exchange.evidence import evidence
    from weldref.exchange.export import export
    from weldref.logs.audit import LogAudit, audit_log

__version__ = "0.1.0"
__all__ = [
    "CheckResult",
    "DataError",
    "InputError",
    "LogAudit",
    "WeldrefError",
    "audit_log",
    "bench",
    "check",
    "coverage",
    "diff",
    "evidence",
    "export",
    "query",
    "source",
    "tables",
    "windows",
]

_HOME = {
    "CheckResult": "core.check",
    "LogAudit": "logs.audit",
    "audit_log": "logs.audit",
    "bench": "advice.card",
    "check": "core.check",
    "coverage": "data.catalogue",
    "diff": "exchange.diff",
    "evidence": "exchange.evidence",
    "export": "exchange.export",
    "source": "data.catalogue",
    "tables": "data.catalogue",
}


def __getattr__(name: str) -> object:
    """Import a public function when it is first asked for: importing weldref stays cheap."""
    if name in _HOME:
        from importlib import import_module

        return getattr(import_module(f"weldref.{_HOME[name]}"), name)
    raise AttributeError(f"module 'weldref' has no attribute '{name}'")


def windows(
    *,
    quantity: str | None = None,
    process: str | None = None,
    transfer_mode: str | None = None,
    material: str | None = None,
    electrode: str | None = None,
    diameter: str | float | None = None,
    thickness: str | float | None = None,
    joint: str | None = None,
    position: str | None = None,
    polarity: str | None = None,
    gas: str | None = None,
    under_water: bool = False,
    units: UnitSystem = "us",
    grade: str = "memory",
    own: Given = None,
) -> pd.DataFrame:
    """Return the published rows that apply to a situation, most specific first.

    Parameters
    ----------
    quantity
        For example "current" or "preheat"; every quantity when left out.
    process, transfer_mode, material, electrode, joint, position, polarity, gas
        The situation, in any common spelling; leave out what is not known.
    diameter, thickness
        With a unit, as an inch fraction, or bare in the unit system of `units`.
    under_water, units, grade, own
        As in `weldref.check`.

    Returns
    -------
    pandas.DataFrame
        The rows as printed, their SI columns (ending in ``_si``), how many conditions
        ``matched``, the named ``assumptions``, and whether the row ``gives_verdict``. A row
        without a verdict says what somebody once did, or is in doubt. With own tables the
        column ``own`` marks their rows, which come last.

    Raises
    ------
    InputError
        If a condition, the quantity or the grade is not known.

    Examples
    --------
    >>> rows = windows(process="SMAW", electrode="E7018", diameter="1/8", quantity="current")
    >>> rows.loc[rows.source_id == "machinerys-handbook-31", ["min", "max"]].values.tolist()
    [[110.0, 160.0]]
    """
    import pandas as pd

    from weldref.core.lookup import find
    from weldref.core.situation import describe
    from weldref.core.terms import Vocabulary
    from weldref.data.store import open_tables

    store = open_tables(own)
    situation = describe(
        store,
        process=process,
        transfer_mode=transfer_mode,
        material=material,
        electrode=electrode,
        diameter=diameter,
        thickness=thickness,
        joint=joint,
        position=position,
        polarity=polarity,
        gas=gas,
        under_water=under_water,
        units=units,
    )
    name = Vocabulary(store).quantity(quantity) if quantity else None
    matches = find(store, situation, name, grade)
    if store.beside:
        matches += find(store, situation, name, grade, own=True)
    columns = [c["column_name"] for c in store.rows("DESCRIBE windows")]
    frame = pd.DataFrame([match.row for match in matches], columns=columns)
    frame["matched"] = [len(match.matched) for match in matches]
    frame["assumptions"] = ["; ".join(map(str, match.assumptions)) for match in matches]
    frame["gives_verdict"] = [match.gives_verdict for match in matches]
    return frame


def query(sql: str, most_rows: int = 1000) -> pd.DataFrame:
    """Run one read-only SELECT against the tables, in a process with limits of its own.

    Parameters
    ----------
    sql
        One statement in the dialect of duckdb.
    most_rows
        More rows than this are left out.

    Raises
    ------
    InputError
        If it is no SELECT, fails, or asks for more time or memory than it may have.

    Examples
    --------
    >>> query("SELECT count(*) AS n FROM sources WHERE source_id = 'usc-15-206'").n.tolist()
    [1]
    """
    import pandas as pd

    from weldref.data.query import run_query

    answer = run_query(sql, most_rows)
    return pd.DataFrame(list(answer.rows), columns=list(answer.columns))
