"""Preheat by every method side by side."""

from __future__ import annotations

import math

import pytest

from weldref.advice.preheat import METHOD_A, Method, compare_preheat
from weldref.errors import InputError


def test_each_document_speaks_with_its_own_table() -> None:
    found = compare_preheat(material="A36", thickness="2 in", process="SMAW", electrode="E6010")
    printed = {m.source_id: m.printed for m in found.methods if m.celsius is not None}
    # AWS D1.1:2015 Table 3.3, TI 809-26 Table 3-1, ASME B31.3 Table 330.1.1.
    assert printed["aws-d1-1-2015"] == "at least 225 F"
    assert printed["ti-809-26"] == "at least 225 F"
    assert printed["asme-b31-3-2010"] == "at least 175 F"
    assert found.lowest is not None
    assert found.highest is not None
    assert found.lowest < found.highest
    assert METHOD_A in found.pointers


def test_metric_thickness_takes_the_metric_table() -> None:
    found = compare_preheat(material="A36", thickness="50 mm", process="SMAW", electrode="E6010")
    printed = {m.source_id: m.printed for m in found.methods if m.celsius is not None}
    # D1.1M prints 110 C where TI 809-26 prints 107 C for the same 225 F.
    assert printed["aws-d1-1-2015"] == "at least 110 C"
    assert printed["ti-809-26"] == "at least 107 C"


def test_a_method_without_input_says_what_it_needs() -> None:
    found = compare_preheat(material="A36", thickness="1 in")
    method_b = next(m for m in found.methods if m.method.startswith("EN 1011-2"))
    assert method_b.celsius is None
    assert method_b.note == "needs composition, hydrogen, heat input"


def test_method_b_shows_its_parts() -> None:
    composition = {"C": 0.16, "Mn": 1.4, "Si": 0.3}
    found = compare_preheat(
        material="S355J2", thickness="50 mm", composition=composition, hydrogen=5.0,
        heat_input=1.5e6,
    )  # fmt: skip
    method = next(m for m in found.methods if m.method.startswith("EN 1011-2"))
    assert method.celsius is not None
    parts = [method.parts[k] for k in method.parts if k.endswith("_part")]
    assert len(parts) == 4
    assert math.isclose(sum(parts), method.celsius, abs_tol=1e-9)
    assert method.how_read == "secondary"


def test_d11_annex_against_the_cell_quoted_in_print() -> None:
    # AWS D1.1 annex XI, Table XI-2 (2004): group D, high restraint, 2 in: 300 F.
    composition = {"C": 0.12, "Mn": 1.5, "Si": 0.3, "Cr": 0.5, "Mo": 0.3, "V": 0.1}
    found = compare_preheat(
        material="carbon steel", thickness="2 in", composition=composition, hydrogen_level="H2",
        restraint="high",
    )  # fmt: skip
    annex = next(m for m in found.methods if m.method.startswith("AWS D1.1 annex"))
    assert 0.256 < annex.parts["Pcm"] < 0.29
    assert annex.printed == "at least 300 F, group D"
    assert annex.how_read == "memory"


@pytest.mark.parametrize(
    ("material", "caution"),
    [("6061", "aluminium-preheat"), ("A514", "quenched-tempered"), ("304", "austenitic-interpass")],
)
def test_where_more_preheat_is_not_safer(material: str, caution: str) -> None:
    found = compare_preheat(material=material, thickness="1/4 in")
    assert caution in {warning.caution for warning in found.warnings}


def test_navsea_278_answers_for_its_own_groups_alone() -> None:
    found = compare_preheat(material="NAVSEA S-3", thickness="1 in", code="NAVSEA 278")
    # NAVSEA S9074-AR-GIB-010/278, Table IV: S-3 over 5/8 in, 175 F.
    assert [(m.printed, m.scope) for m in found.governing] == [
        ("at least 175 F", "NAVSEA S9074-AR-GIB-010/278")
    ]
    with pytest.raises(InputError, match="code: 'NAVSEA 278' gives no preheat here"):
        compare_preheat(material="A36", thickness="1 in", code="NAVSEA 278")


def test_a_repeated_table_is_no_second_document() -> None:
    found = compare_preheat(material="A36", thickness="50 mm", process="SMAW", electrode="E6010")
    repeated = [m for m in found.methods if m.repeats]
    assert {(m.source_id, m.repeats) for m in repeated} == {("ti-809-26", "AWS D1.1")}
    assert "no second document" in repeated[0].note
    others = [m.celsius for m in found.methods if m.celsius is not None and not m.repeats]
    assert (found.lowest, found.highest) == (min(others), max(others))


@pytest.mark.parametrize(
    ("material", "lowest"),
    # NIMI, Welder theory, prints 500 F for plain carbon steel of 0.45 to 0.80 % carbon.
    [("4140", None), ("A514", None), ("1045", 260.0)],
)
def test_a_metal_that_hardens_takes_no_minimum_of_steel_in_general(
    material: str, lowest: float | None
) -> None:
    found = compare_preheat(material=material, thickness="1 in", process="SMAW")
    assert found.lowest == lowest
    assert any("hardens beside the weld" in pointer for pointer in found.pointers)
    assert any("EN 1011-2 method B" in pointer for pointer in found.pointers)
    plain = compare_preheat(material="A36", thickness="1 in", process="SMAW")
    assert not any("hardens" in pointer for pointer in plain.pointers)


def test_governing_code() -> None:
    found = compare_preheat(
        material="A36", thickness="1 in", process="SMAW", electrode="E7018", code="ASME B31.3"
    )
    assert [m.printed for m in found.governing] == ["at least 175 F"]
    with pytest.raises(InputError, match="code: 'moon law'"):
        compare_preheat(material="A36", thickness="1 in", code="moon law")


def test_restraint_is_a_known_word() -> None:
    with pytest.raises(InputError, match="restraint"):
        compare_preheat(material="A36", thickness="1 in", composition={"C": 0.2},
                        hydrogen_level="H2", restraint="huge")  # fmt: skip


ANNEX = {"process": "SMAW", "electrode": "E7018"}


def annex(thickness: str, level: str, restraint: str, **composition: float) -> Method:
    found = compare_preheat(
        material="A36", thickness=thickness, **ANNEX, composition=composition,
        hydrogen_level=level, restraint=restraint,
    )  # fmt: skip
    return next(m for m in found.methods if m.method.startswith("AWS D1.1 annex"))


@pytest.mark.parametrize(
    ("thickness", "printed"),
    # Table XI-2, high restraint, group F: < 3/8 in 300 F, 3/8 to 3/4 in 320 F.
    [("11/32 in", "300 F"), ("3/8 in", "320 F"), ("9.525 mm", "320 F"), ("0.375 in", "320 F")],
)
def test_d11_annex_gives_an_edge_to_the_band_that_owns_it(thickness: str, printed: str) -> None:
    method = annex(thickness, "H3", "high", C=0.22, Mn=1.4, Si=0.3)
    assert method.printed == f"at least {printed}, group F"


@pytest.mark.parametrize(
    ("thickness", "printed", "meets"),
    # Table XI-2, medium restraint, group D: 3/8-3/4 175, 3/4-1.5 230, 1.5-3 265, > 3 in 300 F.
    [
        ("5/8 in", 175, False),
        ("3/4 in", 230, True),
        ("19.05 mm", 230, True),
        ("1 in", 230, False),
        ("1 1/2 in", 265, True),
        ("38.1 mm", 265, True),
        ("3 in", 265, False),
        ("76.2 mm", 265, False),
        ("3 1/8 in", 300, False),
    ],
)
def test_d11_annex_at_an_edge_that_two_bands_print(
    thickness: str, printed: int, meets: bool
) -> None:
    method = annex(thickness, "H2", "medium", C=0.18, Mn=1.4)
    assert method.printed == f"at least {printed} F, group D"
    assert ("two bands meet here: the higher counts" in method.note) is meets


def test_d11_annex_group_begins_at_its_printed_limit() -> None:
    # Table XI-1, H2: Pcm below 0.28 is group D; 0.21 + 1.4/20 is 0.28, whatever floats make of it.
    assert annex("1 in", "H2", "medium", C=0.21, Mn=1.4).printed == "at least 280 F, group E"


def test_memory_displaces_no_printed_row() -> None:
    found = compare_preheat(material="steel", thickness="3 in", process="SMAW", electrode="E6010")
    own = [m for m in found.methods if m.source_id == "aws-d1-1-2015"]
    # AWS D1.1M:2015 Table 3.3, Category A, over 65 mm, is the row that was read in print.
    assert [(m.printed, m.how_read) for m in own] == [
        ("at least 150 C", "read"),
        ("at least 32 F", "memory"),
    ]
    ranks = [m.how_read == "memory" for m in found.methods if m.method.startswith("table")]
    assert ranks == sorted(ranks), "print stands before memory"


def test_freezing_point_has_no_sign() -> None:
    found = compare_preheat(material="A36", thickness="3/8 in", **ANNEX)
    zero = [m.celsius for m in found.methods if m.printed == "at least 32 F"]
    assert zero
    assert [math.copysign(1.0, celsius) for celsius in zero if celsius is not None] == [1.0]


@pytest.mark.parametrize("code", ["", " - ", "a", "1", "11", "1.1", "-", "2015"])
def test_a_code_is_named_by_more_than_a_letter_or_number(code: str) -> None:
    with pytest.raises(InputError, match=r"code: '.*' is not a document's name"):
        compare_preheat(material="A36", thickness="1 in", code=code)


@pytest.mark.parametrize("code", ["D1", "D1.", "SME", "31.3M", "B31", "AS", "welding code law"])
def test_a_part_of_a_word_names_no_code(code: str) -> None:
    with pytest.raises(InputError, match="code:"):
        compare_preheat(material="A36", thickness="1 in", **ANNEX, code=code)


@pytest.mark.parametrize(
    ("code", "governing"),
    [
        ("D1.1", {"aws-d1-1-2015", "aws-d1-1-2004"}),
        ("aws d1.1:2015", {"aws-d1-1-2015"}),
        ("AWS-D1.1M", {"aws-d1-1-2015", "aws-d1-1-2004"}),
        ("aws-d1-1-2015", {"aws-d1-1-2015"}),
        ("ASMEB31.3", {"asme-b31-3-2010"}),
        ("EN 1011-2", {"en-1011-2"}),
        ("TI 809-26", {"ti-809-26"}),
        ("AWS", {"aws-d1-1-2015", "aws-d1-1-2004"}),
    ],
)
def test_a_code_is_named_in_any_of_its_ways(code: str, governing: set[str]) -> None:
    found = compare_preheat(material="A36", thickness="1 in", **ANNEX, code=code)
    assert {m.source_id for m in found.governing} == governing
