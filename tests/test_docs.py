"""The Markdown pages show what the commands really print."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from weldref.text import MEANINGS

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize("script", ["update_docs.py", "update_pictures.py"])
def test_pages_and_pictures_are_current(script: str) -> None:
    done = subprocess.run(
        [sys.executable, ROOT / "scripts" / script, "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


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
