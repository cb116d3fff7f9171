"""Version, citation, licences and change log say the same."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

import weldref
from weldref.data.folder import DATASET_RELEASED, DATASET_VERSION, datasets_folder
from weldref.data.store import Store
from weldref.exchange.apply_readings import UNRELEASED
from weldref.exchange.datapackage import AUTHORS, LICENCE, TITLE
from weldref.exchange.dataset import Dataset, published
from weldref.exchange.diff import diff
from weldref.exchange.diff_text import changelog_entry
from weldref.exchange.versions import next_version

ROOT = Path(__file__).parents[2]

_DATE = {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
_LICENCE = {"enum": ["MIT", "CC0-1.0"]}
_AUTHORS = {
    "type": "array",
    "minItems": 1,
    "items": {
        "type": "object",
        "required": ["name"],
        "properties": {"name": {"type": "string"}},
        "additionalProperties": False,
    },
}
_COMMON = {
    "title": {"type": "string", "minLength": 1},
    "authors": _AUTHORS,
    "version": {"type": "string"},
    "date-released": _DATE,
}
# The part of the Citation File Format 1.2.0 that the file uses; an entity has a name only, which
# is how the format names a group: no person stands in the file.
CITATION: dict[str, Any] = {
    "type": "object",
    "required": ["cff-version", "message", "title", "authors"],
    "additionalProperties": False,
    "properties": {
        **_COMMON,
        "cff-version": {"const": "1.2.0"},
        "message": {"type": "string", "minLength": 1},
        "type": {"enum": ["software", "dataset"]},
        "license": {"type": "array", "items": _LICENCE, "uniqueItems": True},
        "keywords": {"type": "array", "items": {"type": "string"}, "uniqueItems": True},
        "references": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["authors", "title", "type"],
                "additionalProperties": False,
                "properties": {
                    **_COMMON,
                    "type": {"const": "data"},
                    "license": _LICENCE,
                    "notes": {"type": "string"},
                },
            },
        },
    },
}


@pytest.fixture
def citation() -> dict[str, Any]:
    loaded = yaml.safe_load((ROOT / "CITATION.cff").read_text(encoding="utf-8"))
    assert isinstance(loaded, dict)
    return loaded


def test_citation_follows_the_format(citation: dict[str, Any]) -> None:
    jsonschema.validate(citation, CITATION)


def test_citation_is_in_step(citation: dict[str, Any]) -> None:
    assert citation["version"] == weldref.__version__
    assert citation["authors"] == [{"name": AUTHORS}]
    [data] = citation["references"]
    assert data["version"] == DATASET_VERSION
    assert data["date-released"] == DATASET_RELEASED
    assert data["title"] == TITLE
    assert data["license"] == LICENCE["name"]


def test_package_names_both_licences() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["license"] == "MIT AND CC0-1.0"
    code, data = ((ROOT / name).read_text(encoding="utf-8") for name in project["license-files"])
    assert code.startswith("MIT License")
    assert "CC0 1.0 Universal" in data


def test_version_is_three_numbers() -> None:
    assert next_version(DATASET_VERSION, "none") == DATASET_VERSION


def test_newest_entry_of_the_change_log_is_of_this_dataset(store: Store) -> None:
    log = (datasets_folder() / "CHANGELOG.md").read_text(encoding="utf-8")
    entries = re.findall(r"^## (.*)\n\nDataset `(\w+)`\.$", log, re.MULTILINE)
    assert entries[0][0] == f"{DATASET_VERSION}, {DATASET_RELEASED}"
    # What is not released yet has a heading of its own until it becomes a version.
    assert (entries[0][1] == store.digest[:12]) != (UNRELEASED in log)
    versions = [tuple(map(int, entry.split(",")[0].split("."))) for entry, _ in entries]
    assert versions == sorted(versions, reverse=True)
    assert "?" not in log, "say who read it, how, and who read it a second time"


def test_first_entry_counts_the_rows_of_every_table(store: Store) -> None:
    made = changelog_entry(diff(Dataset("nothing", {}), published(store)), DATASET_RELEASED)
    for name, table in published(store).tables.items():
        assert f"| {name} (new) | {len(table.rows)} |" in made


def test_what_is_not_released_names_every_table_with_other_rows(store: Store) -> None:
    log = (datasets_folder() / "CHANGELOG.md").read_text(encoding="utf-8")
    if UNRELEASED not in log:
        pytest.skip("everything is released")
    _, new, released = re.split(r"^## ", log, maxsplit=2, flags=re.MULTILINE)
    named = set(re.findall(r"^\| (\w+)(?: \((?:new|removed)\))? \|", new, re.MULTILINE))
    counted = dict(re.findall(r"^\| (\w+) \(new\) \| (\d+) \|", released, re.MULTILINE))
    moved = {
        name
        for name, table in published(store).tables.items()
        if counted.get(name) != str(len(table.rows))
    }
    assert moved <= named
