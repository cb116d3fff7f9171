"""What mkdocs asks while it builds: the generated pages, their places, and the parts put in."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import parts
import reference_code
import reference_commands
import reference_tables
import words
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

ROOT = Path(__file__).parents[2]
THREATS = "tests/attack/README.md"
PLACE = re.compile(r"^\{\{ (?P<name>.+?) \}\}$", re.MULTILINE)

made: dict[str, str] = {}
"""The generated pages by their path."""


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Write the generated pages and put them into the navigation."""
    groups = {
        "[commands]": reference_commands.pages(),
        "[formulas]": reference_code.formula_pages(),
        "[tables]": reference_tables.pages(),
    }
    made.clear()
    for pages in groups.values():
        made.update(pages)
    made["reference/python.md"] = reference_code.python_page()
    made["reference/rules.md"] = reference_code.rules_page()
    changes = "reference/changes.md"
    made[changes] = parts.whole("datasets/CHANGELOG.md", changes)
    threats = "about/threats.md"
    if (ROOT / THREATS).exists():
        made[threats] = parts.whole(THREATS, threats)

    def filled(entry: Any) -> Any:
        if isinstance(entry, dict):
            return {title: filled(below) for title, below in entry.items()}
        if isinstance(entry, list):
            return [filled(one) for one in entry if one != "[threats]" or threats in made]
        if entry == "[threats]":
            return threats
        return list(groups[entry]) if entry in groups else entry

    config.nav = filled(config.nav)
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add the generated pages and the pictures of the README."""
    for path, text in made.items():
        files.append(File.generated(config, path, content=text))
    for picture in sorted((ROOT / "scripts" / "pictures").glob("*.png")):
        place = f"pictures/{picture.name}"
        files.append(File.generated(config, place, abs_src_path=str(picture)))
    return files


def on_page_markdown(markdown: str, page: Page, **_: Any) -> str:
    """Fill the places in double braces."""

    def fill(match: re.Match[str]) -> str:
        name = match["name"]
        if name.startswith("part of "):
            return parts.part(name.removeprefix("part of "), page.file.src_uri)
        return words.lists()[name]

    return PLACE.sub(fill, markdown)
