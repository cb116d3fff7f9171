"""A document is cited with what the table of sources says of it, and no more."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

import weldref
from tests.effort import times
from weldref.data.store import open_store
from weldref.errors import InputError


def documents() -> list[dict[str, Any]]:
    """Every eighth document on a change, all with --all."""
    return open_store().rows("SELECT * FROM sources ORDER BY source_id")[:: times(8, 1)]


def test_every_document_can_be_cited() -> None:
    for row in documents():
        cited = weldref.cite(row["source_id"])
        (item,) = json.loads(cited.csl_json)
        assert item == cited.csl
        assert item["title"] == row["title"]
        lines = str(cited).strip().splitlines()
        assert lines[0] == f"@misc{{{row['source_id']},"
        assert lines[-1] == "}"
        for line in lines[1:-1]:
            assert re.fullmatch(r"  [a-z]+ = \{.*\},?", line), line
            bare = re.sub(r"\\[{}]", "", line)
            assert bare.count("{") == bare.count("}"), line
        if row["how_read"] == "memory":
            assert "from memory, not seen in print" in item["note"]


def test_a_year_is_given_only_where_the_edition_is_one() -> None:
    assert weldref.cite("aisc-360-22").csl["issued"] == {"date-parts": [[2022]]}
    vague = weldref.cite("machinerys-handbook-31")
    assert "issued" not in vague.csl
    assert "edition: 31st edition (2020, year from memory)" in vague.csl["note"]


def test_an_address_is_given_only_where_it_is_one() -> None:
    addresses = [weldref.cite(row["source_id"]).csl.get("URL", "https://x") for row in documents()]
    assert all(re.fullmatch(r"https?://\S+", one) for one in addresses)


def test_an_unknown_document_is_refused() -> None:
    with pytest.raises(InputError, match="source: 'aisc-360' is not known"):
        weldref.cite("aisc-360")
