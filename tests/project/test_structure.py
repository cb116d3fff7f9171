"""The rules about the code: who may import whom, a map that is current, and nothing unused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent


@pytest.mark.parametrize(
    "command",
    [
        ("-c", "from importlinter.cli import lint_imports_command as run; run()", "--no-cache"),
        ("-m", "vulture"),
        ("scripts/draw_map.py", "--check"),
    ],
    ids=["imports", "unused", "map"],
)
def test_rules_of_the_code(command: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
