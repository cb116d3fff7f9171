"""The bench card: one line leads, what fits completes it, broad rows never give a start."""

from __future__ import annotations

from typing import Any

import pytest

import weldref
from weldref.advice.card import Card, card, card_quantities
from weldref.advice.choices import lens
from weldref.advice.ladder import ladder
from weldref.core.bands import compare_value
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.text import card_text

# Everyday questions of a class shop (common practice): process, metal, thickness, and what each
# process is usually said with.
MILD = ("mild steel", "A36")
COMMON: list[dict[str, str]] = [
    *({"process": "GMAW", "material": m, "thickness": t}
      for m in MILD for t in ("18 ga", "16 ga", "1/8", "3/16", "1/4")),
    *({"process": "GMAW", "material": "304", "thickness": t} for t in ("16 ga", "1/8", "1/4")),
    *({"process": "GMAW", "material": "6061", "thickness": t} for t in ("1/8", "3/16", "1/4")),
    *({"process": "SMAW", "material": "A36", "electrode": e, "diameter": d, "thickness": t}
      for e, d, t in (("E7018", "3/32", "1/8"), ("E7018", "1/8", "1/4"), ("E6010", "1/8", "1/4"),
                      ("E6013", "3/32", "1/8"), ("E6011", "1/8", "3/16"),
                      ("E7018", "5/32", "1/2"))),
    *({"process": "GTAW", "material": m, "thickness": t}
      for m in ("mild steel", "304", "6061") for t in ("1/16", "1/8", "3/16", "1/4")),
    *({"process": "GTAW", "material": "titanium", "thickness": t} for t in ("1/16", "1/8")),
    *({"process": "FCAW-G", "material": "A36", "thickness": t} for t in ("1/4", "3/8", "1/2")),
    *({"process": "FCAW-S", "material": "A36", "thickness": t} for t in ("1/8", "1/4")),
    *({"process": "PAC", "material": m, "thickness": t}
      for m in ("A36", "304", "6061") for t in ("1/8", "1/4", "1/2")),
    *({"process": "OFC", "material": "A36", "thickness": t} for t in ("1/4", "1/2", "1", "2")),
]  # fmt: skip


def made(store: Store, said: dict[str, str], **more: Any) -> Card:
    return card(store, describe(store, **said), **more)  # type: ignore[arg-type]


def test_nineteen_in_twenty_common_situations_get_a_start(store: Store) -> None:
    assert len(COMMON) >= 40
    without = [said for said in COMMON if not made(store, said).lines]
    assert len(without) <= 0.05 * len(COMMON), without


@pytest.mark.parametrize("said", COMMON, ids=lambda said: " ".join(said.values()))
def test_a_card_holds_together(store: Store, said: dict[str, str]) -> None:
    found = made(store, said)
    if not found.lines:
        return
    leading = found.lines[0]
    assert {v.line for v in found.values if v.same_line} == {leading.line}
    for value in found.values:
        assert value.fit != "broad"
        if value.start is not None and value.min is not None and value.max is not None:
            assert value.min <= value.start <= value.max
    # What the card proposes makes sense by the set-up rules.
    assert not [one for one in found.sense if one.strength == "cannot be"]


def test_the_parts_of_a_card_agree(store: Store) -> None:
    """No card of the common situations sets wire feed against current or current against plate."""
    odd = [
        (said, one.rule)
        for said in COMMON
        for one in made(store, said).sense
        if one.strength == "unusual"
    ]
    assert len(odd) <= 0.05 * len(COMMON), odd


def test_thin_and_thick_get_different_starts(store: Store) -> None:
    starts = [
        next(v.start for v in made(store, {"process": "GTAW", "material": "304", "thickness": t})
             .values if v.quantity == "current")
        for t in ("1/16", "1/8", "1/4")
    ]  # fmt: skip
    assert starts == sorted(starts)
    assert len(set(starts)) == 3


def test_a_tungsten_is_chosen_by_the_current_and_gives_none(store: Store) -> None:
    found = made(store, {"process": "GTAW", "material": "304", "thickness": "1/8"})
    current = next(v for v in found.values if v.quantity == "current")
    assert current.source_id != "aws-whb-gtaw"  # the table of capacities
    assert found.tungstens
    assert all(one.grade in ("read", "secondary", "memory") for one in found.tungstens)


def test_a_tungsten_carries_the_current_in_every_wave_that_was_not_said(store: Store) -> None:
    """140 A on AC: 1/16 in stands it unbalanced and not balanced (AWS Welding Handbook, GTAW)."""
    found = made(store, {"process": "GTAW", "material": "aluminium", "thickness": "1/8"})
    assert [one.size for one in found.tungstens] == ["3/32 in"]


@pytest.mark.parametrize(
    ("said", "never"),
    [
        ({"process": "SMAW", "material": "316L", "thickness": "1/4"}, {"E308L-16", "E309L-16"}),
        ({"process": "OFW", "material": "mild steel", "thickness": "1/16"},
         {"methylacetylene-propadiene", "propane"}),
    ],
)  # fmt: skip
def test_nobody_is_sent_to_what_a_rule_calls_unusual(
    store: Store, said: dict[str, str], never: set[str]
) -> None:
    assert never.isdisjoint(made(store, said).set_up.values())


@pytest.mark.parametrize("thickness", ["3 mm", "5/32"])
def test_between_two_printed_thicknesses_both_are_named(store: Store, thickness: str) -> None:
    for process, material in (("GMAW", "mild steel"), ("GTAW", "304"), ("PAC", "A36")):
        found = made(store, {"process": process, "material": material, "thickness": thickness})
        assert found.lines == ()
        sides = {one.side: one.differs for one in found.neighbours}
        assert "" not in sides
        assert {"above"} <= set(sides) <= {"above", "below"}
        assert all(set(differs) == {"thickness"} for differs in sides.values())


def test_a_card_is_in_the_units_that_were_asked_for(store: Store) -> None:
    inch = made(store, {"process": "OFC", "material": "A36", "thickness": "1/2"})
    assert {v.unit for v in inch.values} <= {"in", "psi", "in/min", "ft3/h", "F"}
    metric = card(store, describe(store, process="OFC", material="A36", thickness="1/2 in",
                                  units="metric"))  # fmt: skip
    assert {v.unit for v in metric.values} <= {"mm", "bar", "mm/min", "L/min", "C"}
    assert all(v.printed for v in inch.values)


def test_what_changes_the_card_most_is_asked(store: Store) -> None:
    found = made(store, {"process": "SMAW", "material": "A36", "thickness": "1/4"})
    assert found.ask is not None
    assert found.ask.condition == "filler_class"
    told = made(store, {"process": "SMAW", "material": "A36", "thickness": "1/4",
                        "electrode": "E7018"})  # fmt: skip
    assert told.ask is not None
    assert told.ask.condition == "electrode_size"
    assert "1/8 in" in {option.value for option in told.ask.options}
    done = made(store, {"process": "SMAW", "material": "A36", "thickness": "1/4",
                        "electrode": "E7018", "diameter": "1/8"})  # fmt: skip
    assert done.ask is None


def test_where_nothing_fits_the_nearest_rungs_are_shown(store: Store) -> None:
    found = made(store, {"process": "GTAW", "material": "304", "thickness": "5/32"})
    assert not found.lines
    assert {one.side for one in found.neighbours[:2]} == {"below", "above"}


def test_lines_can_be_looked_through(store: Store) -> None:
    said = {"process": "GMAW", "material": "mild steel", "thickness": "1/8"}
    lines = made(store, said).lines
    assert len(lines) > 1
    second = made(store, said, line=1)
    assert {v.line for v in second.values if v.same_line} == {lines[1].line}


def test_the_ladder_has_a_bar_at_every_printed_thickness_and_none_between(store: Store) -> None:
    situation = describe(store, process="GTAW", material="aluminium", polarity="AC", gas="argon")
    rungs = ladder(store, situation, "current", "A")
    rows = store.rows(
        "SELECT DISTINCT thickness_min_si FROM windows WHERE process = 'GTAW' "
        "AND quantity = 'current' AND thickness_min_si IS NOT NULL"
    )
    printed = {row["thickness_min_si"] for row in rows}
    assert len(rungs) >= 4
    for rung in rungs:
        assert rung.thickness_min in printed
        assert compare_value(rung.low, rung.high, rung.low)[0] == "inside"


def test_a_process_without_gas_shows_none(store: Store) -> None:
    assert "gas_flow" not in card_quantities(store, "SMAW")
    assert "gas_flow" not in card_quantities(store, "FCAW-S")
    assert "gas_flow" in card_quantities(store, "FCAW-G")
    for process in ("PAC", "OFC", "LBC"):
        assert "preheat" not in card_quantities(store, process)


@pytest.mark.parametrize("said", [
    {"process": "GMAW"}, {"process": "GMAW", "thickness": "1/8"},
    {"process": "GTAW"}, {"process": "GTAW", "thickness": "1/8"}, {"process": "PAC"},
], ids=lambda said: " ".join(said.values()))  # fmt: skip
def test_without_a_metal_the_metal_is_the_question_and_no_metal_is_guessed(
    store: Store, said: dict[str, str]
) -> None:
    found = made(store, said)
    assert found.ask is not None
    assert found.ask.condition == "material"
    assert (found.values, found.lines, found.neighbours) == ((), (), ())


def test_a_card_says_under_which_conditions_its_line_was_printed(store: Store) -> None:
    """Machinery's Handbook 31, p. 1594, Table 14 is for carbon steel."""
    text = card_text(made(store, {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}))
    assert "holds if: material carbon steel\n" in text


def test_a_card_tells_the_minimum_shade_from_the_one_to_wear(store: Store) -> None:
    """29 CFR 1910.133(a)(5): at least 8 from 60 to 160 A; the guide of ANSI Z49.1 suggests 10."""
    said = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}
    text = card_text(made(store, said))
    assert "lens shade at least 8 (read), better 10 (quoted)\n" in text
    for amperes in (5, 550, 2900):  # beyond the tables as well
        beyond = card_text(weldref.bench(**said, current=amperes))
        least, better = lens(weldref.bench(**said, current=amperes).shades)
        assert "Inside a published range is not safe" in beyond
        assert least is None or all((s.value or 0) >= (least.value or 0) for s in better)


def test_proposed_values_are_judged_on_the_card() -> None:
    found = weldref.bench(process="SMAW", electrode="E7018", diameter="1/8", current=250)
    (current,) = [v for v in found.values if v.quantity == "current"]
    assert current.reading is not None
    assert (current.reading.verdict, current.reading.by) == ("high", 90.0)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"material": "A36"}, "^process: a card needs one"),
        ({"process": "SMAW", "line": 0}, "^line: 0 is not accepted"),
        (
            {"process": "GTAW", "material": "304", "thickness": "1/8", "line": 99},
            "^line: 99 is not accepted; [0-9]+ lines fit",
        ),
        ({"process": "SMAW", "amps": 3, "current": 4}, "given twice"),
        ({"process": "SMAW", "colour": "red"}, "'colour' is not known"),
    ],
)
def test_bad_input_gets_one_sentence(said: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        weldref.bench(**said)


def test_json_has_the_parts_that_programs_rely_on() -> None:
    answer = weldref.bench(process="GTAW", material="304", thickness="1/8").as_dict()
    assert set(answer["card"]) >= {"values", "lines", "ask"}
    for value in answer["card"]["values"]:
        assert set(value) >= {"quantity", "value", "min", "max", "unit", "grade", "fit",
                              "source_id", "line"}  # fmt: skip
    assert isinstance(answer["sense"], list | tuple)
