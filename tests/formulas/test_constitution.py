"""Equivalents against the printed coefficients and examples, dilution against weighed metal."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from weldref.errors import InputError
from weldref.formulas.constitution import (
    EQUIVALENTS_NOT_SHOWN,
    NO_FERRITE_NUMBER,
    creq_nieq_window,
    delong_position,
    dilution_mix,
    hammar_svensson_ratio,
    schaeffler_position,
    wrc_1992_position,
)

few = settings(max_examples=50, deadline=None)
SYMBOLS = {
    "Cr": "chromium",
    "Ni": "nickel",
    "C": "carbon",
    "N": "nitrogen",
    "Mn": "manganese",
    "Si": "silicon",
    "Mo": "molybdenum",
    "Nb": "niobium",
    "Ti": "titanium",
    "Cu": "copper",
}


def analysis(**elements: float) -> dict[str, float]:
    return elements


BASE: dict[str, dict[str, float]] = {
    "schaeffler": analysis(Cr=19.0, Ni=9.0, C=0.05, Mn=1.5, Si=0.5, Mo=0.0, Nb=0.0),
    "delong": analysis(Cr=19.0, Ni=9.0, C=0.05, N=0.05, Mn=1.5, Si=0.5, Mo=0.0, Nb=0.0),
    "wrc": analysis(Cr=19.0, Ni=9.0, C=0.05, N=0.05, Mo=0.0, Nb=0.0, Cu=0.0),
    "hammar": analysis(
        Cr=19.0, Ni=9.0, C=0.05, N=0.05, Mn=1.5, Si=0.5, Mo=0.0, Nb=0.0, Ti=0.0, Cu=0.0
    ),
}
FUNCTIONS: dict[str, Any] = {
    "schaeffler": schaeffler_position,
    "delong": delong_position,
    "wrc": wrc_1992_position,
    "hammar": hammar_svensson_ratio,
}


def position(name: str, elements: dict[str, float]) -> Any:
    return FUNCTIONS[name](**{SYMBOLS[element]: value for element, value in elements.items()})


@pytest.mark.parametrize(
    ("name", "element", "creq", "nieq"),
    [
        # bssa-schaeffler, two copies (read).
        ("schaeffler", "Cr", 1.0, 0.0),
        ("schaeffler", "Mo", 1.0, 0.0),
        ("schaeffler", "Si", 1.5, 0.0),
        ("schaeffler", "Nb", 0.5, 0.0),
        ("schaeffler", "Ni", 0.0, 1.0),
        ("schaeffler", "C", 0.0, 30.0),
        ("schaeffler", "Mn", 0.0, 0.5),
        # bssa-schaeffler (read); the nitrogen term in ss-welding-lecture too (read).
        ("delong", "Cr", 1.0, 0.0),
        ("delong", "Mo", 1.0, 0.0),
        ("delong", "Si", 1.5, 0.0),
        ("delong", "Nb", 0.5, 0.0),
        ("delong", "Ni", 0.0, 1.0),
        ("delong", "C", 0.0, 30.0),
        ("delong", "N", 0.0, 30.0),
        ("delong", "Mn", 0.0, 0.5),
        # constitution-memory (memory).
        ("wrc", "Cr", 1.0, 0.0),
        ("wrc", "Mo", 1.0, 0.0),
        ("wrc", "Nb", 0.7, 0.0),
        ("wrc", "Ni", 0.0, 1.0),
        ("wrc", "C", 0.0, 35.0),
        ("wrc", "N", 0.0, 20.0),
        ("wrc", "Cu", 0.0, 0.25),
        ("hammar", "Cr", 1.0, 0.0),
        ("hammar", "Mo", 1.37, 0.0),
        ("hammar", "Si", 1.5, 0.0),
        ("hammar", "Nb", 2.0, 0.0),
        ("hammar", "Ti", 3.0, 0.0),
        ("hammar", "Ni", 0.0, 1.0),
        ("hammar", "Mn", 0.0, 0.31),
        ("hammar", "C", 0.0, 22.0),
        ("hammar", "N", 0.0, 14.2),
        ("hammar", "Cu", 0.0, 1.0),
    ],
)
def test_one_percent_of_an_element_moves_the_point_by_its_coefficient(
    name: str, element: str, creq: float, nieq: float
) -> None:
    before = position(name, BASE[name]).parts
    after = position(name, BASE[name] | {element: BASE[name][element] + 1.0}).parts
    assert after["Creq"] - before["Creq"] == pytest.approx(creq, abs=1e-9)
    assert after["Nieq"] - before["Nieq"] == pytest.approx(nieq, abs=1e-9)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_composition_of_nothing_has_no_ratio(name: str) -> None:
    with pytest.raises(InputError, match="no nickel equivalent"):
        position(name, dict.fromkeys(BASE[name], 0.0))


def test_published_chromium_equivalent() -> None:
    # schaeffler-creq: exam-schaeffler, question read, answer worked out (memory).
    metal = analysis(Cr=18, Ni=9, C=0.05, Mn=1, Si=1, Mo=2, Nb=0.5)
    assert position("schaeffler", metal).parts["Creq"] == 21.75


@pytest.mark.parametrize(
    ("creq", "nieq", "lowest", "highest"),
    [
        # bssa-schaeffler (read) prints the points of 304 and 316 without their analyses: they
        # have to lie between the points of the leanest and richest analysis of the grade.
        # 304: astm-a240-04, Table 1 (secondary).
        (
            18.92,
            10.15,
            analysis(Cr=18.0, Ni=8.0, C=0.0, Mn=0.0, Si=0.0, Mo=0.0, Nb=0.0),
            analysis(Cr=20.0, Ni=10.5, C=0.08, Mn=2.0, Si=0.75, Mo=0.0, Nb=0.0),
        ),
        # 316: astm-a240, Table 1 (memory).
        (
            19.83,
            13.15,
            analysis(Cr=16.0, Ni=10.0, C=0.0, Mn=0.0, Si=0.0, Mo=2.0, Nb=0.0),
            analysis(Cr=18.0, Ni=14.0, C=0.08, Mn=2.0, Si=0.75, Mo=3.0, Nb=0.0),
        ),
    ],
)
def test_printed_points_lie_inside_the_grade(
    creq: float, nieq: float, lowest: dict[str, float], highest: dict[str, float]
) -> None:
    low, high = position("schaeffler", lowest).parts, position("schaeffler", highest).parts
    assert low["Creq"] < creq < high["Creq"]
    assert low["Nieq"] < nieq < high["Nieq"]


@few
@given(
    cr=st.floats(10, 30),
    ni=st.floats(1, 30),
    c=st.floats(0, 0.3),
    n=st.floats(0, 0.3),
    mn=st.floats(0, 5),
    si=st.floats(0, 2),
)
def test_delong_is_schaeffler_with_nitrogen(
    cr: float, ni: float, c: float, n: float, mn: float, si: float
) -> None:
    metal = analysis(Cr=cr, Ni=ni, C=c, Mn=mn, Si=si)
    schaeffler = position("schaeffler", metal)
    delong = position("delong", metal | {"N": n})
    assert delong.parts["Creq"] == schaeffler.parts["Creq"]
    assert delong.parts["Nieq"] - schaeffler.parts["Nieq"] == pytest.approx(30 * n, abs=1e-9)
    assert schaeffler.value == pytest.approx(schaeffler.parts["Creq"] / schaeffler.parts["Nieq"])


@few
@given(more=st.floats(0.01, 3.0))
@pytest.mark.parametrize("name", FUNCTIONS)
def test_chromium_raises_the_ratio_and_nickel_lowers_it(name: str, more: float) -> None:
    base = BASE[name]
    ratio = position(name, base).value
    assert position(name, base | {"Cr": base["Cr"] + more}).value > ratio
    assert position(name, base | {"Ni": base["Ni"] + more}).value < ratio


@pytest.mark.parametrize("name", ["schaeffler", "delong", "wrc"])
def test_every_diagram_says_that_it_predicts_no_ferrite_number(name: str) -> None:
    assert NO_FERRITE_NUMBER in position(name, BASE[name]).caveats


def test_grades() -> None:
    grades = {name: position(name, BASE[name]).grade for name in FUNCTIONS}
    assert grades == {"schaeffler": "read", "delong": "read", "wrc": "memory", "hammar": "memory"}


def test_wrc_1992_names_what_is_outside_its_range() -> None:
    inside = analysis(Cr=20, Ni=10, C=0.03, N=0.06, Mo=2, Mn=1.5, Si=0.5)
    assert position("wrc", inside).caveats == (NO_FERRITE_NUMBER,)
    beyond = position("wrc", analysis(Cr=33, Ni=2, C=0.03, N=0.3, Mo=4, Mn=12, Si=1.5)).caveats
    assert [caveat.split()[0] for caveat in beyond[1:]] == ["Mn", "Mo", "N", "Si", "Creq"]


@pytest.mark.parametrize(
    ("changed", "flagged"),
    # constitution-memory (memory): the range includes its ends.
    [
        ({"Mn": 10.0}, False),
        ({"Mn": 10.1}, True),
        ({"Mo": 3.0}, False),
        ({"Mo": 3.01}, True),
        ({"N": 0.2}, False),
        ({"N": 0.201}, True),
        ({"N": 0.0}, False),
        ({"Si": 1.0}, False),
        ({"Si": 1.01}, True),
        ({"Cr": 17.0}, False),
        ({"Cr": 16.9}, True),
        ({"Cr": 31.0}, False),
        ({"Cr": 31.1}, True),
        ({"Ni": 9.0}, False),
        ({"Ni": 8.9}, True),
        ({"Ni": 18.0}, False),
        ({"Ni": 18.1}, True),
    ],
)
def test_the_ends_of_the_wrc_1992_range(changed: dict[str, float], flagged: bool) -> None:
    centre = analysis(Cr=22.0, Ni=11.0, C=0.0, N=0.0)
    caveats = position("wrc", centre | changed).caveats
    assert [caveat.split()[0] in {*changed, "Creq", "Nieq"} for caveat in caveats[1:]] == (
        [True] if flagged else []
    )


def test_hammar_svensson_is_unsure_between_the_quoted_limits() -> None:
    def caveats(chromium: float) -> tuple[str, ...]:
        metal = analysis(Cr=chromium, Ni=10.0, C=0.0, N=0.0, Mn=0.0, Si=0.0)
        return tuple(position("hammar", metal).caveats)

    assert "1.48 and 1.55" in caveats(14.8)[0]
    assert caveats(14.8) == caveats(15.0) == caveats(15.5)
    assert caveats(14.79) == caveats(15.51) == ()


# ---------------------------------------------------------------- windows of the ratio


def test_published_windows() -> None:
    # fr2-ratio-316l: doe-wsrc-2001-00544, Summary (read).
    result = creq_nieq_window(1.45, "316L")
    assert result.value >= 0
    assert (result.parts["316L low"], result.parts["316L high"]) == (1.42, 1.9)
    assert (result.parts["304L low"], result.parts["304L high"]) == (1.52, 1.9)
    # fr2-mode-310: int-j-metals-2015-213258, abstract (read).
    austenite = creq_nieq_window(1.49, "any")
    assert austenite.value < 0
    assert "below 1.5: austenite mode, crack-prone" in austenite.caveats
    # fr2-mode-308: the same (read).
    assert creq_nieq_window(1.7, "any").value > 0
    assert creq_nieq_window(1.7, "any").caveats == (EQUIVALENTS_NOT_SHOWN,)
    # E312 of the same abstract (read): above 1.9 ferrite mode, low resistance.
    assert "above 1.9: ferrite mode, low resistance" in creq_nieq_window(1.95, "304L").caveats


@pytest.mark.parametrize(
    ("ratio", "grade", "differ"),
    [
        (1.45, "316L", True),
        (1.51, "304L", True),
        (1.51, "316L", False),
        (1.40, "316L", False),
        (1.6, "304L", False),
        (2.0, "316L", False),
    ],
)
def test_disagreement_is_shown(ratio: float, grade: str, differ: bool) -> None:
    caveats = creq_nieq_window(ratio, grade).caveats
    assert any(caveat.startswith("sources differ") for caveat in caveats) is differ


@few
@given(ratio=st.floats(1.0, 2.5), grade=st.sampled_from(["304L", "316L", "any"]))
def test_margin_is_negative_exactly_outside_the_window(ratio: float, grade: str) -> None:
    result = creq_nieq_window(ratio, grade)
    inside = result.parts[f"{grade} low"] <= ratio <= result.parts[f"{grade} high"]
    assert (result.value >= 0) is inside


# ---------------------------------------------------------------- dilution

shares = st.floats(0.0, 0.5)
contents = st.floats(0.0, 40.0)


@few
@given(base_1=contents, base_2=contents, filler=contents, d1=shares, d2=shares)
def test_mixing_is_weighing(
    base_1: float, base_2: float, filler: float, d1: float, d2: float
) -> None:
    grams = [d1 * 1000, d2 * 1000, 1000 - d1 * 1000 - d2 * 1000]
    element = sum(
        mass * content / 100 for mass, content in zip(grams, (base_1, base_2, filler), strict=True)
    )
    mixed = dilution_mix(base_1, base_2, filler, d1, d2)
    assert mixed.value == pytest.approx(100 * element / sum(grams), abs=1e-9)
    assert min(base_1, base_2, filler) - 1e-9 <= mixed.value
    assert mixed.value <= max(base_1, base_2, filler) + 1e-9


@few
@given(d1=shares, d2=shares)
def test_equivalents_mix_like_elements(d1: float, d2: float) -> None:
    steel = analysis(Cr=0.1, Ni=0.1, C=0.15, Mn=1.2, Si=0.3, Mo=0.0, Nb=0.0)
    plate = analysis(Cr=18.5, Ni=9.0, C=0.04, Mn=1.5, Si=0.5, Mo=0.1, Nb=0.0)
    filler = analysis(Cr=23.5, Ni=13.0, C=0.02, Mn=1.8, Si=0.4, Mo=0.2, Nb=0.1)
    mixed = {
        element: dilution_mix(steel[element], plate[element], filler[element], d1, d2).value
        for element in steel
    }
    points = [position("schaeffler", metal).parts for metal in (steel, plate, filler)]
    for axis in ("Creq", "Nieq"):
        first, second, third = (point[axis] for point in points)
        of_points = dilution_mix(first, second, third, d1, d2).value
        assert position("schaeffler", mixed).parts[axis] == pytest.approx(of_points)


def test_the_stated_smaw_split_leaves_70_percent_filler() -> None:
    # engtips-178710 (secondary): each base metal 15 %, filler 70 %.
    assert dilution_mix(0, 0, 20, 0.15, 0.15).parts["filler share"] == pytest.approx(0.70)
    assert dilution_mix(0, 0, 20, 0.15, 0.15).value == pytest.approx(14.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: dilution_mix(0, 18, 23, 0.6, 0.41),
        lambda: position("schaeffler", BASE["schaeffler"] | {"Cr": 70.0, "Ni": 30.0}),
    ],
)
def test_impossible_compositions_are_refused(call: Any) -> None:
    with pytest.raises(InputError):
        call()
