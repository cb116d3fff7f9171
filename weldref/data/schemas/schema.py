"""Build the pandera schema of a table: what each cell takes, and what a row has to say in all."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.declared import declared

TRUTHS = ["true", "false"]

Frame = pd.DataFrame
Good = pd.Series  # of truths, one for each row


def _band(frame: Frame) -> Good[bool]:
    """Compare every lower edge with the upper edge that belongs to it."""
    good = pd.Series(True, index=frame.index)
    for low in map(str, frame.select_dtypes("number").columns):
        for low_end, high_end in (("min", "max"), ("over", "to")):
            high = low.removesuffix(low_end) + high_end
            if low != high and low.endswith(low_end) and high in frame:
                good &= ~(frame[low] > frame[high])
    return good


def _is_object(cell: str) -> bool:
    try:
        return isinstance(json.loads(cell), dict)
    except ValueError:
        return False


def _given(frame: Frame, *columns: str) -> Good[bool]:
    """Tell which rows give one of some columns."""
    return frame[[*columns]].notna().any(axis=1)


def _values_rise(frame: Frame) -> Good[bool]:
    low, mid, high = frame["min"], frame["typical"], frame["max"]
    return ~((low > high) | (low > mid) | (mid > high))


def _thickness_is_whole(frame: Frame) -> Good[bool]:
    low, high = frame["thickness_min"].notna(), frame["thickness_max"].notna()
    return (
        ((low | high) == frame["thickness_unit"].notna())
        & (low == frame["thickness_min_inclusive"].notna())
        & (high == frame["thickness_max_inclusive"].notna())
    )


def _limit_is_number_or_rule(frame: Frame) -> Good[bool]:
    both_lower = frame["lower"].notna() & frame["lower_rule"].notna()
    both_upper = frame["upper"].notna() & frame["upper_rule"].notna()
    return ~(both_lower | both_upper)


def _rests_on_something(frame: Frame) -> Good[bool]:
    columns = list(frame.columns)
    asked = columns[columns.index("process") : columns.index("unless_process")]
    return _given(frame, *asked)


def _edges_are_whole(frame: Frame) -> Good[bool]:
    """Ask for the owner of each edge, and for what shares and values belong to."""
    good = pd.Series(True, index=frame.index)
    for edge in ("size", "thickness", "share", "value"):
        for end in ("min", "max"):
            column = f"{edge}_{end}"
            good &= frame[column].notna() == frame[f"{column}_inclusive"].notna()
    values = _given(frame, "value_min", "value_max")
    good &= _given(frame, "share_min", "share_max") == frame["gas_components"].notna()
    good &= values == frame["unit"].notna()
    good &= frame["per"].notna() == frame["per_unit"].notna()
    good &= (values ^ frame["exceeds"].notna()) == frame["quantity"].notna()
    return good & ~(values & frame["exceeds"].notna())


BAND = pa.Check(_band, error="the upper edge of a band may not lie below its lower edge")
JSON_OBJECT = pa.Check(lambda cells: cells.map(_is_object), error="give a JSON object")

_CHECKS: dict[str, dict[str, Callable[[Frame], Good[bool]]]] = {
    "windows": {
        "min, typical and max must rise: min <= typical <= max": _values_rise,
        "a row needs at least one of min, max and typical": lambda frame: _given(
            frame, "min", "max", "typical"
        ),
        "thickness_min must not be above thickness_max": lambda frame: (
            ~(frame["thickness_min"] > frame["thickness_max"])
        ),
        "thickness_min and thickness_max need thickness_unit and an owner of the edge: "
        "thickness_min_inclusive, thickness_max_inclusive": _thickness_is_whole,
        "a row that was read or quoted needs a locator": lambda frame: (
            (frame["how_read"] == "memory") | frame["locator"].notna()
        ),
    },
    "sources": {
        "a document that was read needs the address where it was read": lambda frame: (
            (frame["how_read"] != "read") | frame["address"].notna()
        ),
    },
    "gas_components": {
        "min must not be above max": lambda frame: frame["min"] <= frame["max"],
    },
    "electrode_sizes": {
        "a size is either in inches or in millimetres": lambda frame: (
            frame["inch"].notna() != frame["mm"].notna()
        ),
    },
    "filter_shades": {
        "a row needs a minimum or a suggested shade": lambda frame: _given(
            frame, "shade_min", "shade_suggested_min"
        ),
    },
    "qualification_rules": {
        "give a limit as a number or as a rule, not as both": _limit_is_number_or_rule,
    },
    "setup_rules": {
        "give a condition: a rule without one would always apply": _rests_on_something,
        "a rule that says 'cannot be' holds back: give true": lambda frame: (
            (frame["strength"] != "cannot be") | (frame["holds_back"] == "true")
        ),
        "an edge needs what it bounds, and its `_inclusive` true or false": _edges_are_whole,
    },
}


@cache
def schema_of(name: str) -> pa.DataFrameSchema:
    """Return what pandera checks of a table: its columns in their order, and no others."""
    table = declared()[name]
    checks = [pa.Check(check, error=error) for error, check in _CHECKS.get(table.name, {}).items()]
    return pa.DataFrameSchema(
        {line["column"]: _column(line) for line in table.lines},
        checks=[*([BAND] if table.statements else ()), *checks],
        unique=list(table.key) or None,
        strict=True,
        coerce=True,
        ordered=True,
        name=table.name,
    )


def _column(line: dict[str, str]) -> Any:
    kind = line["kind"]
    words = TRUTHS if kind == "truth" else line["one_of"].split(" | ")
    limits: dict[str, Any] = {"above": pa.Check.gt, "at_least": pa.Check.ge, "at_most": pa.Check.le}
    # As they are written: a message repeats the limit.
    checks = [check(json.loads(line[name])) for name, check in limits.items() if line[name]]
    checks += [pa.Check.isin(words)] if words[0] else []
    checks += [pa.Check.str_matches(line["pattern"])] if line["pattern"] else []
    checks += [JSON_OBJECT] if kind == "object" else []
    return pa.Column(
        float if kind == "number" else str,
        checks,
        nullable=bool(line["empty"]),
        unique=kind == "key",
        name=line["column"],
        description=line["meaning"],
    )
