"""What somebody adds is picked up: rules, commands and pages are listed in one place each."""

from __future__ import annotations

import argparse
import csv
import re
from pathlib import Path

import pytest

from weldref.audit.procedure_audit import FAMILIES, all_rules
from weldref.commands.parser import build_parser
from weldref.dashboard.page import PAGES

ROOT = Path(__file__).parent.parent.parent


def stems(folder: str, holding: str) -> set[str]:
    """Name the modules right in a folder in which a line begins with some words."""
    return {
        path.stem
        for path in (ROOT / folder).glob("*.py")
        if f"\n{holding}" in path.read_text(encoding="utf-8")
    }


def commands(asked: str | None = None) -> dict[str, argparse.ArgumentParser]:
    (group,) = (
        action
        for action in build_parser(asked)._actions
        if isinstance(action, argparse._SubParsersAction)
    )
    return dict(group.choices)


def test_every_module_of_rules_is_run() -> None:
    assert set(FAMILIES) == stems("weldref/audit", "@rule(")


def test_every_rule_is_made_to_speak_by_name() -> None:
    folder = ROOT / "tests" / "audit"
    tests = "".join(path.read_text(encoding="utf-8") for path in folder.glob("*.py"))
    untried = [rule.name for rule in all_rules() if f'"{rule.name}"' not in tests]
    assert untried == []


def test_every_command_has_a_function_and_every_function_a_command() -> None:
    declared = {
        f"{parser.get_default('module')}.run_{name.replace('-', '_')}"
        for name, parser in commands().items()
    }
    written = {
        f"{path.stem}.{name}"
        for path in (ROOT / "weldref" / "commands").glob("*.py")
        for name in re.findall(r"^def (run_\w+)", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert declared == written


def test_every_option_belongs_to_a_command_or_to_a_set_that_one_takes() -> None:
    with (ROOT / "weldref" / "commands" / "options.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    taken = {row["option"][1:] for row in rows if row["option"].startswith("@")}
    assert {row["of"] for row in rows} <= {*commands(), *taken}


def test_a_command_that_is_asked_for_is_declared_as_among_all() -> None:
    for name, parser in commands().items():
        assert commands(name)[name].format_help() == parser.format_help()


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_option_of_a_command_says_what_it_is(name: str) -> None:
    silent = [action.dest for action in commands()[name]._actions if not action.help]
    assert silent == []
    # argparse takes a lone % in a help text for a value to fill in.
    assert "option_strings" not in commands()[name].format_help()


def test_every_page_has_its_place_in_the_row_of_pages() -> None:
    folders = (ROOT / "weldref" / "dashboard").glob("*/page.py")
    assert {path.parent.name for path in folders} == set(PAGES)
