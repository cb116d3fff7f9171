"""Which terms a form offers first: those that a row names beside the rest."""

import pytest

from weldref.advice.form_options import offers
from weldref.core.lookup import compare, find
from weldref.core.situation import describe
from weldref.core.terms import choices

CONDITIONS = ("process", "material", "filler_class", "position", "gas", "transfer_mode")
KEYWORDS = {"filler_class": "electrode"}


@pytest.mark.parametrize("condition", CONDITIONS)
def test_every_term_is_offered_once(store, condition):
    matches = compare(store, describe(store, process="GMAW"), None, "memory")
    first, rest = offers(store, matches, condition)
    assert first
    assert sorted(c.name for c in (*first, *rest)) == sorted(
        c.name for c in choices(store, condition)
    )


@pytest.mark.parametrize("condition", ["material", "filler_class", "transfer_mode"])
def test_a_term_offered_first_finds_a_row_that_names_it_and_the_rest_do_not(store, condition):
    matches = compare(store, describe(store, process="GMAW"), None, "read")
    for terms, expected in zip(offers(store, matches, condition), (True, False), strict=True):
        for choice in terms[:6]:
            keyword = {KEYWORDS.get(condition, condition): choice.name}
            found = find(store, describe(store, process="GMAW", **keyword), grade="read")
            named = any(m.gives_verdict and m.row[condition] is not None for m in found)
            assert named is expected, choice.name


def test_what_is_chosen_does_not_hide_its_alternatives(store):
    matches = compare(store, describe(store, process="SMAW", electrode="E6010"), None, "read")
    assert "E7018" in {c.name for c in offers(store, matches, "filler_class")[0]}
