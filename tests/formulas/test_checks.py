"""Every formula's checks hold, can fail, and stand on the formulas' page."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.formulas.checks import CHECKS, Check
from tests.formulas.reference import examples
from weldref.calculate.by_name import all_formulas
from weldref.data.store import Store

PAGE = Path(__file__).parents[2] / "weldref" / "formulas" / "README.md"


def named(check: Check) -> str:
    return f"{check.formula}: {check.source_id or check.library or check.kind}"


@pytest.mark.parametrize("check", CHECKS, ids=named)
def test_formula_is_within_the_tolerance_of_what_it_is_checked_against(check: Check) -> None:
    found = check.compare()
    assert found.holds, f"{found.got} instead of {found.want} {check.unit}: {check.against}"


@pytest.mark.parametrize("check", CHECKS, ids=named)
def test_every_check_would_notice_a_tenth(check: Check) -> None:
    got = check.compare().got
    for wrong in (1.1 * got, 0.9 * got):
        assert not replace(check, got=lambda wrong=wrong: wrong).compare().holds


def test_every_formula_has_a_check_and_every_check_a_formula() -> None:
    assert {check.formula for check in CHECKS} == set(all_formulas())


def test_what_has_no_outside_check_has_no_other() -> None:
    alone = {check.formula for check in CHECKS if check.kind in ("none", "identity")}
    for name in alone:
        assert len([check for check in CHECKS if check.formula == name]) == 1, name


def test_published_means_seen_in_print(store: Store) -> None:
    how_read = {
        row["source_id"]: row["how_read"]
        for row in store.rows("SELECT source_id, how_read FROM sources")
    }
    for check in CHECKS:
        assert bool(check.source_id) is (check.kind == "published"), check
        assert bool(check.library) is (check.kind == "library"), check
        if check.kind == "published":
            assert how_read[check.source_id] in ("read", "secondary"), check
            assert check.against, check


TOPICS = {"arc_energy", "heat_input", "carbon_equivalent", "weld_weight", "weld_strength"}
TOPICS |= {"cooling", "cracking", "constitution", "starting_current"}
NO_ANSWER = {
    # Limits, classes and windows of the very text that the formula was transcribed from.
    *{"fr2-end-effect", "fr2-mode-308", "fr2-mode-310", "fr2-ratio-316l", "fr2-ucs-butt"},
    *{"fr2-ucs-class-low", "fr2-ucs-fillet", "fr2-ucs-floor"},
    "csa-ce-terms",  # the terms of csa-ce-01
    "fr2-theta",  # no formula here gives it
    "sm-07",  # the size of an electrode
}


def test_every_printed_answer_is_used_and_nothing_else_is_called_printed() -> None:
    printed = {
        name
        for name, row in examples().items()
        if row.kind == "published" and row.how_read in ("read", "secondary")
    }
    used = {check.example_id for check in CHECKS if check.example_id}
    assert used <= printed
    of_formulas = {name for name in printed if examples()[name].topic in TOPICS}
    assert of_formulas - used == NO_ANSWER


def test_a_rule_of_thumb_is_called_common_practice() -> None:
    thumbs = {
        name
        for name, formula in all_formulas().items()
        if formula.function.__module__.endswith("everyday")
        and formula.sources[0].source_id in ("common-practice", "general-practice")
    }
    assert len(thumbs) == 2
    for check in CHECKS:
        assert ("common practice" in check.against) is (check.formula in thumbs), check


def test_the_page_shows_every_formula_once() -> None:
    shown = re.findall(r"^\| `([a-z0-9-]+)` \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted(shown) == sorted(all_formulas())
