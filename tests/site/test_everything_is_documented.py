"""Nothing public is left out of the reference: commands, functions, formulas, tables, words."""

from __future__ import annotations

import argparse
import inspect
import re
import runpy
from typing import get_args

import pytest

import weldref
from tests.site.conftest import ROOT, Site
from weldref import handouts
from weldref.audit.finding import SEVERITIES
from weldref.audit.procedure_audit import all_rules
from weldref.calculate.by_name import all_formulas
from weldref.calculate.lookups import LOOKUPS
from weldref.commands.parser import BAD_INPUT, DEPENDS, INSIDE, NOTHING, OUTSIDE, build_parser
from weldref.core.verdict import Word
from weldref.data.schemas.bases import SEEN_BASES, STATUSES, VERDICT_BASES
from weldref.data.schemas.declared import declared
from weldref.exchange.table_schema import table_schema
from weldref.grades import GRADES

PUBLIC = {
    **{f"weldref.{name}": getattr(weldref, name) for name in weldref.__all__},
    **{f"weldref.handouts.{name}": getattr(handouts, name) for name in handouts.__all__},
}


def parsers() -> dict[str, argparse.ArgumentParser]:
    (action,) = [a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(action.choices)


@pytest.mark.parametrize("name", parsers())
def test_command(site: Site, name: str) -> None:
    parser = parsers()[name]
    page = site.pages[f"reference/commands/{name}.html"]
    assert parser.description
    for action in parser._actions:
        assert action.help, f"{name} {action.dest} says nothing of itself"
        if action.dest != "help":
            spelt = action.option_strings[-1] if action.option_strings else f".{action.dest}"
            assert f"{name}{spelt}" in page.ids


@pytest.mark.parametrize("name", PUBLIC)
def test_public_name(site: Site, name: str) -> None:
    assert name in site.pages["reference/python.html"].ids
    said = inspect.getdoc(PUBLIC[name])
    assert said
    if inspect.isroutine(PUBLIC[name]):
        for parameter in inspect.signature(PUBLIC[name]).parameters:
            # Numpy style: a line that names the parameter, alone or with others.
            assert re.search(rf"^[\w*, ]*\b{parameter}\b[\w, ]*$", said, re.MULTILINE), parameter


@pytest.mark.parametrize("name", [*all_formulas(), *LOOKUPS])
def test_formula(site: Site, name: str) -> None:
    ids = site.ids("reference/formulas/")
    one = all_formulas().get(name) or LOOKUPS[name]
    assert name in ids
    for parameter, symbol in one.symbols.items():
        assert f"{name}.{parameter}" in ids
        assert symbol.meaning, parameter


@pytest.mark.parametrize("name", declared())
def test_table(site: Site, name: str) -> None:
    ids = site.ids("reference/tables/")
    assert name in ids
    for field in table_schema(name)["fields"]:
        assert f"{name}.{field['name']}" in ids
        assert field["description"], field["name"]


def test_rules(site: Site) -> None:
    page = site.pages["reference/rules.html"]
    assert {rule.name for rule in all_rules()} <= page.ids


@pytest.mark.parametrize(
    "word", [*get_args(Word), *GRADES, *VERDICT_BASES, *SEEN_BASES, *STATUSES, *SEVERITIES]
)
def test_word(site: Site, word: str) -> None:
    text = site.pages["about/words.html"].text
    assert f"<strong>{word}</strong>" in text or f"<code>{word}</code>" in text


def test_words_with_a_meaning_written_for_the_site_are_those_of_the_code(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The code has no sentence for these: the site has one for each, and for no other word."""
    monkeypatch.syspath_prepend(ROOT / "scripts" / "site")
    words = runpy.run_path(str(ROOT / "scripts" / "site" / "words.py"))
    assert tuple(words["VERDICTS"]) == get_args(Word)
    assert tuple(words["STATUS_MEANINGS"]) == STATUSES
    assert set(words["EXIT_CODES"]) == {INSIDE, OUTSIDE, BAD_INPUT, NOTHING, DEPENDS}
