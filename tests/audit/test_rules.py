"""Each rule on a small document of our own, once where it speaks and once where it is silent.

The situations are those of audit_findings.csv: notices, reviews and samples that were published.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import weldref.audit
from tests.audit.asked import audit_by
from tests.conftest import read_csv
from weldref.audit.finding import RULES, SEVERITIES, Finding
from weldref.audit.procedure_audit import all_rules, audit_procedure
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.procedures.model import (
    BaseMetal,
    Filler,
    Gas,
    HeatTreatment,
    Joint,
    Pass,
    PreheatStep,
    Procedure,
    Range,
    Slip,
    Text,
)
from weldref.procedures.read import read_bytes

AUDIT = Path(weldref.audit.__file__).parent


def a_pass(process: str, **more: Any) -> Pass:
    return Pass(process=Text(process), label=Text("root"), place="/passes/0", **more)


def a_procedure(process: str, metal: str = "A36", *, weld: dict[str, Any] | None = None,
                **more: Any) -> Procedure:  # fmt: skip
    return Procedure(
        processes=(Text(process),),
        base_metals=(BaseMetal(text=Text(metal)),),
        passes=(a_pass(process, **(weld or {})),),
        **more,
    )


def filler(name: str, form: str | None = None) -> tuple[Filler, ...]:
    return (Filler(classification=Text(name), form=Text(form) if form else None),)


def gas(mixture: str) -> tuple[Gas, ...]:
    return (Gas(role="shielding", composition=Text(mixture)),)


def found(procedure: Procedure, rule: str, **asked: Any) -> list[Finding]:
    return list(audit_by(rule)(procedure, **asked).findings)


def severities(procedure: Procedure, rule: str, **asked: Any) -> list[str]:
    return [f.severity for f in found(procedure, rule, **asked)]


def test_every_rule_names_a_known_source(store: Store) -> None:
    known = {row["source_id"] for row in store.rows("SELECT source_id FROM sources")}
    for rule in all_rules():
        assert not rule.source_id or rule.source_id in known, rule.name
        assert rule.asks.endswith("?")
        assert rule.grade in ("read", "secondary", "memory")


def test_every_sentence_is_said_by_its_rule() -> None:
    code = "".join(path.read_text("utf-8") for path in AUDIT.glob("*.py"))
    texts = read_csv(AUDIT / "findings.csv")
    assert {text["rule"] for text in texts} == {rule.name for rule in all_rules()}
    assert {rule["name"] for rule in read_csv(AUDIT / "rules.csv")} == set(RULES)
    assert {text["severity"] for text in texts} <= set(SEVERITIES)
    assert [text["key"] for text in texts if text["key"] and f'"{text["key"]}"' not in code] == []


@pytest.mark.parametrize(
    ("process", "name", "expected"),
    [
        ("FCAW-G", "ER70S-6", ["contradiction"]),  # "136 with a solid wire"
        ("GMAW", "E71T-1C", ["contradiction"]),
        ("SMAW", "ER70S-6", ["contradiction"]),
        ("GTAW", "E7018", ["contradiction"]),
        ("FCAW-G", "E71T-1C", []),
        ("GMAW", "E70C-6M", []),
        ("SMAW", "E7018-1 H4R", []),
        ("GTAW", "ER316L", []),
        ("SMAW", "XYZ-99", []),  # unknown is not wrong
    ],
)
def test_process_and_filler(process: str, name: str, expected: list[str]) -> None:
    assert severities(a_procedure(process, fillers=filler(name)), "process-and-filler") == expected


def test_a_cored_form_of_a_solid_wire() -> None:
    wrong = a_procedure("GMAW", fillers=filler("ER70S-6", "metal cored"))
    assert severities(wrong, "process-and-filler") == ["contradiction"]
    right = a_procedure("GMAW", fillers=filler("ER70S-6", "solid"))
    assert severities(right, "process-and-filler") == []


@pytest.mark.parametrize(
    ("metal", "name", "expected"),
    [
        # "carbon steel electrode listed for a P-No. 8 stainless"
        ("304L", "E7018", ["contradiction"]),
        ("6061-T6", "ER70S-6", ["contradiction"]),
        ("A36", "ER4043", ["contradiction"]),
        ("A36", "E7018", []),
        ("A36", "ER309L", []),  # dissimilar joints take stainless fillers
        ("304L", "ER308L", []),
        ("6061-T6", "ER5356", []),
    ],
)
def test_filler_and_metal(metal: str, name: str, expected: list[str]) -> None:
    procedure = a_procedure("GTAW", metal, fillers=filler(name))
    assert severities(procedure, "filler-and-metal") == expected


def test_filler_weaker_than_the_base_metal() -> None:
    # ASTM A572 grade 65 has 80 ksi, A36 58 ksi, E7018 70 ksi (all recalled).
    procedure = a_procedure("SMAW", "A572 grade 65", fillers=filler("E7018"))
    assert severities(procedure, "filler-strength") == ["question"]
    assert severities(a_procedure("SMAW", "A36", fillers=filler("E7018")), "filler-strength") == []
    # E7018-1 is a kind of E7018.
    assert severities(a_procedure("SMAW", fillers=filler("E7018-1")), "filler-strength") == []


@pytest.mark.parametrize(
    ("metal", "name", "expected"),
    [
        ("A36", "E71T-11", ["E71T-11"]),  # no strength in the tables
        ("S355J2", "E7018", ["S355J2"]),  # one in ksi, the other in MPa
        ("P91", "E7018", ["9Cr-1Mo-V steel"]),
        ("304L", "ER308L", []),
    ],
)
def test_a_strength_that_the_tables_lack_is_named(
    metal: str, name: str, expected: list[str]
) -> None:
    said = found(a_procedure("SMAW", metal, fillers=filler(name)), "filler-strength")
    assert [(one.severity, one.value) for one in said] == [
        ("not checked", value) for value in expected
    ]


@pytest.mark.parametrize(
    ("process", "metal", "more", "words", "severity"),
    [
        # Helium shields aluminium on DCEN, argon does not (FAA AC 43.13-1B, Table 4-12: AC-HF).
        ("GTAW", "6061-T6", {"polarity": "DCEN", "gas": "argon"}, "want AC", "question"),
        ("GTAW", "6061-T6", {"polarity": "DCEN", "gas": "helium"}, "want AC", None),
        ("GTAW", "6061-T6", {"polarity": "AC", "gas": "argon"}, "want AC", None),
        # AWS A5.1 Table 1: E6010 dcep only; E7018 ac or dcep; E6011 ac or dcep.
        ("SMAW", "A36", {"filler_class": "E6010", "polarity": "AC"}, "DCEP", "contradiction"),
        ("SMAW", "A36", {"filler_class": "E6010", "polarity": "DCEP"}, "DCEP electrode", None),
        ("SMAW", "A36", {"filler_class": "E7018", "polarity": "AC"}, "AC or DCEP", None),
        ("SMAW", "A36", {"filler_class": "E7018", "polarity": "DCEN"}, "AC or DCEP", "question"),
        ("GMAW", "A36", {"filler_class": "ER70S-6", "polarity": "DCEN"}, "DCEP", "question"),
        ("GMAW", "A36", {"filler_class": "ER70S-6", "polarity": "DCEP"}, "DCEP", None),
        ("GMAW", "A36", {"gas": "CO2", "transfer_mode": "spray"}, "no spray", "contradiction"),
        ("GMAW", "A36", {"gas": "CO2", "transfer_mode": "pulsed spray"}, "no spray",
         "contradiction"),
        ("GMAW", "A36", {"gas": "CO2", "transfer_mode": "short-circuiting"}, "no spray", None),
        ("GMAW", "A36", {"gas": "90 Ar / 10 CO2", "transfer_mode": "spray"}, "no spray", None),
        ("FCAW-S", "A36", {"gas": "CO2"}, "run without gas", "question"),
        ("SMAW", "A36", {"filler_class": "E7024", "position": "3F"}, "digit 2", "question"),
        ("SMAW", "A36", {"filler_class": "E7018", "position": "3F"}, "digit 2", None),
        ("FCAW-G", "A36", {"filler_class": "E70T-1C", "position": "4F"}, "flat", "question"),
    ],
)  # fmt: skip
def test_set_up(
    process: str, metal: str, more: dict[str, str], words: str, severity: str | None
) -> None:
    weld = {name: Text(text) for name, text in more.items()}
    said = [f for f in found(a_procedure(process, metal, weld=weld), "set-up") if words in f.what]
    assert [f.severity for f in said] == ([severity] if severity else [])


def test_a_joint_that_names_nothing_known_is_reported() -> None:
    for words, reported in (("QQ77", ["/joint"]), ("T-joint fillet", []), ("n/a", [])):
        (read,) = read_bytes(f"process: SMAW\njoint: {words}\n".encode(), "wps.yaml")
        said = [f for f in found(read, "understood") if "joint" in f.what]
        assert [f.place for f in said] == reported


def test_set_up_points_to_the_setting_and_not_to_the_metal() -> None:
    file = b"process: SMAW\nbase metal: A36\nelectrode: E7018\ninterpass: 900 F\ncurrent: 120 A\n"
    (read,) = read_bytes(file, "wps.yaml")
    assert [(f.source_id, f.place) for f in found(read, "set-up")] == [
        ("common-practice", "/interpass")
    ]


def test_set_up_is_said_once_for_all_passes() -> None:
    rows = tuple(
        Pass(process=Text("SMAW"), label=Text(str(n)), filler_class=Text("E6010"),
             polarity=Text("AC", place=f"/passes/{n}/polarity"))
        for n in (1, 2, 3)
    )  # fmt: skip
    (said,) = (
        f
        for f in found(Procedure(processes=(Text("SMAW"),), passes=rows), "set-up")
        if f.severity == "contradiction"
    )
    assert said.what.startswith("pass 1, pass 2, pass 3: ")
    assert (said.place, len(said.also_at)) == ("/passes/1/polarity", 2)


def test_what_a_printed_rule_says_is_not_said_again() -> None:
    wrong = a_procedure("GTAW", "304L", fillers=filler("E7018"), gases=gas("98 Ar / 2 O2"))
    for rule in ("filler-and-metal", "process-and-filler", "gas-and-process"):
        assert severities(wrong, rule).count("contradiction") == 1
    said = [f.what for f in found(wrong, "set-up")]
    assert not [what for what in said if "steel filler" in what or "active gas" in what]


def test_gas_and_process() -> None:
    # "argon-oxygen mixture specified for GTAW"; "SMAW form used for GMAW so gas is never stated"
    wrong = a_procedure("GTAW", gases=gas("98 Ar / 2 O2"))
    assert severities(wrong, "gas-and-process") == ["contradiction"]
    assert severities(a_procedure("GTAW", gases=gas("argon")), "gas-and-process") == []
    assert severities(a_procedure("GMAW"), "gas-and-process") == ["missing"]
    assert severities(a_procedure("SMAW"), "gas-and-process") == []


def test_progression() -> None:
    vertical = a_procedure("SMAW", positions=(Text("3G"),))
    assert severities(vertical, "progression") == ["missing"]
    said = a_procedure("SMAW", positions=(Text("3G"),), progressions=(Text("uphill"),))
    assert severities(said, "progression") == []
    assert severities(a_procedure("SMAW", positions=(Text("1G"),)), "progression") == []


def test_preheat_box_and_table() -> None:
    steps = (
        PreheatStep(thickness=Range(0.125, 0.75, "in"), minimum=Range(32, None, "F")),
        PreheatStep(thickness=Range(1.5, 2.5, "in"), minimum=Range(150, None, "F")),
    )
    box = (Range(50, None, "F"),)
    procedure = a_procedure("SMAW", preheat_min=box, preheat_by_thickness=steps)
    assert severities(procedure, "preheat-box-and-table") == ["question"]
    high = a_procedure("SMAW", preheat_min=(Range(150, None, "F"),), preheat_by_thickness=steps)
    assert severities(high, "preheat-box-and-table") == []


def test_open_ranges() -> None:
    open_ = a_procedure("SMAW", weld={"current": Range(90, None, "A")})
    assert severities(open_, "open-ranges") == ["question"]
    closed = a_procedure("SMAW", weld={"current": Range(90, 120, "A")})
    assert severities(closed, "open-ranges") == []


def test_open_ends_of_several_passes_are_one_finding() -> None:
    rows = tuple(
        Pass(process=Text("SMAW"), label=Text(str(n)),
             current=Range(90, None, "A", place=f"/passes/{n}"))
        for n in (1, 2)
    )  # fmt: skip
    (said,) = found(Procedure(processes=(Text("SMAW"),), passes=rows), "open-ranges")
    assert said.what == "pass 1, pass 2: current has one end only"
    assert (said.place, said.also_at) == ("/passes/1", ("/passes/2",))


@pytest.mark.parametrize(
    ("process", "weld", "says"),
    [
        ("SMAW", {}, ["no current is stated for root"]),
        ("GMAW", {}, ["no current is stated for root", "no voltage is stated for root"]),
        ("GMAW", {"wire_feed_speed": Range(200, 250, "in/min"), "voltage": Range(18, 20, "V")}, []),
        ("SMAW", {"current": Range(90, 120, "A")}, []),
    ],
)
def test_a_pass_whose_boxes_are_blank(process: str, weld: dict[str, Any], says: list[str]) -> None:
    assert [f.what for f in found(a_procedure(process, weld=weld), "open-ranges")] == says


@pytest.mark.parametrize(
    ("process", "weld", "says"),
    [
        # No row of covered electrodes reaches beyond 34 V and 530 A; none is sold over 8 mm.
        ("SMAW", {"voltage": Range(240, 240, "V")}, "voltage 240 V is far above"),
        ("SMAW", {"current": Range(1200, 1200, "A")}, "current 1200 A is far above"),
        ("SMAW", {"sizes": (Range(32, 32, "mm"),)}, "32 mm is thicker than any"),
        ("SMAW", {"voltage": Range(24, 24, "V")}, None),
        ("SMAW", {"current": Range(120, 120, "A"), "sizes": (Range(3.2, 3.2, "mm"),)}, None),
    ],
)
def test_what_can_hardly_be_meant(process: str, weld: dict[str, Any], says: str | None) -> None:
    document = a_procedure(process, weld=weld)
    said = [f for f in found(document, "plausible") if f.severity == "question"]
    assert [says in f.what for f in said] == ([True] if says else [])
    assert not any("none that is sold" in f.what for f in found(document, "understood"))


def temperatures(preheat: Range, interpass: Range) -> Procedure:
    return a_procedure("SMAW", preheat_min=(preheat,), interpass_max=(interpass,))


def test_temperatures_that_can_hardly_be_meant() -> None:
    # 66 C is 151 F: the preheat is above the interpass temperature, or a letter is wrong.
    mixed = temperatures(Range(66, None, "C"), Range(None, 150, "F"))
    assert "two scales in one document" in found(mixed, "plausible")[0].what
    above = temperatures(Range(400, None, "F"), Range(None, 300, "F"))
    assert any("preheat is above" in f.what for f in found(above, "set-up"))
    hot = temperatures(Range(200, None, "F"), Range(None, 800, "F"))
    assert any("interpass ceiling" in f.what for f in found(hot, "set-up"))
    fine = temperatures(Range(200, None, "F"), Range(None, 400, "F"))
    assert not found(fine, "plausible")
    assert not [f for f in found(fine, "set-up") if f.severity != "note"]


@pytest.mark.parametrize(
    ("given", "expected"),
    [(Range(18, 30, "V"), ["question"]), (Range(18, 21, "V"), [])],
)
def test_a_window_so_wide_that_it_says_nothing(given: Range, expected: list[str]) -> None:
    weld = {"voltage": given, "sizes": (Range(0.035, 0.035, "in"),)}
    assert severities(a_procedure("GMAW", weld=weld), "window-width") == expected
    several = weld | {"sizes": (Range(0.035, 0.062, "in"),)}
    assert severities(a_procedure("GMAW", weld=several), "window-width") == []


def test_code_scope() -> None:
    # Sheet of 10 to 14 gauge welded under a structural code that starts at 1/8 in.
    standards = (Text("AWS D1.1:2015"),)
    thin = a_procedure("GMAW", standards=standards, thickness=(Range(0.0747, 0.25, "in"),))
    assert severities(thin, "code-scope") == ["contradiction"]
    plate = a_procedure("GMAW", standards=standards, thickness=(Range(0.125, 0.75, "in"),))
    assert severities(plate, "code-scope") == []
    metric = a_procedure("GMAW", standards=standards, thickness=(Range(3, 20, "mm"),))
    assert severities(metric, "code-scope") == []


def test_filler_classes_agree() -> None:
    two = a_procedure("SMAW", fillers=filler("E7018"), weld={"filler_class": Text("E6010")})
    assert severities(two, "filler-classes-agree") == ["contradiction"]
    more = a_procedure("SMAW", fillers=filler("E7018-1 H4R"), weld={"filler_class": Text("E7018")})
    assert severities(more, "filler-classes-agree") == []


def test_stated_numbers() -> None:
    # ASME IX QW/QB-422: 304L is P-No. 8; ISO 15614-1:2017 Table A.1: EXX18 is F-number 4.
    for number, words in (("1", ["contradiction"]), ("P-No. 8", []), ("8", [])):
        metal = BaseMetal(text=Text("ASTM A240 Type 304L"), p_number=Text(number))
        document = a_procedure("GTAW")
        made = Procedure(processes=document.processes, passes=document.passes, base_metals=(metal,))
        assert severities(made, "stated-numbers") == words, number
    for number, words in (("3", ["contradiction"]), ("F-No. 4", []), ("3 and 4", [])):
        fillers = (Filler(classification=Text("E7018"), f_number=Text(number)),)
        assert severities(a_procedure("SMAW", fillers=fillers), "stated-numbers") == words, number


def test_submerged_arc_wants_a_flux() -> None:
    bare = a_procedure("SAW", fillers=filler("EM12K"))
    assert severities(bare, "gas-and-process") == ["missing"]
    for one in (Filler(classification=Text("EM12K"), flux=Text("F7A2-EM12K")),
                Filler(classification=Text("F7A2-EM12K"))):  # fmt: skip
        assert severities(a_procedure("SAW", fillers=(one,)), "gas-and-process") == []


def test_tempered_after() -> None:
    # Trade knowledge, recalled: 9Cr-1Mo-V steel is tempered after welding.
    assert severities(a_procedure("SMAW", "P91"), "tempered-after") == ["question"]
    heat = (HeatTreatment(kind="PWHT", temperature=Range(1375, 1425, "F")),)
    treated = a_procedure("SMAW", "P91", heat_treatments=heat)
    assert severities(treated, "tempered-after") == []
    assert severities(a_procedure("SMAW", "A36"), "tempered-after") == []


def test_a_preheat_that_no_table_is_asked_for_is_told() -> None:
    steps = (
        PreheatStep(thickness=Range(None, 1.5, "in"), minimum=Range(50, None, "F")),
        PreheatStep(thickness=Range(1.5, None, "in"), minimum=Range(225, None, "F")),
    )
    told = found(a_procedure("SMAW", preheat_by_thickness=steps), "preheat-by-method")
    assert [f.severity for f in told if "at least 225 F: not compared" in f.what] == ["not checked"]
    bare = a_procedure("SMAW", preheat_min=(Range(50, None, "F"),))
    (one,) = found(bare, "preheat-by-method")
    assert "no greatest thickness is stated" in one.what


def test_thickness_stated() -> None:
    assert severities(a_procedure("GMAW"), "thickness-stated") == ["missing"]
    for given in (Range(3, 12, "mm"), Range(words="unlimited")):
        assert severities(a_procedure("GMAW", thickness=(given,)), "thickness-stated") == []


def test_quenched_and_tempered() -> None:
    loose = a_procedure("SMAW", "A514")
    assert severities(loose, "quenched-and-tempered") == ["question"]
    tight = a_procedure("SMAW", "A514", heat_input=(Range(None, 55, "kJ/in"),))
    assert severities(tight, "quenched-and-tempered") == []
    assert severities(a_procedure("SMAW", "A36"), "quenched-and-tempered") == []


def test_fillet_and_thickness() -> None:
    # ANSI/AISC 360-05, Table J2.4: over 1/4 to 1/2 in asks for 3/16 in.
    small = Joint(fillet_size=Range(0.125, 0.125, "in"))
    enough = Joint(fillet_size=Range(0.1875, 0.1875, "in"))
    plate = (Range(0.375, 0.5, "in"),)
    speaks = found(a_procedure("SMAW", joint=small, thickness=plate), "fillet-and-thickness")
    assert "aisc-360-05-j2" in {f.source_id for f in speaks}
    assert found(a_procedure("SMAW", joint=enough, thickness=plate), "fillet-and-thickness") == []


def test_pass_thickness() -> None:
    # ASME IX QW-403.9: 1/2 in (13 mm) a pass.
    thick = a_procedure("SAW", weld={"thickness": Range(None, 0.625, "in")})
    assert severities(thick, "pass-thickness", standards=["ASME IX"]) == ["question"]
    thin = a_procedure("SAW", weld={"thickness": Range(None, 13, "mm")})
    assert severities(thin, "pass-thickness", standards=["ASME IX"]) == []
    assert severities(thick, "pass-thickness") == []


def test_slips_are_reported_as_printed() -> None:
    slip = Slip("degree sign", "interpass_max[0]", "1500C", "150 degC may be meant", "/interpass")
    (one,) = found(a_procedure("SMAW", slips=(slip,)), "slips")
    assert (one.severity, one.value, one.place) == ("question", "1500C", "/interpass")


# 20 V x 100 A / 2 mm/s = 1 kJ/mm: EN 1011-1:2009, clause 19; k = 0.8 for SMAW and GMAW.
CORNERS = {
    "voltage": Range(20, 20, "V"),
    "current": Range(100, 100, "A"),
    "travel_speed": Range(2, 2, "mm/s"),
}


@pytest.mark.parametrize(
    ("printed", "severity", "words"),
    [
        (1.0, "note", "without thermal efficiency"),
        (0.8, "note", "k = 0.8"),
        (2.5, "contradiction", "does not follow"),
        (0.3, "contradiction", "does not follow"),
    ],
)
def test_heat_input_corners(printed: float, severity: str, words: str) -> None:
    weld = {**CORNERS, "heat_input": Range(printed, printed, "kJ/mm")}
    (one,) = found(a_procedure("GMAW", weld=weld), "heat-input-corners")
    assert one.severity == severity
    assert words in one.what


def test_a_heat_input_narrower_than_its_windows() -> None:
    weld = {**CORNERS, "current": Range(80, 120, "A"), "heat_input": Range(0.9, 1.1, "kJ/mm")}
    (one,) = found(a_procedure("GMAW", weld=weld), "heat-input-corners")
    assert (one.severity, "narrower" in one.what) == ("question", True)


def test_travel_speed_in_the_wrong_unit_shows_in_the_heat_input() -> None:
    # mm/s printed over values in mm/min: the heat input is sixty times too low.
    weld = {**CORNERS, "travel_speed": Range(120, 120, "mm/s"),
            "heat_input": Range(1.0, 1.0, "kJ/mm")}  # fmt: skip
    assert severities(a_procedure("GMAW", weld=weld), "heat-input-corners") == ["contradiction"]


def test_preheat_by_method() -> None:
    cold = a_procedure(
        "SMAW",
        "A36",
        fillers=filler("E7018"),
        thickness=(Range(0.75, 2.5, "in"),),
        preheat_min=(Range(32, None, "F"),),
        standards=(Text("AWS D1.1:2015"),),
    )
    outside = [f for f in found(cold, "preheat-by-method") if f.severity == "outside"]
    assert outside
    # AWS D1.1:2015 Table 3.3, category B, over 1 1/2 to 2 1/2 in: 150 degF.
    assert any(f.source_id.startswith("aws-d1-1") and "150" in f.expected for f in outside)


def test_published_range() -> None:
    # Machinery's Handbook, Table 14: E7018, 1/8 in: 110 to 160 A.
    weld = {"filler_class": Text("E7018"), "sizes": (Range(0.125, 0.125, "in"),),
            "current": Range(90, 150, "A")}  # fmt: skip
    (one,) = [f for f in found(a_procedure("SMAW", weld=weld), "published-range")
              if f.severity != "note"]  # fmt: skip
    assert (one.severity, one.source_id) == ("outside", "machinerys-handbook-31")
    assert "110 to 160 A" in one.expected
    weld["current"] = Range(115, 150, "A")
    notes = found(a_procedure("SMAW", weld=weld), "published-range")
    assert {f.severity for f in notes} == {"note"}


def test_completeness_names_the_standard() -> None:
    procedure = a_procedure("SMAW")
    assert severities(procedure, "completeness") == []
    assert "missing" in severities(procedure, "completeness", standards=["15609-1"])
    with pytest.raises(InputError, match="standard"):
        audit_procedure(procedure, standards=["ISO 9001"])


def missing(process: str, mode: str, **more: Any) -> list[str]:
    document = a_procedure(process, modes=(Text(mode),), **more)
    said = found(document, "completeness", standards=["15609-1"])
    return [f.what.removeprefix("ISO 15609-1: ").removesuffix(" is not stated") for f in said]


def test_wire_feed_and_travel_speed_are_asked_of_mechanised_work() -> None:
    # ISO 15609-1:2019, 4.4.9 and 4.4.10: mechanised and automatic; 4.4.17 heat input if specified.
    for mode, asked in (("semiautomatic", False), ("manual", False), ("automatic", True)):
        names = missing("GMAW", mode)
        assert ("wire feed speed of each pass" in names) == asked
        assert ("travel speed of each pass" in names) == asked
        assert "heat input" not in names
        assert {"transfer mode", "distance of contact tip to workpiece"} <= set(names)
    # 4.5.1: of covered electrodes the run-out length or the travel speed.
    assert "run-out length or travel speed of each pass" in missing("SMAW", "manual")
    weld = {"run_out_length": Range(100, 120, "mm")}
    assert "run-out length or travel speed of each pass" not in missing("SMAW", "manual", weld=weld)
    assert "voltage of each pass" not in missing("SMAW", "manual")


def test_the_weld_is_asked_for_before_the_paper() -> None:
    document = a_procedure("SMAW")
    said = [
        f.what.removeprefix("ASME IX: ").removesuffix(" is not stated")
        for f in found(document, "completeness", standards=["ASME IX"])
        if f.severity == "missing"
    ]
    weld = ["filler metal class", "filler metal size", "position", "minimum preheat"]
    paper = ["identification number", "revision", "organization", "author or approval", "date"]
    order = [*weld, *paper]
    assert [name for name in said if name in order] == order
    assert said[-1] == "date"


@pytest.mark.parametrize(
    ("process", "mode", "claim", "expected"),
    [
        ("GMAW", "short-circuiting", "prequalified", ["contradiction"]),  # D1.1:2000, 3.2.2
        ("GTAW", None, "Prequalified", ["contradiction"]),
        ("GMAW", "spray", "prequalified", []),  # 3.2.1
        ("SMAW", None, "yes", []),
        ("GTAW", None, "qualified by test", []),
        ("GTAW", None, "not prequalified", []),
        ("GTAW", None, None, []),
    ],
)
def test_prequalified_process(
    process: str, mode: str | None, claim: str | None, expected: list[str]
) -> None:
    document = a_procedure(
        process,
        standards=(Text("AWS D1.1"),),
        prequalified=Text(claim) if claim else None,
        transfer_modes=(Text(mode),) if mode else (),
    )
    assert severities(document, "prequalified-process") == expected


def test_an_empty_document_is_unknown_not_an_error() -> None:
    report = audit_procedure(Procedure())
    assert {f.rule for f in report.findings} == {"thickness-stated", "understood"}


def test_findings_come_gravest_first() -> None:
    procedure = a_procedure("GTAW", "304L", gases=gas("98 Ar / 2 O2"), fillers=filler("E7018"),
                            positions=(Text("3G"),))  # fmt: skip
    order = [list(SEVERITIES).index(f.severity) for f in audit_procedure(procedure).findings]
    assert order == sorted(order)


def test_what_turns_on_one_unstated_condition_is_one_question() -> None:
    # Machinery's Handbook, Table 14: E7018 1/8 in 110 to 160 A, 5/32 in 150 to 215 A.
    def a_row(amps: float, number: int) -> Pass:
        return Pass(process=Text("SMAW"), label=Text(str(number)), filler_class=Text("E7018"),
                    current=Range(amps, amps, "A", place=f"/passes/{number}"))  # fmt: skip

    document = Procedure(
        processes=(Text("SMAW"),),
        base_metals=(BaseMetal(text=Text("A36")),),
        passes=(a_row(140, 1), a_row(190, 2)),
    )
    (asked,) = found(document, "published-range")
    assert asked.severity == "question"
    assert "depends on the diameter" in asked.what
    assert "current 140 A of pass 1; current 190 A of pass 2" in asked.what
    assert (asked.place, asked.also_at) == ("/passes/1", ("/passes/2",))
    assert "1/8 in: inside" in asked.next_step


def test_a_row_for_one_thickness_fails_no_other() -> None:
    # Printed for aluminium by GTAW at 1.6 mm and other thicknesses: none of them is this plate's.
    document = a_procedure("GTAW", "aluminium", weld={"current": Range(250, 250, "A")})
    assert "outside" not in severities(document, "published-range")


@pytest.mark.parametrize(
    ("code", "expected"),
    [("AWS D1.1", "outside"), ("AWS D1.5", "not checked"), (None, "question")],
)
def test_rows_of_a_code_speak_where_it_is_named(code: str | None, expected: str) -> None:
    # AWS D1.1:2015 Table 3.3: A36 with E7018 over 1 1/2 to 2 1/2 in: 150 F.
    document = a_procedure(
        "SMAW", "A36", fillers=filler("E7018"), thickness=(Range(0.75, 2.5, "in"),),
        preheat_min=(Range(32, None, "F"),), standards=(Text(code),) if code else (),
    )  # fmt: skip
    said = found(document, "preheat-by-method")
    assert expected in [f.severity for f in said]
    if code == "AWS D1.5":
        assert not any(f.source_id.startswith("aws-d1-1") for f in said)


def test_p91_at_room_temperature_is_not_clean() -> None:
    document = a_procedure(
        "SMAW", "P91", fillers=filler("E7018"), thickness=(Range(1, 1, "in"),),
        preheat_min=(Range(20, None, "C"),),
        weld={"filler_class": Text("E7018"), "sizes": (Range(0.125, 0.125, "in"),),
              "current": Range(115, 150, "A")},
    )  # fmt: skip
    report = audit_procedure(document)
    assert report.outcome == "findings"
    assert any(f.rule == "preheat-by-method" and f.severity != "note" for f in report.findings)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"base_metals": (BaseMetal(text=Text("unobtainium")),)}, "base metal 'unobtainium'"),
        ({"fillers": filler("XYZ-99")}, "filler metal 'XYZ-99'"),
        ({"gases": gas("swamp air")}, "gas 'swamp air'"),
        ({"positions": (Text("upside down"),)}, "position 'upside down'"),
        ({"thickness": (Range(1, 2, "furlong"),)}, "'1 to 2 furlong' is not in a known unit"),
        ({"polarities": (Text("sideways"),)}, "polarity 'sideways'"),
    ],
)
def test_what_is_not_understood_is_told_once(more: dict[str, Any], says: str) -> None:
    weld = {"passes": (Pass(process=Text("SMAW")),)}
    document = Procedure(**{"processes": (Text("SMAW"),), **weld, **more})
    (said,) = found(document, "understood")
    assert (said.severity, says in said.what) == ("not checked", True), said.what
    assert audit_procedure(document).outcome != "no findings"


def test_what_is_said_several_times_and_for_no_pass_is_told() -> None:
    two = Procedure(
        processes=(Text("SMAW"),), passes=(Pass(process=Text("SMAW"), label=Text("root")),),
        polarities=(Text("DCEP"), Text("DCEN")),
        interpass_max=(Range(None, 150, "C"), Range(None, 250, "C")),
    )  # fmt: skip
    said = [f.what for f in found(two, "understood") if "which holds for root" in f.what]
    assert len(said) == 2
    of_process = replace(
        two, polarities=(Text("DCEP", of="SMAW"), Text("DCEN", of="GTAW")), interpass_max=()
    )
    assert found(of_process, "understood") == []
    assert "no pass is stated" in found(Procedure(), "understood")[0].what


def test_each_class_of_a_pass_is_compared() -> None:
    weld = {"filler_class": Text("E6010; E7018"), "polarity": Text("AC")}
    (told,) = found(a_procedure("SMAW", weld=weld), "set-up")
    assert "E6010 is a DCEP electrode" in told.what


def test_listed_positions_are_a_range_of_work() -> None:
    weld = {"position": Text("F; H; V; OH"), "progression": Text("up")}
    document = a_procedure("SMAW", fillers=filler("E7018"), weld=weld)
    report = audit_procedure(document)
    assert not [f for f in report.findings if f.severity == "contradiction"]
    (said,) = found(document, "understood")
    assert (said.severity, said.value) == ("not checked", "flat, horizontal, vertical, overhead")


def test_several_transfer_modes_of_a_pass_are_named() -> None:
    modes = (Text("spray"), Text("short-circuiting"))
    both = a_procedure("GMAW", fillers=filler("ER70S-6"), transfer_modes=modes)
    (said,) = found(both, "understood")
    assert said.what.startswith("transfer mode spray, short-circuiting: several for root: ")
    own = replace(both, passes=(a_pass("GMAW", transfer_mode=Text("spray")),))
    assert found(own, "understood") == []


def test_rows_that_share_a_label_keep_all_their_corners() -> None:
    # 20 V x 90 A / 3 mm/s = 0.6 kJ/mm; 25 V x 300 A / 2 mm/s = 3.75 kJ/mm.
    def a_row(volts: float, amps: float, speed: float, **more: Any) -> Pass:
        return Pass(process=Text("SMAW"), label=Text("all passes"),
                    voltage=Range(volts, volts, "V"), current=Range(amps, amps, "A"),
                    travel_speed=Range(speed, speed, "mm/s"), **more)  # fmt: skip

    rows = (a_row(20, 90, 3), a_row(25, 300, 2))
    document = Procedure(processes=(Text("SMAW"),), passes=rows, thickness=(Range(3, 20, "mm"),))
    (said,) = found(document, "heat-input-corners")
    assert "0.6 to 3.75 kJ/mm" in said.what
    stated = Procedure(processes=(Text("SMAW"),), passes=rows,
                       heat_input=(Range(0.6, 1.36, "kJ/mm"),))  # fmt: skip
    (narrow,) = found(stated, "heat-input-corners")
    assert (narrow.severity, narrow.expected) == ("question", "0.6 to 3.75 kJ/mm without k")


def test_a_line_is_in_the_unit_system_of_the_document() -> None:
    weld = {"filler_class": Text("E7018"), "sizes": (Range(3.2, 3.2, "mm"),), **CORNERS}
    metric = a_procedure("SMAW", weld=weld, thickness=(Range(6, 6, "mm"),))
    assert "kJ/mm" in str(found(metric, "heat-input-corners"))
    inches = a_procedure("SMAW", weld=weld, thickness=(Range(0.25, 0.25, "in"),))
    assert "kJ/in" in str(found(inches, "heat-input-corners"))


@pytest.mark.parametrize(
    ("processes", "process", "says"),
    [
        (("by hand",), "by hand", "'by hand' is not understood"),
        (("SMAW", "GMAW"), None, "no process (SMAW or GMAW) is stated"),
        ((), None, "no process is stated"),
    ],
)
def test_without_a_process_nothing_is_compared(
    processes: tuple[str, ...], process: str | None, says: str
) -> None:
    weld = Pass(process=Text(process) if process else None, current=Range(900, 900, "A"))
    document = Procedure(processes=tuple(map(Text, processes)), passes=(weld,))
    (said,) = found(document, "understood")
    assert (said.severity, says in said.what) == ("not checked", True), said.what
    assert found(document, "published-range") == []


def test_a_flow_of_the_document_is_for_the_processes_that_take_gas() -> None:
    flow = (Gas(role="shielding", composition=Text("argon"), flow=Range(20, 20, "ft3/h")),)
    assert "gas flow" not in str(found(a_procedure("SMAW", gases=flow), "published-range"))
    assert "gas flow" in str(found(a_procedure("GTAW", gases=flow), "published-range"))


@pytest.mark.parametrize(
    ("position", "expected"), [("PF", []), ("PG", []), ("3G up", []), ("3G", ["missing"])]
)
def test_progression_of_the_pass_itself(position: str, expected: list[str]) -> None:
    # ISO 6947: PF is vertical upwards and PG vertical downwards.
    document = a_procedure("SMAW", weld={"position": Text(position)})
    assert severities(document, "progression") == expected
    told = found(document, "completeness", standards=("ASME IX",))
    assert any("progression" in f.what for f in told) == bool(expected)


def test_a_printed_maximum_above_the_corners_contradicts_nothing() -> None:
    windows = {
        "voltage": Range(24, 28, "V"), "current": Range(180, 220, "A"),
        "travel_speed": Range(300, 400, "mm/min"),
    }  # fmt: skip
    for most, expected in ((2.5, "note"), (0.9, "question")):
        weld = windows | {"heat_input": Range(None, most, "kJ/mm")}
        assert severities(a_procedure("GMAW", weld=weld), "heat-input-corners") == [expected]


def test_preheat_by_every_process_of_the_document() -> None:
    # AWS D1.1:2015 Table 3.3: A36 over 1 1/2 to 2 1/2 in with other than low-hydrogen SMAW
    # electrodes 225 F; GMAW takes the lower line.
    for order in (("SMAW", "GMAW"), ("GMAW", "SMAW")):
        document = Procedure(
            processes=tuple(map(Text, order)),
            base_metals=(BaseMetal(text=Text("A36")),),
            fillers=(
                Filler(classification=Text("E6010"), process=Text("SMAW")),
                Filler(classification=Text("ER70S-6"), process=Text("GMAW")),
            ),
            passes=tuple(a_pass(process) for process in order),
            thickness=(Range(2, 2, "in"),),
            preheat_min=(Range(150, None, "F"),),
            standards=(Text("AWS D1.1"),),
        )
        (said,) = (f for f in found(document, "preheat-by-method") if f.severity == "outside")
        assert said.expected == "at least 225 F"


def test_a_metal_that_no_table_holds_is_said_to_be_left_out() -> None:
    plate: dict[str, Any] = {
        "thickness": (Range(1, 1, "in"),), "preheat_min": (Range(50, None, "F"),),
    }  # fmt: skip
    steel = a_procedure("SMAW", "A514", fillers=filler("E7018"), **plate)
    assert "no tensile strength of A514" in found(steel, "filler-strength")[0].what
    tread = a_procedure("GTAW", "6061", **plate)
    (said,) = found(tread, "preheat-by-method")
    assert (said.severity, "the tables hold nothing" in said.what) == ("not checked", True)


@pytest.mark.parametrize("name", ["AWS D1.10", "AWS D11.2", "1", "e", ""])
def test_another_standard_is_not_taken_for_a_known_one(name: str) -> None:
    with pytest.raises(InputError, match="is not known"):
        audit_procedure(a_procedure("SMAW"), standards=(name,))


def test_where_no_code_is_named_tables_that_differ_only_ask() -> None:
    # A36, 1 in, FCAW at 70 F: AWS D1.1:2015 Table 3.3 asks for 50 F, B31.3 Table 330.1.1 for 175 F.
    plate: dict[str, Any] = {
        "thickness": (Range(1, 1, "in"),), "preheat_min": (Range(70, None, "F"),),
    }  # fmt: skip
    nameless = a_procedure("FCAW-G", **plate)
    assert severities(nameless, "preheat-by-method") == ["question"]
    piping = a_procedure("FCAW-G", standards=(Text("ASME B31.3"),), **plate)
    (said,) = found(piping, "preheat-by-method")
    assert (said.severity, said.grade, "175 F" in said.expected) == ("outside", "read", True)
    structure = a_procedure("FCAW-G", standards=(Text("AWS D1.1"),), **plate)
    assert severities(structure, "preheat-by-method") == ["note"]


def test_an_unknown_filler_does_not_silence_the_tables_of_preheat() -> None:
    document = a_procedure(
        "FCAW-G", fillers=filler("T 46 4 P M21 1 H5"), thickness=(Range(2, 2, "in"),),
        preheat_min=(Range(32, None, "F"),),
    )  # fmt: skip
    assert "ask nothing" not in str(found(document, "preheat-by-method"))


def test_not_applicable_is_no_term() -> None:
    document = a_procedure("FCAW-S", weld={"transfer_mode": Text("N/A")})
    assert severities(document, "understood") == []
