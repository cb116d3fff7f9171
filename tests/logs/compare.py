"""The verdicts of an audit beside those of a check, record by record."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import duckdb

from tests.logs.records import QUANTITIES
from weldref.core.check import check_situation
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.audit import audit_log
from weldref.logs.columns import CONDITIONS as CONDITION_OF

CONDITIONS = ("process", "transfer_mode", "material", "electrode", "joint_type", "position",
              "polarity", "diameter", "thickness", "gas", "tungsten", "code")  # fmt: skip


HOLD_VALUES_TOGETHER = {"pre-01"}
"""Rules that hold a value against the thickness or another value: a log leaves them to a check."""


def write_log(path: Path, records: Sequence[Mapping[str, str]]) -> None:
    names = list(dict.fromkeys(name for record in records for name in record))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, names, lineterminator="\n")
        writer.writeheader()
        writer.writerows(records)


def audited(
    store: Store, log: Path, folder: Path, **options: Any
) -> dict[tuple[int, str], dict[str, Any]]:
    """Every line of the audit's output by record and quantity."""
    target = folder / "verdicts.parquet"
    audit_log(log, output=target, store=store, **options)
    with duckdb.connect() as connection:
        cursor = connection.execute("FROM read_parquet($1)", [str(target)])
        names = [column[0] for column in cursor.description or ()]
        rows = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
    found = {(row["record"], row["quantity"]): row for row in rows}
    assert len(found) == len(rows)
    return found


def checked(
    store: Store, record: Mapping[str, str], quantity: str, **options: Any
) -> dict[str, Any]:
    """What a check says of one reading, in the words of the output."""
    typed = {
        name.replace("joint_type", "joint"): record[name]
        for name in CONDITIONS
        if record.get(name, "").strip()
    }
    grade = options.pop("grade", "memory")
    try:
        situation = describe(store, **typed, **options)
        result = check_situation(store, situation, {quantity: record[quantity]}, grade)
    except InputError as error:
        return {"verdict": None, "error": str(error)}
    (reading,) = result.readings
    resting = reading.rows or reading.conditional or reading.general
    if not resting and reading.from_memory:
        resting = reading.from_memory.rows
    return {
        "held_back": set(reading.held_back) & HOLD_VALUES_TOGETHER,
        # Which kind of metal a code means is asked in a check alone.
        "asks": reading.ask.condition if reading.ask and reading.verdict == "depends" else None,
        "verdict": reading.verdict,
        "value": reading.value,
        "unit": reading.unit,
        "by": reading.by,
        "grade": reading.grade,
        "windows": {row.window_id for row in resting},
    }


def differences(
    store: Store,
    records: Sequence[Mapping[str, str]],
    quantities: Sequence[str],
    folder: Path,
    **options: Any,
) -> list[str]:
    """List where an audit and a check do not agree."""
    log = folder / "log.csv"
    write_log(log, records)
    found = audited(store, log, folder, **options)
    wrong = []
    for number, record in enumerate(records, 1):
        for quantity in quantities:
            if not record.get(quantity, "").strip():
                if (number, quantity) in found:
                    wrong.append(f"record {number} has no {quantity}")
                continue
            line = found[number, quantity]
            expected = checked(store, record, quantity, **options)
            if expected["verdict"] is None:
                if line["verdict"] is not None or not _names(line["reason"], expected["error"]):
                    wrong.append(f"{record} {quantity}: {line} but {expected}")
                continue
            if expected.pop("held_back"):
                continue
            got = {
                **{name: line[name] for name in ("verdict", "value", "unit", "by", "grade")},
                "windows": {window for window in line["windows"].split("; ") if window},
                "asks": CONDITION_OF.get(line["depends_on"], line["depends_on"]),
            }
            if got != expected:
                wrong.append(f"{record} {quantity}: {got} but {expected}")
    return wrong


def _names(reason: str | None, error: str) -> bool:
    """Whether the reason names what the check names."""
    field = error.split(":")[0]
    if reason == "not a number":
        return field.replace(" ", "_") in QUANTITIES and "plausible" not in error
    if reason == "implausible":
        return field.replace(" ", "_") in QUANTITIES and "plausible" in error
    what, _, called = (reason or "").partition(" ")
    same = called.removesuffix(" type") == field
    return same and (what == "implausible") == ("plausible" in error)
