"""The own tables of a school workshop: the workshop and every row are invented."""

from __future__ import annotations

from pathlib import Path

from tests.conftest import write_csv
from weldref.data.schemas.declared import declared
from weldref.procedures.model import Pass, Procedure, Range, Text

BENCH = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}
ASKED = ["--process", "SMAW", "--electrode", "E7018", "--diameter", "1/8"]
SOURCE = {
    "source_id": "school-binder",
    "title": "Settings binder of the class (invented)",
    "issuer": "the school workshop (invented)",
    "edition": "2026",
    "address": "binder 3 on the shelf",
    "how_read": "read",
    "remark": "invented",
}
ROW = {
    "process": "SMAW",
    "filler_class": "E7018",
    "electrode_size": "1/8 in",
    "quantity": "current",
    "min": "100",
    "max": "125",
    "unit": "A",
    "basis": "recommended",
    "source_id": "school-binder",
    "locator": "p. 3",
    "how_read": "read",
    "remark": "invented",
}
MORE = (
    {},
    {"min": "", "max": "", "typical": "118", "locator": "p. 4"},
    {"min": "20", "max": "24", "unit": "V", "quantity": "voltage", "how_read": "memory"},
    {"min": "90", "max": "120", "basis": "procedure-used", "locator": "job sheet"},
    {"process": "GMAW", "filler_class": "", "electrode_size": "", "max": "900", "min": "1"},
    {"process": "GTAW", "filler_class": "", "electrode_size": "", "max": "12", "min": "10"},
    {"process": "", "filler_class": "", "electrode_size": "", "quantity": "preheat", "min": "300",
     "max": "", "unit": "F", "basis": "limit"},
)  # fmt: skip


def rows_of(*changes: dict[str, str]) -> list[dict[str, str]]:
    return [
        ROW | {"window_id": f"school-binder:{number:03}"} | change
        for number, change in enumerate(changes, 1)
    ]


def write_table(path: Path, table: str, rows: list[dict[str, str]]) -> None:
    columns = declared()[table].columns
    path.parent.mkdir(parents=True, exist_ok=True)
    write_csv(path, [dict.fromkeys(columns, "") | row for row in rows])


def make(folder: Path, rows: list[dict[str, str]], source: dict[str, str] = SOURCE) -> Path:
    write_table(folder / "sources.csv", "sources", [source])
    write_table(folder / "windows" / "smaw.csv", "windows", rows)
    return folder


def procedure(amperes: float) -> Procedure:
    weld = Pass(
        process=Text("SMAW"), filler_class=Text("E7018"),
        sizes=(Range(0.125, 0.125, "in"),), current=Range(amperes, amperes, "A"),
    )  # fmt: skip
    return Procedure(passes=(weld,), processes=(Text("SMAW"),))
