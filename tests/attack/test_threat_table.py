"""The table of threats names tests; each of them is there, and every test is in the table."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
NAMED = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", (ROOT / "tests/attack/README.md").read_text())


def names_in(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {
        node.name
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_every_test_that_is_named_exists() -> None:
    missing = [(file, name) for file, name in NAMED if name not in names_in(ROOT / file)]
    assert missing == []
    assert len(NAMED) == len(set(NAMED)) > 40


def test_every_threat_has_a_test() -> None:
    table = (ROOT / "tests/attack/README.md").read_text().split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")][1:]
    assert len(rows) > 15
    assert [row for row in rows if "::test_" not in row] == []


def test_no_file_of_tests_is_left_out() -> None:
    files = {
        path.relative_to(ROOT).as_posix()
        for folder in ("attack", "faults")
        for path in (ROOT / "tests" / folder).glob("test_*.py")
    }
    assert files - {file for file, _ in NAMED} == {"tests/attack/test_threat_table.py"}
