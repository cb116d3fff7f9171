"""The Data Package says what the schemas and the files say, and another program can use it."""

from __future__ import annotations

import json
import re
import shutil
import warnings
from pathlib import Path

import pytest

from tests.conftest import read_csv, write_csv
from tests.effort import ALL
from weldref.data.folder import DATASET_VERSION, datasets_folder, digest_of
from weldref.exchange.datapackage import FILE, folder_descriptor, text_of
from weldref.exchange.table_schema import key_of, table_schema, types

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import frictionless


def problems(folder: Path) -> list[tuple[str, str]]:
    """Validate a folder with frictionless alone: the kinds of error and where they are."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        report = frictionless.Package(str(folder / FILE)).validate()
    found = report.flatten(["type", "message"])
    return [(str(kind), str(message)) for kind, message in found]


def test_shipped_file_is_what_schemas_and_tables_say() -> None:
    shipped = (datasets_folder() / FILE).read_text(encoding="utf-8")
    assert shipped == text_of(folder_descriptor()), "python -m weldref.exchange.datapackage"


@pytest.mark.skipif(not ALL, reason="the same rows are validated as exported; --all does both")
def test_another_program_finds_the_tables_sound() -> None:
    assert problems(datasets_folder()) == []


def test_says_what_the_dataset_is() -> None:
    described = json.loads((datasets_folder() / FILE).read_text(encoding="utf-8"))
    assert described["$schema"].startswith("https://datapackage.org/profiles/2.0/")
    assert described["version"] == DATASET_VERSION
    assert described["digest"] == f"sha256:{digest_of(datasets_folder())}"
    assert [one["name"] for one in described["licenses"]] == ["CC0-1.0"]
    assert len(described["sources"]) == len(read_csv(datasets_folder() / "sources.csv"))
    paths = {resource["path"] for resource in described["resources"]}
    there = {p.relative_to(datasets_folder()).as_posix() for p in datasets_folder().rglob("*.csv")}
    assert paths == there


def test_every_column_is_described_and_every_number_has_a_unit() -> None:
    for table, kinds in types().items():
        for field in table_schema(table)["fields"]:
            name = f"{table}.{field['name']}"
            assert len(field["description"].split()) > 1, f"{name}: describe it"
            if field["type"] == "number":
                assert ("unit" in field) != ("unitColumn" in field), f"{name}: give its unit"
            if "unitColumn" in field:
                assert field["unitColumn"] in kinds, name


def test_every_table_has_a_key() -> None:
    for table in types():
        schema = table_schema(table)
        key = schema.get("primaryKey") or schema["uniqueKeys"][0]
        assert tuple(key) == key_of(table) != (), table
        required = {f["name"] for f in schema["fields"] if f.get("constraints", {}).get("required")}
        assert ("primaryKey" in schema) == (set(key) <= required), table


def test_constraints_come_from_the_models() -> None:
    fields = {field["name"]: field for field in table_schema("windows")["fields"]}
    assert fields["how_read"]["constraints"]["enum"] == ["read", "secondary", "memory"]
    assert fields["window_id"]["constraints"]["pattern"] == "[a-z0-9][a-z0-9.-]*:[0-9]+"
    assert fields["thickness_max"]["constraints"] == {"exclusiveMinimum": 0}
    assert fields["thickness_min"]["constraints"] == {"minimum": 0}
    assert fields["thickness_min_inclusive"]["type"] == "boolean"
    links = {
        link["fields"][0]: link["reference"] for link in table_schema("windows")["foreignKeys"]
    }
    assert links["source_id"] == {"resource": "sources", "fields": ["source_id"]}
    cautions = {field["name"]: field for field in table_schema("cautions")["fields"]}
    assert cautions["processes"]["type"] == "list"
    assert cautions["processes"]["references"] == "processes.term"


MISTAKES = {
    # column: (value, kind of error that another program reports, a word of its message)
    "min": ("abc", "type-error", "abc"),
    "source_id": ("nobody", "foreign-key", "nobody"),
    "process": ("XYZ", "foreign-key", "XYZ"),
    "how_read": ("seen", "constraint-error", "seen"),
    "window_id": ("Some Key", "constraint-error", "pattern"),
    "thickness_max": ("0", "constraint-error", "exclusiveMinimum"),
    "unit": ("", "constraint-error", "required"),
}


@pytest.fixture
def few_tables(tables_copy: Path) -> Path:
    """A copy of the tables that windows refer to, which another program checks in a second."""
    shutil.rmtree(tables_copy / "reference")
    for path in (tables_copy / "windows").glob("*.csv"):
        if path.stem != "smaw":
            path.unlink()
    (tables_copy / FILE).write_text(text_of(folder_descriptor(tables_copy)), encoding="utf-8")
    return tables_copy


def test_another_program_catches_planted_mistakes(few_tables: Path) -> None:
    path = few_tables / "windows" / "smaw.csv"
    rows = read_csv(path)
    for row, (column, (value, _, _)) in zip(rows, MISTAKES.items(), strict=False):
        row[column] = value
    rows.append(dict(rows[-1]))
    write_csv(path, rows)
    # Described anew: the mistakes themselves are to be found, not only another SHA-256.
    (few_tables / FILE).write_text(text_of(folder_descriptor(few_tables)), encoding="utf-8")
    found = problems(few_tables)
    assert {kind for kind, _ in found} == {
        "type-error",
        "foreign-key",
        "constraint-error",
        "primary-key",
        "unique-error",
    }
    for line, (_, kind, word) in enumerate(MISTAKES.values(), start=2):
        place = re.compile(rf'row (at position )?"{line}"', re.IGNORECASE)
        said = [message for k, message in found if k == kind and place.search(message)]
        assert any(word in message for message in said), (line, kind, found)


def test_another_program_catches_a_file_that_was_exchanged(few_tables: Path) -> None:
    path = few_tables / "cautions.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("Arc", "arc"), encoding="utf-8")
    assert {kind for kind, _ in problems(few_tables)} == {"hash-count"}
