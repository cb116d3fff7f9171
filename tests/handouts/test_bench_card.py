"""Bench cards: the card's own values, the joint drawn to scale, its symbol, one page."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.effort import ALL
from tests.handouts.pages import CLASS_DATE, crowded, page_texts, squeezed, tags
from weldref.advice.card import card
from weldref.core.check import NOT_APPROVAL
from weldref.core.situation import describe
from weldref.data.own import OwnTables
from weldref.data.store import Store, open_tables
from weldref.handouts.blocks import Document, Entry, Figure, Items, Matrix, Paragraph
from weldref.handouts.conversion import number
from weldref.handouts.drawings import (
    AT,
    Sizes,
    draw_joint,
    draw_position,
    draw_symbol,
    position_of,
    scale_of,
    shape_of,
    weld_of,
)
from weldref.handouts.handout import handout
from weldref.handouts.output import pdf
from weldref.handouts.selection import select
from weldref.handouts.words import LANGUAGES, words

# The class builds handrails and a ramp for a footbridge.
POST = {"process": "SMAW", "material": "A36", "electrode": "E7018", "diameter": "1/8",
        "thickness": "1/4", "joint": "tee", "position": "2F"}  # fmt: skip
BRACKET = {"process": "GMAW", "material": "304", "thickness": "3/16", "joint": "lap"}
RAMP = {"process": "GTAW", "material": "aluminum", "thickness": "1/8", "joint": "square groove",
        "position": "1G", "polarity": "AC", "gas": "argon"}  # fmt: skip
CUT = {"process": "OFC", "material": "carbon steel", "thickness": "1/4"}
CLASS = {"post": POST, "bracket": BRACKET, "ramp": RAMP, "cut": CUT}


def made(store: Store, conditions: dict[str, str], **how: Any) -> Document:
    return handout(store, select(store, conditions, date=CLASS_DATE, **how))


def matrices(document: Document) -> tuple[Matrix, Matrix]:
    """What is set, and what is chosen."""
    settings, choices = [block for block in document.blocks if isinstance(block, Matrix)]
    return settings, choices


def chosen(document: Document, label: str) -> tuple[Entry, ...]:
    """The entries of a choice."""
    (row,) = [row for row in matrices(document)[1].rows if row.labels[0] == label]
    return row.cells[0].entries


@pytest.mark.parametrize("conditions", CLASS.values(), ids=CLASS)
def test_the_values_are_those_of_the_card(store: Store, conditions: dict[str, str]) -> None:
    found = card(store, describe(store, **conditions))  # type: ignore[arg-type]
    matrix, _ = matrices(made(store, conditions, units="us"))
    assert len(matrix.rows) == len(found.values)
    for value, row in zip(found.values, matrix.rows, strict=True):
        start, shown = row.cells
        (entry,) = shown.entries
        ends = [n for n in (value.min, value.max, value.value) if n is not None]
        printed = all(number(n) in re.findall(r"[\d.]+", entry.text) for n in ends)
        assert printed or "/" in entry.text or entry.text.startswith(("≈", "≤", "≥"))
        assert (entry.grade == "memory") == value.recalled
        assert bool(start.entries) == (value.start is not None)


DRAWN = [("post", "fr"), ("bracket", "es"), ("ramp", "en"), ("cut", "fr")]
"""On a change each card is drawn in one language, with ``--all`` in every one."""

if ALL:
    DRAWN = [(name, language) for name in CLASS for language in LANGUAGES]


@pytest.mark.parametrize(("name", "language"), DRAWN)
def test_a_card_is_a_page_and_only_sources_run_over(store: Store, name: str, language: str) -> None:
    import pypdfium2

    drawn = pdf(made(store, CLASS[name], language=language))
    first, *more = page_texts(drawn.content)
    assert len(more) <= 1
    for text in more:
        assert text.startswith(words(language).say("Sources"))
    assert words(language).say("change next") in first
    document = pypdfium2.PdfDocument(drawn.content)
    for page in document:
        picture = page.render(scale=0.6).to_numpy()
        assert picture[:, :12].min() > 240
        assert picture[:, -12:].min() > 240
    document.close()


def test_drawings_are_told_to_who_cannot_see_them(store: Store) -> None:
    document = made(store, POST)
    told = [block.told for block in document.blocks if isinstance(block, Figure)]
    assert told == [
        "Section of the joint: T-joint fillet",
        "Welding symbol for T-joint fillet, arrow side",
        "Position 2F; PB",
    ]
    drawn = tags(pdf(document).content)
    assert [str(element["/Alt"]) for name, element in drawn if name == "Figure"] == told


def test_the_minimum_fillet_stands_on_a_fillet_card(store: Store) -> None:
    """AISC 360-05, Table J2.4: 1/8 in for the thinner part up to 1/4 in."""
    smallest = chosen(made(store, POST), "Minimum fillet size")[0]
    assert smallest.text == "≥ 1/8 in"
    assert any("AISC 360" in text for text in smallest.holds)
    labels = [row.labels[0] for row in matrices(made(store, RAMP))[1].rows]
    assert "Minimum fillet size" not in labels


def test_the_shade_is_that_of_the_start(store: Store) -> None:
    """29 CFR 1910.133(a)(5): SMAW with 1/8 in (4/32) at 60 to 160 A, shade 8; suggested 10."""
    entries = chosen(made(store, POST), "Filter shade at 135\u00a0A")
    assert [entry.text for entry in entries] == ["minimum shade 8", "suggested shade 10"]
    assert {entry.grade for entry in entries} == {"read"}
    hotter = [row.labels[0] for row in matrices(made(store, RAMP))[1].rows]
    assert "Filter shade at 170\u00a0A (from memory)" in hotter


def test_a_choice_is_short_and_says_for_what_it_holds(store: Store) -> None:
    """FAA AC 43.13-1B, Table 4-12: AC with high frequency for aluminium over 3/32 in, not DCEN."""
    polarity = chosen(made(store, RAMP), "Polarity")
    assert [entry.text for entry in polarity[:2]] == ["AC-HF", "DCEN: not recommended"]
    assert any("over 3/32 in" in text for text in polarity[0].holds)
    assert [entry.grade for entry in polarity] == ["read", "read", "read", "memory"]


def test_the_gases_are_those_of_the_cards_transfer_mode(store: Store) -> None:
    horizontal = {"thickness": "3/16", "joint": "tee", "position": "2F"}
    document = made(store, {"process": "GMAW", "material": "carbon steel", **horizontal})
    said = [block.text for block in document.blocks if isinstance(block, Paragraph)]
    assert any(text.startswith("set up with") and "spray" in text for text in said)
    texts = [entry.text for entry in chosen(document, "Shielding gas")]
    assert "Ar + 5% O2" in texts
    assert "100% CO2" not in texts


def test_a_converted_limit_is_rounded_and_never_beyond_the_printed_one(store: Store) -> None:
    """150 C is 302 F: a gauge is read to 300; the printed number stands below."""
    settings, _ = matrices(made(store, {**BRACKET, "process": "GTAW", "joint": "tee"}))
    (row,) = [row for row in settings.rows if row.labels[0] == "interpass temperature"]
    (entry,) = row.cells[1].entries
    assert (entry.text, entry.holds[0]) == ("≤ 300 °F", "printed ≤ 150 °C")


def test_the_tail_has_the_processes_number_and_the_position(store: Store) -> None:
    """ISO 4063:2023, 5.2: 111 is manual metal arc welding; ISO 6947 calls 2F PB."""
    text = squeezed(
        " ".join(block.svg for block in made(store, POST).blocks if isinstance(block, Figure))
    )
    assert "111/PB<" in text
    assert ">SMAW<" in text


@pytest.mark.parametrize("thickness", [3.175, 6.35, 12.7, 25.4])
def test_a_plate_is_drawn_to_its_scale(thickness: float) -> None:
    svg, width = draw_joint("square", Sizes(thickness, "t", opening=2.0))
    plate = re.findall(r'<polygon points="([^"]+)" fill="#d9d9d9"', svg)[0]
    heights = {float(point.split(",")[1]) for point in plate.split()}
    assert max(heights) - min(heights) == pytest.approx(thickness * scale_of(thickness), abs=0.02)
    box = [float(n) for n in re.findall(r'viewBox="([^"]+)"', svg)[0].split()]
    assert box[2] == pytest.approx(width, abs=0.02)


def points(svg: str) -> list[list[tuple[float, float]]]:
    lines = re.findall(r'<polyline points="([^"]+)"', svg)
    return [[tuple(map(float, p.split(","))) for p in line.split()] for line in lines]  # type: ignore[misc]


def test_the_fillet_sign_has_its_upright_leg_on_the_left() -> None:
    """AWS A2.4 and ISO 2553, from memory: upright leg left; arrow side below (AWS), above (ISO)."""
    svg, _ = draw_symbol("tee", "SMAW", "111")
    signs = [line for line in points(svg) if line[0][0] == AT and len(line) == 3]
    (aws, iso) = signs
    for sign in (aws, iso):
        assert sign[1][0] == AT
        assert sign[2][0] > AT
    assert aws[1][1] > aws[0][1]
    assert iso[1][1] < iso[0][1]


@pytest.mark.parametrize(
    ("joint", "position", "shape", "weld", "number_of"),
    [
        ("tee", "2F", "tee", "fillet", ("2", "")),
        ("lap", "3F up", "lap", "fillet", ("3", "up")),
        ("v groove", "3G down", "v", "groove", ("3", "down")),
        ("square groove", "flat", "square", "groove", ("1", "")),
        ("butt", "4G", None, "groove", ("4", "")),
        ("double v", "5G up", "double-v", "groove", ("5", "up")),
        ("outside corner", "2F", "corner", "fillet", ("2", "")),
    ],
)
def test_words_of_the_bench_become_pictures(
    store: Store,
    joint: str,
    position: str,
    shape: str | None,
    weld: str,
    number_of: tuple[str, str],
) -> None:
    situation = describe(store, joint=joint, position=position)
    assert shape_of(situation) == shape
    assert weld_of(situation) == weld
    assert position_of(situation) == number_of
    assert draw_position(weld, *number_of) is not None  # type: ignore[arg-type]


def test_published_values_stand_beside_the_schools_own(beside: OwnTables) -> None:
    """Machinery's Handbook, 31st edition, p. 1594, Table 14: 110 to 160 A."""
    document = made(open_tables(beside), POST)
    matrix, _ = matrices(document)
    grades = {entry.grade: entry.text for entry in matrix.rows[0].cells[1].entries}
    assert grades == {"own": "100–125 A", "read": "110–160 A"}


def test_a_set_up_that_cannot_be_gets_no_settings(store: Store) -> None:
    """Steel filler on aluminium: the card says so first, and sets nothing."""
    asked = {"process": "SMAW", "material": "aluminium", "electrode": "E7018"}
    text = " ".join(page_texts(pdf(made(store, asked)).content))
    assert "Cannot be: Steel filler does not weld aluminium" in text
    assert "no settings are printed for what cannot be" in text
    assert "Our own settings" not in text
    assert "as published" not in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_half_cards_are_two_on_a_page_with_the_cautions_on_the_back(
    store: Store, language: str
) -> None:
    document = made(store, RAMP, language=language, kind="half-card", title="two up")
    drawn = pdf(document).content
    assert crowded(drawn) == []
    front, back = page_texts(drawn)
    say = words(language).say
    assert front.count(say("start")) >= 2
    assert front.count(say(NOT_APPROVAL)) == 2
    assert back.count(f"{say('Cautions')} ") == 2
    # Metric stands beside inches where the language is not English.
    assert ("3.2 mm" in front) == (language != "en")


def test_thoriated_tungsten_comes_with_what_the_trade_says_of_it(store: Store) -> None:
    document = made(store, RAMP)
    (entry,) = chosen(document, "Tungsten")
    assert "EWTh-2" in entry.text
    assert any("lanthanated or ceriated is the better choice" in text for text in entry.holds)
    cautions = [text for b in document.blocks if isinstance(b, Items) for text in b.texts]
    assert any("slightly radioactive" in text for text in cautions)
