"""The rule of versions as datasets/README.md states it."""

from __future__ import annotations

import pytest

from weldref.data.folder import datasets_folder
from weldref.errors import InputError
from weldref.exchange.dataset import Cell
from weldref.exchange.versions import next_version, step_of_change

CHANGES: list[tuple[str, Cell, Cell, str]] = [
    ("min", 90.0, 95.0, "major"),
    ("max", 140.0, None, "major"),
    ("unit", "A", "kA", "major"),
    ("material", None, "carbon steel", "major"),
    ("basis", "recommended", "measured", "major"),
    ("status", None, "uncertain", "major"),
    ("how_read", "read", "memory", "major"),
    ("how_read", "read", "seen", "major"),
    ("how_read", "memory", "read", "minor"),
    ("how_read", "memory", "secondary", "minor"),
    ("spellings", "mig; mag", "mag; mig; gmaw", "minor"),
    ("spellings", None, "mig", "minor"),
    ("spellings", "mig; mag", "mig", "major"),
    ("parents", "steel", "steel; carbon steel", "major"),
    ("remark", None, "printed in italics", "patch"),
    ("locator", "p. 1", "p. 2", "patch"),
    ("address", None, "an address", "patch"),
    ("terms", "a", "b", "patch"),
]


@pytest.mark.parametrize(("column", "old", "new", "step"), CHANGES)
def test_step_of_a_changed_cell(column: str, old: Cell, new: Cell, step: str) -> None:
    assert step_of_change(column, old, new) == step


@pytest.mark.parametrize(
    ("step", "version"),
    [("none", "1.4.2"), ("patch", "1.4.3"), ("minor", "1.5.0"), ("major", "2.0.0")],
)
def test_next_version(step: str, version: str) -> None:
    assert next_version("1.4.2", step) == version


@pytest.mark.parametrize("version", ["", "1.4", "2026.11", "1.4.2-rc1", "v1.4.2", "1.4.2.1"])
def test_other_versions_are_refused(version: str) -> None:
    with pytest.raises(InputError, match=r"give x\.y\.z"):
        next_version(version, "minor")


def test_the_rule_is_written_down() -> None:
    page = (datasets_folder() / "README.md").read_text(encoding="utf-8")
    rule = page[page.index("## Versions") : page.index("## Licence")]
    assert [f"**{step}**" in rule for step in ("major", "minor", "patch")] == [True] * 3
