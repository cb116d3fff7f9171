"""Booklets: contents with pages, no heading left alone, nothing printed twice in the same words."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from typing import Any, get_args

import pikepdf
import pytest

from tests.handouts.pages import CLASS_DATE, POST, page_texts, settings_of, tags
from weldref.data.store import Store
from weldref.handouts.blocks import Contents, Document, Facts, Heading, Masthead, Table
from weldref.handouts.conversion import Converter
from weldref.handouts.handout import handout
from weldref.handouts.output import pdf
from weldref.handouts.practice import key_document, sheet_document
from weldref.handouts.practice_draw import practice
from weldref.handouts.selection import Kind, select
from weldref.handouts.tables import Scale
from weldref.handouts.words import words

CLASS: dict[str, Any] = {
    "process": ["SMAW", "GMAW"], "material": "carbon steel", "thickness": ["1/8", "1/4"],
}  # fmt: skip


@pytest.fixture(scope="module")
def document(store: Store) -> Document:
    return handout(store, select(store, CLASS, kind="booklet", date=CLASS_DATE))


def test_contents_name_the_page_of_each_situation_and_no_heading_stands_alone(
    document: Document,
) -> None:
    assert [block for block in document.blocks if isinstance(block, Contents)]
    drawn = pdf(document)
    pages = page_texts(drawn.content)
    assert drawn.pages == len(pages)
    mastheads = {block.title for block in document.blocks if isinstance(block, Masthead)}
    for head in mastheads:
        (page,) = re.findall(re.escape(head) + r"[ .]+?(\d+)", pages[0])
        assert head in pages[int(page) - 1]
    heads = mastheads | {block.text for block in document.blocks if isinstance(block, Heading)}
    for text in pages:
        assert not text.split("dataset 1")[0].rstrip().endswith(tuple(heads))


def test_nothing_long_is_printed_twice(document: Document) -> None:
    groups = [g for b in document.blocks if isinstance(b, Table) for g in b.groups]
    long = [group.rows for group in groups if len(group.rows) > 1]
    assert len(set(long)) == len(long)
    said = [texts for b in document.blocks if isinstance(b, Facts) for _, texts in b.pairs]
    long_texts = [texts for texts in said if sum(map(len, texts)) > 80]
    assert len(set(long_texts)) == len(long_texts)


def test_one_limit_in_two_units_has_no_scale(store: Store) -> None:
    """0 °C and 32 °F are one temperature: a scale between them would draw two ends."""
    asked = {"process": "SMAW", "material": "carbon steel", "thickness": "1/4", "code": "AWS D1.1"}
    group = settings_of(store, asked)["preheat"]
    freezing = [s for s in group.rows if (s.row.min, s.row.unit) in ((0.0, "C"), (32.0, "F"))]
    assert {s.row.unit for s in freezing} == {"C", "F"}
    for shown in ("us", "metric"):
        assert Scale.of(freezing, Converter(store), shown) is None  # type: ignore[arg-type]


@pytest.mark.parametrize("joint", ["tee", "square groove"])
def test_the_minimum_fillet_is_listed_for_fillets_alone(store: Store, joint: str) -> None:
    asked = {"process": "SMAW", "material": "A36", "thickness": "1/4", "joint": joint}
    assert ("minimum_fillet_size" in settings_of(store, asked)) == (joint == "tee")


@pytest.mark.parametrize("kind", [*get_args(Kind), "practice", "key"])
def test_a_pdf_is_tagged_and_reads_in_order(store: Store, kind: str) -> None:
    """ISO 14289-1 (PDF/UA-1) as typst reports it, and what a screen reader goes by."""
    if kind in get_args(Kind):
        asked = {"process": "SMAW", "material": "A36"} if kind == "wall-chart" else POST
        document = handout(store, select(store, asked, kind=kind, language="es", date=CLASS_DATE))
    else:
        made = practice(seed="1", language="es", date=CLASS_DATE)
        document = sheet_document(made) if kind == "practice" else key_document(made)
    drawn = pdf(document).content
    with pikepdf.open(io.BytesIO(drawn)) as file:
        assert "pdfuaid:part" in str(file.Root.Metadata.read_bytes())
        assert str(file.Root.Lang) == "es"
        assert bool(file.Root.MarkInfo.Marked)
        assert bool(file.Root.ViewerPreferences.DisplayDocTitle)
        assert str(file.docinfo["/Title"]) == document.title
        assert {str(page.Tabs) for page in file.pages} == {"/S"}
    seen = [name for name, _ in tags(drawn)]
    heads = [int(name[1]) for name in seen if re.fullmatch(r"H\d", name)]
    assert heads[0] == 1
    assert all(below <= above + 1 for above, below in pairwise(heads))
    assert all("/Alt" in element for name, element in tags(drawn) if name == "Figure")
    assert seen.count("TH") >= seen.count("Table")
    # Cautions come before the sources in the text as it is read.
    text = " ".join(page_texts(drawn))
    if kind in get_args(Kind):
        say = words("es").say
        assert 0 < text.index(say("Cautions")) < text.rindex(say("Sources"))
