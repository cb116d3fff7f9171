"""What the words of a document mean: processes, metals, fillers and the gas of a pass."""

from __future__ import annotations

import pytest

from weldref.audit.case import Case
from weldref.procedures.model import BaseMetal, Filler, Gas, Pass, Procedure, Text
from weldref.store import Store


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
