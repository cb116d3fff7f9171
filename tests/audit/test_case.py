"""What the words of a document mean: processes, metals, fillers and the gas of a pass."""

from __future__ import annotations

import pytest

from weldref.audit.case import Case
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.procedures.model import (
    BaseMetal,
    Filler,
    Gas,
    Joint,
    Pass,
    Procedure,
    Range,
    Text,
)


@pytest.mark.parametrize(
    ("text", "process"),
    [
        ("GTAW", "GTAW"),
        ("stick", "SMAW"),
        # ISO 4063: 111, 136, 141; 131, 135 and 138 are GMAW with one or another electrode and gas.
        ("111", "SMAW"),
        ("manual (141)", "GTAW"),
        ("131", "GMAW"),
        ("138", "GMAW"),
        ("132", "FCAW-G"),
        ("semi-automatic GMAW", "GMAW"),
        ("by hand", None),
        ("999", None),
    ],
)
def test_a_process_by_letters_name_or_number(text: str, process: str | None, store: Store) -> None:
    assert Case(store, Procedure()).process(text) == process


def metals(store: Store, *given: BaseMetal) -> list[str]:
    return [name for name, _ in Case(store, Procedure(base_metals=given)).metals]


def test_a_metal_by_what_the_document_says_of_it(store: Store) -> None:
    assert metals(store, BaseMetal(spec=Text("A572"), grade=Text("50"))) == ["A572 50"]
    assert metals(store, BaseMetal(grade=Text("304"))) == ["304"]
    assert metals(store, BaseMetal(p_number=Text("P-No. 1"))) == ["P-No.1"]
    assert metals(store, BaseMetal(text=Text("plate of A36, painted"))) == ["A36"]
    assert metals(store, BaseMetal(text=Text("an aluminium tread"))) == ["aluminium"]
    assert metals(store, BaseMetal(text=Text("oak"))) == []
    two = BaseMetal(designations=(Text("A36"), Text("304")))
    assert metals(store, two) == ["A36", "304"]


def test_a_filler_serves_the_passes_of_its_process(store: Store) -> None:
    fillers = (
        Filler(classification=Text("ER70S-2"), process=Text("GTAW")),
        Filler(classification=Text("E7018, E7018-1"), process=Text("SMAW")),
    )
    case = Case(store, Procedure(fillers=fillers))

    def names(weld: Pass | None) -> list[str]:
        return [name for name, _ in case.filler_classes(weld)]

    assert names(None) == ["ER70S-2", "E7018", "E7018-1"]
    assert names(Pass(process=Text("141"))) == ["ER70S-2"]
    assert names(Pass(process=Text("SMAW"))) == ["E7018", "E7018-1"]
    assert names(Pass()) == names(None)
    assert names(Pass(process=Text("SMAW"), filler_class=Text("E6010"))) == ["E6010"]


def test_the_gas_of_a_pass_is_its_own_or_that_of_its_process(store: Store) -> None:
    gases = (
        Gas(role="backing", composition=Text("nitrogen")),
        Gas(role="shielding", composition=Text("C25"), process=Text("GMAW")),
        Gas(role="shielding", composition=Text("argon"), process=Text("GTAW")),
    )
    case = Case(store, Procedure(gases=gases))

    def gas(weld: Pass) -> str | None:
        found = case.gas(weld)
        return found.text if found else None

    assert gas(Pass(process=Text("GTAW"))) == "argon"
    assert gas(Pass(process=Text("135"))) == "C25"
    assert gas(Pass(process=Text("SMAW"))) is None
    assert gas(Pass(process=Text("GMAW"), gas=Text("98 Ar / 2 O2"))) == "98 Ar / 2 O2"


def test_letters_of_a_process_name_the_transfer_mode(store: Store) -> None:
    # AWS letters: GMAW-S is short-circuiting GMAW, GMAW-P pulsed.
    case = Case(store, Procedure(processes=(Text("GMAW-S"),)))
    assert case.process_of(Pass()) == "GMAW"
    assert [mode.text for mode in case.transfer_modes(Pass())] == ["short-circuiting"]
    said = Pass(transfer_mode=Text("spray"))
    assert [mode.text for mode in case.transfer_modes(said)] == ["spray"]


def test_a_size_that_stands_once_serves_the_passes_without_one(store: Store) -> None:
    size, other = Range(0.045, 0.045, "in"), Range(0.125, 0.125, "in")
    fillers = (
        Filler(classification=Text("E71T-1C"), process=Text("FCAW-G"), sizes=(size,)),
        Filler(classification=Text("E7018"), process=Text("SMAW"), sizes=(other,)),
    )
    case = Case(store, Procedure(fillers=fillers))
    assert case.sizes(Pass(process=Text("FCAW-G"))) == (size,)
    assert case.sizes(Pass(process=Text("SMAW"), filler_class=Text("E7018"))) == (other,)
    assert case.sizes(Pass(process=Text("SMAW"), filler_class=Text("E6010"))) == ()
    assert case.sizes(Pass(process=Text("SMAW"), sizes=(size,))) == (size,)


def test_a_range_of_sizes_is_two_situations(store: Store) -> None:
    weld = Pass(process=Text("SMAW"), sizes=(Range(0.125, 0.1875, "in"),))
    situations = Case(store, Procedure(passes=(weld,))).situations(weld)
    assert [situation.size for situation in situations] == ["1/8 in", "3/16 in"]


def test_two_metals_in_one_text(store: Store) -> None:
    assert metals(store, BaseMetal(text=Text("A36 to A572 Gr. 50"))) == ["A36", "A572 50"]
    assert metals(store, BaseMetal(spec=Text("ASTM A572"), grade=Text("Grade 50"))) == ["A572 50"]


@pytest.mark.parametrize(
    ("thickness", "joint", "expected"),
    [
        (Range(4.8, 4.8, "mm"), Joint(weld=Text("fillet")), ("4.8 mm", "fillet")),
        (Range(3, 6, "mm"), Joint(text=Text("groove, see sketch 2")), (None, "groove")),
        (Range(3, 6, "mm"), Joint(text=Text("groove and fillet")), (None, None)),
        (Range(4.8, None, "mm"), Joint(), (None, None)),
    ],
)
def test_thickness_and_joint_as_far_as_they_are_settled(
    thickness: Range, joint: Joint, expected: tuple[str | None, str | None], store: Store
) -> None:
    weld = Pass(process=Text("GTAW"))
    document = Procedure(passes=(weld,), thickness=(thickness,), joint=joint)
    (situation,) = Case(store, document).situations(weld)
    given = situation.given()
    assert (given.get("thickness"), given.get("joint")) == expected


def test_rows_of_another_thickness_do_not_speak(store: Store) -> None:
    def kept(low: float, high: float) -> dict[str, int]:
        weld = Pass(process=Text("GTAW"))
        thick = (Range(low, high, "mm"),)
        case = Case(store, Procedure(passes=(weld,), thickness=thick))
        rows = find(store, describe(store, process="GTAW", material="aluminium"), "current")
        return {
            m.row["window_id"]: m.codes.get("thickness", 0) for m in case.of_its_thickness(rows)
        }

    bands = {
        row["window_id"]: (row["low"], row["high"])
        for row in store.rows(
            "SELECT window_id, thickness_min_si * 1000 AS low, thickness_max_si * 1000 AS high "
            "FROM windows WHERE thickness_min_si IS NOT NULL AND thickness_max_si IS NOT NULL"
        )
    }
    for low, high in ((1.5, 1.7), (3.2, 6.4), (50, 60)):
        for name, code in kept(low, high).items():
            if name in bands:
                least, most = bands[name]
                assert most >= low * 0.98
                assert least <= high * 1.02
                assert (code == 0) == (least * 0.98 <= low and high <= most * 1.02)
    assert set(kept(50, 60)) < set(kept(1.5, 6.4))


def test_the_gas_of_a_document_is_not_for_its_covered_electrodes(store: Store) -> None:
    gases = (Gas(role="shielding", composition=Text("argon")),)
    case = Case(store, Procedure(gases=gases))
    assert case.gas(Pass(process=Text("GTAW"))) == Text("argon")
    assert case.gas(Pass(process=Text("SMAW"))) is None
