"""The Markdown pages show what the commands really print."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from tests.effort import ALL
from weldref.text import MEANINGS

ROOT = Path(__file__).parent.parent


@pytest.fixture(autouse=True)
def scripts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(ROOT / "scripts")


def test_pages_are_current() -> None:
    update_docs = import_module("update_docs")
    assert list(update_docs.stale(() if ALL else update_docs.SLOW)) == []


def test_pictures_are_current() -> None:
    assert import_module("update_pictures").stale() == []


def test_the_readme_explains_the_words_of_a_verdict_as_the_program_does() -> None:
    page = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    for words, meaning in MEANINGS.items():
        names = ", ".join(f"**{word}**" for word in words.split(", "))
        assert f"- {names}: {meaning}" in page
    assert page.count("![") <= 5


def test_every_module_is_on_the_map() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    edges = {"__init__.py", "__main__.py", "errors.py", "cli.py"}
    for path in (ROOT / "weldref").glob("*.py"):
        if path.name not in edges:
            assert f"`weldref/{path.name}`" in page, path.name
