"""What is published, and what a check says, as pandas frames with fixed columns and types."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Unpack

from weldref.core.cases import Word
from weldref.core.lookup import FITS, find_with_own
from weldref.core.rows import as_row
from weldref.core.situation import LABELS, Conditions, Situation, describe, unit_of
from weldref.core.terms import Vocabulary
from weldref.core.units import Units, tidy
from weldref.data.frames import GRADE_ORDER, column_types, one_of, typed
from weldref.data.own import Given
from weldref.data.store import Store, open_tables

if TYPE_CHECKING:
    import pandas as pd

    from weldref.core.check import CheckResult

WORDS: tuple[Word, ...] = (
    *("inside", "low", "high", "sources differ", "depends", "no published range"),
)


def ranges_frame(
    store: Store, situation: Situation, quantity: str | None = None, grade: str = "memory"
) -> pd.DataFrame:
    """Return the ranges and settings that apply, one row each, in one unit for each quantity.

    Parameters
    ----------
    store, situation
        The open store and the resolved question, whose unit system is that of the answer.
    quantity
        Any spelling of a quantity; every quantity when left out.
    grade
        The lowest evidence grade to accept.

    Returns
    -------
    pandas.DataFrame
        See `weldref.Situation.ranges`.
    """
    units = Units(store)
    name = Vocabulary(store).quantity(quantity) if quantity else None
    matches = find_with_own(store, situation, name, grade)
    rows = []
    for match in matches:
        if not match.gives_verdict:
            continue
        row = as_row(units, match, None)
        unit = unit_of(store, row.quantity, situation.units)
        ends = [
            printed
            if printed is None or row.unit == unit
            else tidy(units.convert(match.row[f"{end}_si"], unit))
            for end, printed in (("min", row.min), ("max", row.max), ("typical", row.typical))
        ]
        rows.append(
            (
                row.quantity,
                *ends,
                unit,
                *(row.conditions.get(condition) for condition in LABELS),
                row.fit,
                row.how_read,
                row.basis,
                row.source_id,
                row.source,
                row.locator,
                row.own,
            )
        )
    texts = ("fit", "grade", "basis", "source", "title", "locator")
    frame = typed(
        dict.fromkeys(rows),  # a printed cell that names several things gives one line
        [
            ("quantity", "VARCHAR"),
            *((end, "DOUBLE") for end in ("min", "max", "typical")),
            *((text, "VARCHAR") for text in ("unit", *LABELS, *texts)),
            ("own", "BOOLEAN"),
        ],
    )
    for column in ("quantity", "unit", *LABELS, "basis", "source"):
        frame[column] = frame[column].astype("category")
    frame["fit"] = one_of(frame["fit"], FITS, ordered=True)
    frame["grade"] = one_of(frame["grade"], GRADE_ORDER, ordered=True)
    frame = frame.sort_values(["quantity", "fit", "grade"], ascending=[True, False, False])
    frame = frame.reset_index(drop=True)
    frame.attrs |= {"situation": situation.given(), **dataset_attrs(store)}
    return frame


def readings_frame(result: CheckResult) -> pd.DataFrame:
    """Return the readings of a check, one row each (see `CheckResult.to_frame`)."""
    frame = typed(
        (
            (r.quantity, r.value, r.unit, r.verdict, r.by, r.fit, r.ask and r.ask.condition,
             r.grade)
            for r in result.readings
        ),
        [("quantity", "VARCHAR"), ("value", "DOUBLE"), ("unit", "VARCHAR"),
         ("verdict", "VARCHAR"), ("by", "DOUBLE"), ("fit", "VARCHAR"), ("ask", "VARCHAR"),
         ("grade", "VARCHAR")],
    )  # fmt: skip
    frame["verdict"] = one_of(frame["verdict"], WORDS)
    frame["fit"] = one_of(frame["fit"], FITS, ordered=True)
    frame["ask"] = one_of(frame["ask"], [*LABELS])
    frame["grade"] = one_of(frame["grade"], GRADE_ORDER, ordered=True)
    frame.attrs |= {"situation": result.situation, **result.dataset}
    return frame


def dataset_attrs(store: Store) -> dict[str, Any]:
    """Return the version and the digest of the tables from which a frame was made."""
    (row,) = store.rows("SELECT version, digest FROM dataset")
    return row


def windows(
    *,
    quantity: str | None = None,
    grade: str = "memory",
    own: Given = None,
    **conditions: Unpack[Conditions],
) -> pd.DataFrame:
    """Return the published rows that apply to a situation, most specific first.

    Parameters
    ----------
    quantity
        For example "current" or "preheat"; every quantity when left out.
    grade, own
        As in `weldref.check`.
    **conditions
        What is on the bench, and how bare sizes are read: as in `weldref.Situation`.

    Returns
    -------
    pandas.DataFrame
        The rows as printed, their SI columns (ending in ``_si``), how many conditions
        ``matched``, the named ``assumptions``, and whether the row ``gives_verdict``. A row
        that gives none says what somebody once did, or is in doubt. With own tables the
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
    store = open_tables(own)
    situation = describe(store, **conditions)
    name = Vocabulary(store).quantity(quantity) if quantity else None
    matches = find_with_own(store, situation, name, grade)
    types = column_types(store, "windows")
    added = (("matched", "BIGINT"), ("assumptions", "VARCHAR"), ("gives_verdict", "BOOLEAN"))
    return typed(
        (
            (
                *(match.row[column] for column, _ in types),
                len(match.matched),
                "; ".join(map(str, match.assumptions)),
                match.gives_verdict,
            )
            for match in matches
        ),
        [*types, *added],
    )
