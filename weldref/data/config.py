"""Read `weldref.toml`: a section for each thing that a shop or school may name there."""

from __future__ import annotations

import os
from pathlib import Path

from weldref.errors import InputError

CONFIG = "weldref.toml"

SECTIONS = {
    "tables": ("folder", "mode"),
    "readings": ("file",),
    "school": ("name", "course", "instructor", "logo", "colour"),
}
"""Each section with the keys it may have; all hold texts, and the first key is needed."""

WANTED = {
    "tables": 'give [tables] with folder = "..." and mode = "beside" or "instead"',
    "readings": 'give [readings] with file = "..."',
    "school": 'give [school] with name = "...", and course, instructor, logo, colour if wanted',
}


def config_files() -> tuple[Path, Path]:
    """Return where a config file may lie, in the order in which they are asked."""
    user = os.environ.get("APPDATA") if os.name == "nt" else os.environ.get("XDG_CONFIG_HOME")
    return Path(CONFIG), Path(user or "~/.config").expanduser() / "weldref" / CONFIG


def section(name: str) -> tuple[Path, dict[str, str]] | None:
    """Return a section and the file that has it: of the first config file with that section.

    Raises
    ------
    InputError
        If a config file cannot be read, or holds a section, a key or a value that it may not.

    Examples
    --------
    >>> section("readings") is None
    True
    """
    for path in config_files():
        if path.is_file() and (found := _read(path).get(name)):
            return path, found
    return None


def named_file() -> Path | None:
    """Find the file of readings that counts on this machine; None if none is named.

    The environment variable WELDREF_READINGS counts first, then the section ``[readings]`` with
    ``file`` of ``weldref.toml`` in the working folder, then of the one in the user's config
    folder.

    >>> named_file() is None
    True
    """
    if given := os.environ.get("WELDREF_READINGS"):
        return Path(given).expanduser()
    if (named := section("readings")) is None:
        return None
    path, given_there = named
    return path.parent / Path(given_there["file"]).expanduser()


def _read(path: Path) -> dict[str, dict[str, str]]:
    import tomllib

    every = "; ".join(WANTED.values())
    try:
        with path.open("rb") as file:
            content = tomllib.load(file)
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: it cannot be read as TOML ({error}); {every}") from None
    for name, found in content.items():
        if name not in SECTIONS:
            raise InputError(f"{path}: '{name}' is not accepted; {every}")
        if not isinstance(found, dict):
            raise InputError(f"{path}: '{name}' is not a section; {WANTED[name]}")
        for key, value in found.items():
            if key not in SECTIONS[name]:
                raise InputError(f"{path}: '{key}' is not accepted; {WANTED[name]}")
            if not isinstance(value, str):
                raise InputError(f"{path}: {key} {value} is not a text; {WANTED[name]}")
        needed = SECTIONS[name][0]
        if found and not found.get(needed):
            raise InputError(f"{path}: [{name}] names no {needed}; {WANTED[name]}")
    return content
