"""Every number on a page is in the dataset, computed from it, or a page's or note's number."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pint
import pytest

from tests.effort import ALL
from tests.handouts.pages import (
    BRACKET,
    CLASS_DATE,
    POST,
    RAMP,
    numbers,
    page_texts,
    settings_of,
    squeezed,
)
from weldref.advice.choices import fillers, gases, polarities
from weldref.advice.handbook import filter_shade
from weldref.core.cautions import cautions_for
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.handouts import make_handout
from weldref.handouts.blocks import Facts
from weldref.handouts.conversion import Converter
from weldref.handouts.handout import handout
from weldref.handouts.output import html
from weldref.handouts.selection import select
from weldref.handouts.settings import Group, Setting, conditions_said, mark
from weldref.handouts.tables import MOST_RECALLED
from weldref.handouts.texts import Notes
from weldref.handouts.words import words

# Numbers of our own sentences: J/mm to kJ/mm.
OURS = {"1000"}
REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
PINT = {"F": "degF", "C": "degC", "ft3/h": "foot**3/hour", "A": "ampere", "in": "inch"}


def rounded(value: float) -> set[str]:
    """The ways in which a converted number may be written."""
    return numbers(f"{value:.0f} {value:.3g} {round(value)} {value:.4g} {value:.2f} {value:.1f}")


def converted(value: float, unit: str, others: list[str]) -> set[str]:
    """A printed number in the other units of its quantity, by pint."""
    found: set[str] = set()
    for other in others:
        quantity = REGISTRY.Quantity(value, PINT.get(unit, unit))
        found |= rounded(abs(quantity.to(PINT.get(other, other)).magnitude))
    return found


def allowed(store: Store, conditions: dict[str, str]) -> set[str]:
    """Build the numbers that a page of a situation may show, from the engine and the tables."""
    situation = describe(store, **conditions)
    matches = find(store, situation)
    found: set[str] = set()
    currents = []
    usual = {r["quantity"]: r for r in store.rows("SELECT * FROM quantities")}
    for match in matches:
        row = match.row
        found |= numbers(" ".join(str(value) for value in row.values() if isinstance(value, str)))
        quantity = usual[row["quantity"]]
        others = [quantity["us_unit"], quantity["metric_unit"]]
        for end in ("min", "max", "typical"):
            if row[end] is not None:
                found |= numbers(f"{row[end]:g} {row[end]:.10g}")
                found |= converted(row[end], row["unit"], others)
                # An inch size that is a fraction of the trade.
                found |= numbers(str(float(row[end]).as_integer_ratio()))
        for end in ("thickness_min", "thickness_max"):
            if row[end] is not None:
                found |= numbers(f"{row[end]:g}")
        if row["quantity"] == "current":
            currents += [row[e] for e in ("min", "max", "typical") if row[e] is not None]
    for current in dict.fromkeys(currents):
        for shade in filter_shade(conditions["process"], current=current):
            found |= numbers(f"{shade.value} {shade.source} {shade.locator} {shade.value or 0:g}")
    for statement in (
        *polarities(store, situation), *gases(store, situation), *fillers(store, situation),
    ):  # fmt: skip
        found |= numbers(" ".join((statement.value, *statement.only_for)))
    for caution in cautions_for(store, situation):
        found |= numbers(caution.wording)
    for document in store.rows("SELECT source_id, name FROM documents"):
        found |= numbers(document["name"])
    for table in ("polarity", "shielding_gas_selection", "cautions", "filter_shades",
                  "smaw_classes", "matching_fillers", "worked_examples"):  # fmt: skip
        for place in store.rows(f"SELECT DISTINCT locator FROM {table}"):  # noqa: S608
            found |= numbers(str(place["locator"]))
    # The published example of heat input and its efficiency: 20 V, 300 A, 2.5 mm/s (hi-01).
    found |= numbers("20 300 2.5 2.4 0.6 0.8 1.92 1.44 48.8 36.6")
    (dataset,) = store.rows("SELECT version, digest FROM dataset")
    found |= numbers(f"{dataset['version']} {dataset['digest'][:12]} {CLASS_DATE}")
    found |= numbers(" ".join(situation.given().values()))
    term = situation.terms["material"].name
    (metal,) = store.rows("SELECT name FROM materials WHERE term = $term", {"term": term})
    return found | numbers(metal["name"]) | OURS


SHEETS = list(zip((POST, BRACKET, RAMP), ("both", "us", "metric"), strict=True))
if ALL:
    SHEETS = list(product((POST, BRACKET, RAMP), ("both", "us", "metric")))


@pytest.mark.parametrize(("conditions", "units"), SHEETS)
def test_every_number_has_an_origin(
    store: Store, tmp_path: Path, conditions: dict[str, str], units: str
) -> None:
    typed = {**conditions, "diameter": "1/8 in"} if "diameter" in conditions else {**conditions}
    if "thickness" in typed:
        typed["thickness"] += " in"
    made = make_handout(
        tmp_path / "sheet.pdf", **typed, units=units, date=CLASS_DATE, also_seen=True,
        kind="booklet",
    )  # fmt: skip
    pages = page_texts(made[0].read_bytes())
    notes = max(int(n) for n in numbers(" ".join(pages).split("[1]", 1)[1]) if n.isdigit())
    counted = {str(n) for n in range(1, min(notes, 120) + 1)}
    bracketed = {n for page in pages for n in re.findall(r"\[(\d+)\]", page)}
    page_numbers = {str(n) for n in range(1, len(pages) + 1)}
    ours = allowed(store, typed) | page_numbers | (bracketed & counted)
    for page in pages:
        without_notes = re.sub(r"\[\d+\]", "", page)
        # Counts of rows that our own sentences state.
        said = re.findall(r"and (\d+) more from memory|are in doubt: (\d+)\.", without_notes)
        strange = numbers(without_notes) - ours - {n for pair in said for n in pair}
        assert not strange, f"{strange} in {without_notes}"


@pytest.mark.parametrize("conditions", [POST, BRACKET, RAMP], ids=["post", "bracket", "ramp"])
def test_each_row_of_the_engine_stands_on_a_page(store: Store, conditions: dict[str, str]) -> None:
    selection = select(store, conditions, units="us", kind="booklet")
    page = html(handout(store, selection)).content.decode()
    text = squeezed(re.sub(r"<[^>]*>", " ", page))
    rows = 0
    for group in settings_of(store, conditions, units="us").values():
        for setting in (*group.printed, *group.recalled[:MOST_RECALLED]):
            row = setting.row
            ends = "".join(f"{n:.10g}" for n in (row.min, row.max, row.typical) if n is not None)
            unit = {"F": "°F", "C": "°C", "ft3/h": "ft³/h", "deg": "°"}.get(row.unit, row.unit)
            assert f"{ends}{unit}" in text, row
            rows += 1
    assert rows > 5


def test_rows_are_those_of_the_check(store: Store) -> None:
    """Machinery's Handbook, 31st edition, p. 1594, Table 14: 110 to 160 A for 1/8 in E7018."""
    group = settings_of(store, POST)["current"]
    assert [(s.row.min, s.row.max, s.row.source_id) for s in group.printed] == [
        (110.0, 160.0, "machinerys-handbook-31")
    ]
    assert {s.row.how_read for s in group.recalled} == {"memory"}


def test_sources_that_differ_are_marked(store: Store) -> None:
    """Two documents that fit and print other limits; what holds elsewhere is no difference."""
    current = settings_of(store, POST)["current"]
    assert not current.differ
    (one,) = current.printed

    def another(**changes: Any) -> Setting:
        row = replace(one.row, source_id="another", window_id="another:1", **changes)
        return Setting(row, one.raw)

    converter = Converter(store)
    assert all(s.differs for s in mark((one, another(max=150.0)), converter))
    assert not any(s.differs for s in mark((one, another()), converter))
    elsewhere = another(max=150.0, assumed={"position": "overhead"})
    flat = replace(one, row=replace(one.row, assumed={"position": "flat"}))
    assert not any(s.differs for s in mark((flat, elsewhere), converter))


def test_inch_and_metric_versions_of_one_limit_are_no_difference(store: Store) -> None:
    """AWS D1.1 prints 50 F and 10 C of a minimum, side by side."""
    group = settings_of(store, {**POST, "thickness": "1", "code": "AWS D1.1"})["preheat"]
    assert (50.0, "F") in {(s.row.min, s.row.unit) for s in group.printed}
    assert not group.differ
    (inch,) = [s for s in group.printed if s.row.unit == "F"]
    metric = replace(inch.row, source_id="another", window_id="another:1", min=10.0, unit="C")
    twin = Setting(metric, {**inch.raw, "unit": "C", "min": 10.0})
    assert not any(s.differs for s in mark((inch, twin), Converter(store)))


def test_rows_of_a_code_stand_as_settings_only_where_it_is_named(store: Store) -> None:
    def preheat(**more: str) -> Group:
        return settings_of(store, {**POST, "thickness": "1", **more})["preheat"]

    unsaid, named = preheat(), preheat(code="AWS D1.1")
    assert unsaid.printed == ()
    assert {"AWS D1.1", "ASME B31.3"} <= {s.row.assumed.get("scope") for s in unsaid.conditional}
    assert unsaid.asks[0] == "code"
    assert {s.row.source_id for s in named.printed} == {"aws-d1-1-2015"}
    # Each shows its condition in the table.
    notes = Notes(store, words("en"))
    for setting in unsaid.conditional:
        assert setting.row.assumed["scope"] in conditions_said(setting, notes)


WIRE = {"process": "GMAW", "material": "carbon steel", "thickness": "1/8"}


def test_a_general_range_stands_apart_and_says_what_it_ignores(
    store: Store, tmp_path: Path
) -> None:
    """One extension for every transfer mode is no setting for any of them."""
    (made,) = make_handout(
        tmp_path / "w.pdf", **WIRE, quantity="electrode extension", grade="read", kind="booklet"
    )
    text = " ".join(page_texts(made.read_bytes()))
    assert "general ranges and limits, no setting:" in text
    assert "names no transfer mode" in text
    asked = {"quantity": "electrode extension", "grade": "read"}
    group = settings_of(store, WIRE, **asked)["electrode_extension"]
    assert {s.row.assumed["transfer_mode"] for s in group.printed} == {"short-circuiting", "spray"}
    assert {s.row.ignores for s in group.general} == {("transfer_mode",)}


@pytest.mark.parametrize(
    "conditions", [POST, BRACKET, RAMP, WIRE], ids=["post", "bracket", "ramp", "wire"]
)
def test_a_broad_row_is_never_a_setting(store: Store, conditions: dict[str, str]) -> None:
    for group in settings_of(store, conditions, quantity="all").values():
        assert all(not s.row.ignores for s in (*group.printed, *group.conditional, *group.recalled))
        assert all(s.row.how_read != "memory" for s in (*group.printed, *group.general))
        assert {s.row.how_read for s in group.recalled} <= {"memory"}


@pytest.mark.parametrize("conditions", [POST, BRACKET, RAMP], ids=["post", "bracket", "ramp"])
def test_a_sheet_of_read_rows_recalls_nothing(store: Store, conditions: dict[str, str]) -> None:
    asked = {**conditions, "polarity": "AC"} if conditions is RAMP else conditions
    selection = select(store, asked, grade="read", quantity="all", also_seen=True)
    document = handout(store, selection)
    how_read = document.records[0].index("how read")
    assert {row[how_read] for row in document.records[1:]} <= {"read", ""}
    for block in document.blocks:
        if isinstance(block, Facts):
            said = [text for _, texts in block.pairs for text in texts]
            assert not [text for text in said if "from memory" in text or "quoted" in text]


def test_words_of_the_data_are_resolved(store: Store) -> None:
    from weldref.advice.choices import METALS, metals_of

    for table in ("polarity", "shielding_gas_selection"):
        for row in store.rows(f"SELECT DISTINCT material FROM {table}"):  # noqa: S608
            assert metals_of(store, row["material"]) or METALS[row["material"]] == ()
    assert words("en").term("carbon steel") == "carbon steel"
