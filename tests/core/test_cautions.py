"""Which cautions stand beside an answer: what was left open excludes none of them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.cautions import METAL_OF_FILLER, WITH_AN_ARC, WITHOUT_AN_ARC, cautions_for
from weldref.core.index import cutting
from weldref.core.situation import describe
from weldref.core.terms import Vocabulary, choices
from weldref.data.store import Store, open_store

TREES = {
    "process": "processes",
    "material": "materials",
    "electrode": "electrode_classes",
    "polarity": "polarities",
}
OF_THE_ARC = {"arc-radiation", "fume", "electric-shock"}


def shown(store: Store, **said: Any) -> set[str]:
    return {one.caution for one in cautions_for(store, describe(store, **said))}


def broader(store: Store, name: str, term: str) -> list[str]:
    """A term and what is broader."""
    rows = store.rows(
        "SELECT broader FROM broader_terms WHERE tree = $tree AND term = $term",
        {"tree": TREES[name], "term": term},
    )
    return [row["broader"] for row in rows]


@pytest.mark.parametrize(
    ("said", "cautions"),
    [
        ({"electrode": "E7018", "diameter": "1/8"}, OF_THE_ARC),
        ({"process": "FCAW", "gas": "CO2"}, {"asphyxiation"}),
        ({"process": "SMAW", "material": "steel"}, {"zinc", "hydrogen-cracking"}),
        ({"process": "CAC"}, {"noise"}),
        ({"electrode": "E308L-16"}, {"hexavalent-chromium"}),
        ({"electrode": "E309L-16", "material": "A36"}, {"hexavalent-chromium"}),
        ({"material": "304"}, OF_THE_ARC | {"acetylene-pressure"}),
        ({"process": "GMAW"}, {"zinc", "hexavalent-chromium", "aluminium-fire"}),
        ({"process": "EGW"}, {"fume", "electric-shock"}),
        ({"process": "OFW"}, {"acetylene-pressure", "acetylene-draw", "flame-radiation"}),
        ({"process": "OFW", "gas": "acetylene"}, {"acetylene-pressure"}),
        ({"process": "OFW", "under_water": True}, {"under-water"}),
        ({"process": "SMAW", "in_service": True}, {"in-service"}),
        ({"electrode": "E308LT1-1"}, {"hexavalent-chromium"}),
        ({"electrode": "ERNiCrMo-3"}, {"hexavalent-chromium"}),
        ({"electrode": "ENi-CI"}, {"preheat-cast-iron"}),
        ({"electrode": "ERTi-2"}, {"titanium-fire", "titanium-shielding"}),
        ({"process": "SMAW", "electrode": "hardfacing"}, {"hard-facing-fume"}),
    ],
)
def test_a_broad_or_open_condition_keeps_its_cautions(
    store: Store, said: dict[str, Any], cautions: set[str]
) -> None:
    assert cautions <= shown(store, **said)


@pytest.mark.parametrize(
    ("said", "cautions"),
    [
        ({"process": "SMAW", "material": "A36"}, {"zinc", "hexavalent-chromium", "thoriated"}),
        ({"process": "SMAW", "electrode": "E7018"}, {"hexavalent-chromium", "magnesium-fire"}),
        ({"electrode": "E7018"}, {"flame-radiation", "acetylene-pressure"}),
        ({"material": "304", "polarity": "DCEP"}, {"flame-radiation"}),
        ({"process": "GMAW", "material": "A36", "electrode": "ER70S-6"}, {"zinc"}),
        ({"process": "FCAW-S"}, {"asphyxiation"}),
        ({"process": "OFW", "gas": "MAPP"}, {"acetylene-pressure"}),
        ({"process": "OFW"}, {"under-water", "electric-shock", "in-service", "zinc-rod"}),
        ({"process": "SMAW", "under_water": True}, {"in-service"}),
        ({"electrode": "E308LT1-1"}, {"zinc", "quenched-tempered", "noise"}),
        ({"electrode": "ERTi-2"}, {"zinc", "hexavalent-chromium"}),
        ({"process": "GMAW", "material": "aluminium"}, {"carbon-monoxide", "hard-facing-fume"}),
        ({"process": "SMAW", "material": "mild steel"}, {"hard-facing-fume"}),
        ({"process": "GMAW"}, {"manganese-steel", "duplex", "free-machining"}),
    ],
)
def test_what_was_said_excludes_the_others(
    store: Store, said: dict[str, Any], cautions: set[str]
) -> None:
    assert not cautions & shown(store, **said)


def test_what_kills_comes_first_and_few_follow(store: Store) -> None:
    for process, material in (("GMAW", "6061"), ("SMAW", "mild steel"), ("GTAW", "304L")):
        found = cautions_for(store, describe(store, process=process, material=material))
        first = [one.caution for one in found][:3]
        assert first == ["electric-shock", "closed-containers", "confined-space"]
        assert len(found) <= 14


def test_of_nothing_said_only_what_holds_for_all_work(store: Store) -> None:
    rows = store.rows("SELECT * FROM cautions")
    columns = ("processes", "materials", "gases", "environment", "only_if_said")
    common = {row["caution"] for row in rows if not any(row[column] for column in columns)}
    assert shown(store) == common != set()


def test_every_caution_shows_for_each_term_that_it_names(store: Store) -> None:
    where = {"under water": "under_water", "in service": "in_service"}
    for row in store.rows("SELECT * FROM cautions"):
        for process in (row["processes"] or "").split("; "):
            for material in (row["materials"] or "").split("; "):
                for filler in (row["filler_classes"] or "").split("; "):
                    said: dict[str, Any] = {
                        "process": process,
                        "material": material,
                        "electrode": filler,
                        "gas": row["gases"],
                        where.get(row["environment"], "under_water"): bool(row["environment"]),
                    }
                    said = {name: value for name, value in said.items() if value}
                    assert not said or row["caution"] in shown(store, **said), (row, said)


def test_the_metals_of_fillers_are_terms(store: Store) -> None:
    vocabulary = Vocabulary(store)
    kinds = {*METAL_OF_FILLER, *WITH_AN_ARC}
    assert {vocabulary.term("filler_class", kind).name for kind in kinds} == kinds
    metals = set(METAL_OF_FILLER.values())
    assert {vocabulary.term("material", metal).name for metal in metals} == metals
    assert {vocabulary.term("process", name).name for name in WITHOUT_AN_ARC} == {*WITHOUT_AN_ARC}


STORE = open_store()
TERMS = {name: [c.name for c in choices(STORE, column)] for name, column in (
    ("process", "process"), ("material", "material"), ("electrode", "filler_class"),
    ("polarity", "polarity"),
)}  # fmt: skip


@st.composite
def told_and_less(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any]]:
    """A situation that can be, and the same with something left out or told more broadly."""
    names = st.sets(st.sampled_from(list(TERMS)), min_size=1)
    told: dict[str, Any] = {name: draw(st.sampled_from(TERMS[name])) for name in draw(names)}
    if told.get("process") in cutting(STORE):
        told.pop("electrode", None)
    if told.get("process") in WITHOUT_AN_ARC:
        told.pop("polarity", None)
        if set(broader(STORE, "electrode", told.get("electrode", ""))) & set(WITH_AN_ARC):
            told.pop("electrode")
    families = {
        METAL_OF_FILLER[kind]
        for kind in broader(STORE, "electrode", told.get("electrode", ""))
        if kind in METAL_OF_FILLER
    }
    # A filler metal of another family brings cautions that go with it, and the metal's own.
    if families and "material" in told:
        kin = STORE.rows(
            "SELECT term FROM broader_terms WHERE tree = 'materials' AND broader IN $families",
            {"families": sorted(families)},
        )
        told["material"] = draw(st.sampled_from([row["term"] for row in kin]))
    told["gas"] = draw(st.sampled_from(["argon", "acetylene", "CO2", ""]))
    told["diameter"] = draw(st.sampled_from(["1/8", ""]))
    told = {name: value for name, value in told.items() if value}
    less = {}
    for name, value in told.items():
        wider = broader(STORE, name, value) if name in TREES else [value]
        less[name] = draw(st.sampled_from([*wider, ""]))
    return told, {name: value for name, value in less.items() if value}


# Of special work nothing is shown that was not said.
SPECIAL = {
    row["caution"] for row in STORE.rows("SELECT caution FROM cautions WHERE only_if_said = 'true'")
}


@given(told_and_less())
def test_saying_less_never_removes_a_caution(
    both: tuple[dict[str, Any], dict[str, Any]],
) -> None:
    told, less = both
    if less:
        assert shown(STORE, **told) - SPECIAL <= shown(STORE, **less)


@pytest.mark.parametrize(
    ("electrode", "oven"), [("E7018", True), ("E6010", False), ("E6013", False), (None, True)]
)
def test_an_oven_is_for_low_hydrogen_electrodes(
    store: Store, electrode: str | None, oven: bool
) -> None:
    # AWS D1.1:2015, 5.3.2.1 speaks of low-hydrogen electrodes; heat spoils a cellulosic one.
    found = cautions_for(store, describe(store, process="SMAW", electrode=electrode))
    assert ("low-hydrogen-storage" in {one.caution for one in found}) == oven
