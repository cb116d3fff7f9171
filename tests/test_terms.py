"""Spellings resolve to one term, and terms stand in trees."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.errors import InputError
from weldref.store import Store, open_store
from weldref.terms import TREE_OF, Vocabulary


@pytest.mark.parametrize(
    ("condition", "typed", "stored"),
    [
        ("process", "mig", "GMAW"), ("process", "TIG", "GTAW"), ("process", "Stick", "SMAW"),
        ("process", "flux core", "FCAW"), ("material", "mild steel", "carbon steel"),
        ("material", "Aluminum", "aluminium"), ("material", "ASTM A36", "A36"),
        ("material", "304 stainless", "304"), ("position", "downhand", "flat"),
        ("position", "PF", "vertical up"), ("polarity", "reverse polarity", "DCEP"),
        ("transfer_mode", "short arc", "short-circuiting"), ("joint", "butt", "groove"),
        ("filler_class", "7018", "E7018"), ("filler_class", "er70s6", "ER70S-6"),
    ],
)  # fmt: skip
def test_common_spellings(condition: str, typed: str, stored: str, store: Store) -> None:
    assert Vocabulary(store).term(condition, typed).name == stored


@pytest.mark.parametrize(
    ("condition", "term", "chain"),
    [
        ("material", "A36", ["carbon steel", "ferritic steel", "steel"]),
        ("material", "304", ["300-series stainless steel", "austenitic stainless steel",
                             "stainless steel"]),
        ("filler_class", "E7018-1 H4R", ["E7018-1", "E7018", "low-hydrogen covered electrode"]),
        ("position", "1G", ["flat", "all positions"]),
        ("transfer_mode", "pulsed spray", ["spray"]),
        ("process", "FCAW-S", ["FCAW"]),
    ],
)  # fmt: skip
def test_terms_are_trees(condition: str, term: str, chain: list[str], store: Store) -> None:
    broader = Vocabulary(store).term(condition, term).broader
    depths = [broader[name] for name in chain]
    assert depths == sorted(depths)
    assert depths[0] > 0


def test_group_membership_carries_its_grade(store: Store) -> None:
    membership = Vocabulary(store).term("material", "A36").membership
    # AWS D1.1:2015 Table 3.3, read; ASME IX QW/QB-422, read.
    assert membership["AWS D1.1 Category A"] == "read"
    assert membership["P-No.1, strength up to 490 MPa"] == "read"
    assert Vocabulary(store).term("material", "304").membership["P-No.8"] == "memory"


@pytest.mark.parametrize(
    ("typed", "group", "words"),
    [
        ("E9018-G", "low-hydrogen covered electrode", "not listed"),
        ("E7018-1H4R", "E7018", "left aside"),
        ("ER80S-D2", "carbon steel wire or rod", "not listed"),
        ("E81T1-Ni1", "flux cored wire", "not listed"),
        ("E7010-A1", "other than low-hydrogen covered electrode", "not listed"),
    ],
)
def test_unlisted_class_is_read_by_its_form_and_says_so(
    typed: str, group: str, words: str, store: Store
) -> None:
    term = Vocabulary(store).term("filler_class", typed)
    assert group in term.broader
    assert words in term.read_as


def test_unknown_term_offers_near_ones(store: Store) -> None:
    with pytest.raises(InputError, match=r"did you mean .*aluminium"):
        Vocabulary(store).term("material", "alumnium")


@given(st.sampled_from(sorted(TREE_OF)), st.text(min_size=1, max_size=40))
def test_any_text_is_a_term_or_a_sentence(condition: str, text: str) -> None:
    try:
        term = Vocabulary(open_store()).term(condition, text)
    except InputError as error:
        assert "is not known" in str(error)
    else:
        assert term.broader
