"""Booklets: contents with pages, no heading left alone, nothing printed twice in the same words."""

from __future__ import annotations

import io
import re
from typing import Any

import pikepdf
import pytest

from tests.handouts.pages import CLASS_DATE, page_texts
from weldref.data.store import Store
from weldref.handouts.blocks import Contents, Facts, Heading, Masthead, Table
from weldref.handouts.conversion import Converter
from weldref.handouts.handout import handout
from weldref.handouts.pdf import pdf
from weldref.handouts.selection import select
from weldref.handouts.settings import settings_for
from weldref.handouts.tables import Scale

CLASS: dict[str, Any] = {
    "process": ["SMAW", "GMAW"], "material": "carbon steel", "thickness": ["1/8", "1/4"],
}  # fmt: skip


def test_contents_name_the_page_of_each_situation(store: Store) -> None:
    document = handout(store, select(store, CLASS, kind="booklet", date=CLASS_DATE))
    assert [block for block in document.blocks if isinstance(block, Contents)]
    drawn = pdf(document)
    pages = page_texts(drawn.content)
    assert drawn.pages == len(pages)
    for head in (block.title for block in document.blocks if isinstance(block, Masthead)):
        (page,) = re.findall(re.escape(head) + r"[ .]+?(\d+)", pages[0])
        assert head in pages[int(page) - 1]


def test_no_heading_stands_alone_at_the_foot_of_a_page(store: Store) -> None:
    document = handout(store, select(store, CLASS, kind="booklet", date=CLASS_DATE))
    heads = {block.text for block in document.blocks if isinstance(block, Heading)}
    heads |= {block.title for block in document.blocks if isinstance(block, Masthead)}
    for text in page_texts(pdf(document).content):
        body = text.split("dataset 1")[0].rstrip()
        assert not body.endswith(tuple(heads))


def test_nothing_long_is_printed_twice(store: Store) -> None:
    document = handout(store, select(store, CLASS, kind="booklet", date=CLASS_DATE))
    groups = [g for b in document.blocks if isinstance(b, Table) for g in b.groups]
    long = [group.rows for group in groups if len(group.rows) > 1]
    assert len(set(long)) == len(long)
    said = [texts for b in document.blocks if isinstance(b, Facts) for _, texts in b.pairs]
    long_texts = [texts for texts in said if sum(map(len, texts)) > 80]
    assert len(set(long_texts)) == len(long_texts)


def test_one_limit_in_two_units_has_no_scale(store: Store) -> None:
    """0 °C and 32 °F are one temperature: a scale between them would draw two ends."""
    selection = select(store, {"process": "SMAW", "material": "carbon steel", "thickness": "1/4",
                               "code": "AWS D1.1"})  # fmt: skip
    group = settings_for(store, selection.situations[0], selection).group("preheat")
    assert group is not None
    freezing = [s for s in group.rows if (s.row.min, s.row.unit) in ((0.0, "C"), (32.0, "F"))]
    assert {s.row.unit for s in freezing} == {"C", "F"}
    for shown in ("us", "metric"):
        assert Scale.of(freezing, Converter(store), shown) is None  # type: ignore[arg-type]


@pytest.mark.parametrize("joint", ["tee", "square groove"])
def test_the_minimum_fillet_is_listed_for_fillets_alone(store: Store, joint: str) -> None:
    selection = select(store, {"process": "SMAW", "material": "A36", "thickness": "1/4",
                               "joint": joint})  # fmt: skip
    settings = settings_for(store, selection.situations[0], selection)
    assert (settings.group("minimum_fillet_size") is not None) == (joint == "tee")


def test_a_pdf_names_its_standard(store: Store) -> None:
    """typst refuses what breaks PDF/UA-1; the file says which standard it follows."""
    document = handout(store, select(store, CLASS, kind="booklet", date=CLASS_DATE))
    with pikepdf.open(io.BytesIO(pdf(document).content)) as file:
        assert "pdfuaid:part" in str(file.Root.Metadata.read_bytes())
