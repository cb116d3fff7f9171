"""The Markdown pages show what the commands really print."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_pages_are_current() -> None:
    done = subprocess.run(
        [sys.executable, ROOT / "scripts" / "update_docs.py", "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_module_is_on_the_map() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    edges = {"__init__.py", "__main__.py", "errors.py", "cli.py"}
    for path in (ROOT / "weldref").glob("*.py"):
        if path.name not in edges:
            assert f"`weldref/{path.name}`" in page, path.name
