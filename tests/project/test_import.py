"""Importing weldref loads next to nothing; every public name is found when it is asked for."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import weldref


def test_importing_loads_nothing_heavy() -> None:
    code = (
        "import sys; before = set(sys.modules); import weldref; print(*set(sys.modules) - before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert {name for name in loaded if name.startswith("weldref")} == {"weldref", "weldref.errors"}
    assert {name.partition(".")[0] for name in loaded} <= {"weldref", *sys.stdlib_module_names}
    assert not loaded & {"asyncio", "dataclasses", "inspect", "json", "pathlib"}


def test_every_public_name_is_found() -> None:
    assert [name for name in weldref.__all__ if not hasattr(weldref, name)] == []
    assert set(weldref.__all__) <= set(dir(weldref))


def test_no_public_name_is_a_module() -> None:
    """Importing a module puts it in the package, where it would hide the function."""
    modules = {module.name for module in pkgutil.iter_modules(weldref.__path__)}
    assert modules & set(weldref.__all__) == set()
