"""Plant small mistakes in the code, one at a time, and count those that no test notices.

    pip install mutmut
    python tests/project/mutate.py FOLDER          works in a copy of the project in FOLDER
    python tests/project/mutate.py FOLDER NAME...  only these mistakes

Not part of the test suite: it takes minutes. MUTATION.md says what was found.
"""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
PARTS = ("app.py", "datasets", "pyproject.toml", "tests", "weldref")
FORMULAS = [f"weldref/formulas/{name}.py" for name in ("heat", "preheat")]
CONFIG = f"""
[tool.mutmut]
source_paths = ["weldref"]
only_mutate = {["weldref/core/lookup.py", "weldref/core/verdict.py", *FORMULAS]}
also_copy = ["datasets"]
use_git_change_detection = false
track_dependencies = false
# The quick tests: what nothing notices is run through all of them.
pytest_add_cli_args = ["-k", "not saying_more and not units_do_not_change"]
pytest_add_cli_args_test_selection = [
  "tests/test_lookup.py",
  "tests/test_own_tables.py::test_a_recalled_own_row_says_so",
  "tests/test_own_tables.py::test_instead_the_verdict_is_theirs",
  "tests/test_own_tables.py::test_own_rows_are_judged_apart",
  "tests/test_verdict.py",
  "tests/formulas/test_checks.py",
  "tests/formulas/test_heat.py",
  "tests/formulas/test_preheat_formulas.py",
]
"""


def main() -> int:
    folder, *names = sys.argv[1:]
    copy = Path(folder) / "project"
    if not copy.exists():
        copy.mkdir(parents=True)
        for part in PARTS:
            if (ROOT / part).is_dir():
                shutil.copytree(ROOT / part, copy / part)
            else:
                shutil.copy(ROOT / part, copy / part)
        with (copy / "pyproject.toml").open("a", encoding="utf-8") as settings:
            settings.write(CONFIG)
        for name in FORMULAS:
            path = copy / name
            path.write_text(plainly_decorated(path.read_text(encoding="utf-8")), encoding="utf-8")
    cache = {"WELDREF_CACHE": str(copy / "cache")}
    command = [sys.executable, "-m", "mutmut", "run", *names]
    return subprocess.run(command, cwd=copy, env=os.environ | cache, check=False).returncode


def plainly_decorated(code: str) -> str:
    """Apply decorators below the functions, since no mistake is planted in a decorated one."""
    lines = code.splitlines()
    for node in reversed(ast.parse(code).body):
        if isinstance(node, ast.FunctionDef) and node.decorator_list:
            start, end = node.decorator_list[0].lineno - 1, node.lineno - 1
            (first, *others), last = lines[start:end], node.end_lineno or end
            below = [f"{node.name} = {first.lstrip('@')}", *others, f"({node.name})"]
            below[-2:] = [below[-2] + below[-1]]
            lines[last:last] = ["", "", *below]
            del lines[start:end]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main())
