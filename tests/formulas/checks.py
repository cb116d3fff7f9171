"""What each formula was checked against, as one list: tested, and shown on the formulas' page.

``published`` compares with an answer that somebody else printed, or with constants that they
printed. ``library`` compares with a reference library that works the problem out another way.
``identity`` compares with another formula of the project or with the same equation in other
units: that finds a slip, and says nothing about the equation. ``none`` repeats the equation by
hand. A recalled answer is no outside check and is not listed as one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import partial
from typing import Any, Literal

from scipy import integrate, optimize
from shapely import LineString, Point, Polygon, box, union_all

from tests.formulas import reference as ref
from tests.formulas.reference import examples, si
from weldref.calculate.by_name import all_formulas

Kind = Literal["published", "library", "identity", "none"]
EXACT = 1e-9
"""Relative difference up to which two ways to compute the same number are equal."""


@dataclass(frozen=True, slots=True)
class Check:
    """One comparison of a formula.

    Parameters
    ----------
    formula, kind
        Name of the formula; what sort of comparison this is.
    against
        The place in the source, what the library computes, or a remark.
    got, want
        The value of the formula and the value it is compared with, in `unit`. With the unit "%"
        the difference is relative and in percent.
    tolerance
        How far the difference may be from the one stated, in `unit`.
    source_id, library
        The published source, or the library.
    stated
        A difference that is known, and shown with the formula.
    example_id
        The row of the worked examples that holds the printed answer.
    """

    formula: str
    kind: Kind
    against: str
    got: Callable[[], float]
    want: Callable[[], float] | float
    tolerance: float
    unit: str
    source_id: str = ""
    library: str = ""
    stated: float = 0.0
    example_id: str = ""

    def compare(self) -> Comparison:
        """Work both values out."""
        want = self.want() if callable(self.want) else self.want
        return Comparison(self, float(self.got()), float(want))


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both values of a check."""

    check: Check
    got: float
    want: float

    @property
    def difference(self) -> float:
        """The value of the formula less the other, in the unit of the check."""
        if self.check.unit == "%":
            return 100.0 * (self.got / self.want - 1.0)
        return self.got - self.want

    @property
    def equal(self) -> bool:
        """Whether only rounding separates them."""
        return math.isclose(self.got, self.want, rel_tol=EXACT)

    @property
    def holds(self) -> bool:
        """Whether the difference is the one stated, within the tolerance."""
        rounding = EXACT * (100.0 if self.check.unit == "%" else abs(self.want))
        return abs(self.difference - self.check.stated) <= max(self.check.tolerance, rounding)


def two_digits(value: float) -> str:
    """Round to two digits, halves up, so that the last bit of a sum does not decide.

    >>> two_digits(0.0345), two_digits(0.0345 + 1e-15), two_digits(-7.503), two_digits(20.26)
    ('+0.035', '+0.035', '-7.5', '+20')
    """
    exact = Decimal(f"{value:.9g}")
    rounded = exact.quantize(Decimal(1).scaleb(exact.adjusted() - 1), ROUND_HALF_UP)
    return f"{float(rounded):+g}"


Inputs = Mapping[str, Any]


def value(name: str, part: str = "", per: float = 1.0, /, **inputs: Any) -> float:
    """Compute a formula: its result or one of its parts, counted in a unit that is `per` in SI."""
    result = all_formulas()[name].function(**inputs)
    return (result.parts[part] if part else result.value) / per


def printed(
    formula: str, example_id: str, read: Callable[[Inputs], Inputs], key: str, unit: str,
    per: float = 1.0, *, part: str = "", place: str = "", **more: Any,
) -> Check:  # fmt: skip
    """Compare with a row of the worked examples, within its printed tolerance."""
    row = examples()[example_id]
    return Check(
        formula,
        "published",
        place or row.locator,
        partial(value, formula, part, per, **read(row.inputs), **more),
        float(row.expected[key]),
        row.tolerance,
        unit,
        row.source_id,
        example_id=example_id,
    )


def of_source(
    formula: str, source_id: str, place: str, want: Callable[[], float] | float, tolerance: float,
    unit: str, per: float = 1.0, *, part: str = "", stated: float = 0.0, **inputs: Any,
) -> Check:  # fmt: skip
    """Compare with a figure of a source, or with what follows from its figures."""
    got = partial(value, formula, part, per, **inputs)
    return Check(
        formula, "published", place, got, want, tolerance, unit, source_id, stated=stated
    )  # fmt: skip


def by_library(
    formula: str, library: str, against: str, want: Callable[[], float], tolerance: float,
    unit: str = "%", per: float = 1.0, *, stated: float = 0.0, **inputs: Any,
) -> Check:  # fmt: skip
    """Compare with a library that works the same problem out another way."""
    got = partial(value, formula, "", per, **inputs)
    return Check(
        formula, "library", against, got, want, tolerance, unit, library=library, stated=stated
    )  # fmt: skip


def related(formula: str, against: str, want: Callable[[], float] | float, **inputs: Any) -> Check:
    """Compare with another formula, or with the same equation in other units."""
    return Check(formula, "identity", against, partial(value, formula, **inputs), want, 0.0, "%")


def own(formula: str, by_hand: float, remark: str = "", **inputs: Any) -> Check:
    """Repeat the equation by hand: not an outside check."""
    return Check(formula, "none", remark, partial(value, formula, **inputs), by_hand, 0.0, "")


# ---------------------------------------------------------------- heat input

KJ_MM = 1e6


def _heat() -> list[Check]:
    by_rule = "heat-input-by-rule"
    volts = {"form": "volts-amperes", "waveform": "not-controlled"}
    measured = {"rule": "navsea-248", "form": "energy", "waveform": "not-controlled"}
    en = {"rule": "en-1011-1", "process": "136"} | volts

    def page(i: Inputs) -> Inputs:
        return {"voltage": i["V"], "current": i["A"], "travel_speed": i["travel_mm_s"] / 1e3}

    def abstract(i: Inputs) -> Inputs:
        speed = i["travel_speed_mm_s"] / 1e3
        return {"voltage": i["voltage_V"], "current": i["current_A"], "travel_speed": speed}

    def inch(i: Inputs) -> Inputs:
        return {"energy": float(i["heat_input_J_per_in"]), "bead_length": si(1, "inch")}

    def run(i: Inputs) -> Inputs:
        speed = si(i["travel_speed"], i["travel_speed_unit"])
        return {"voltage": i["voltage_V"], "current": i["current_A"], "travel_speed": speed}

    def net(i: Inputs) -> Inputs:
        return run(i) | {"efficiency": i["efficiency"]}

    checks = [
        printed("arc-energy", "hi-01", page, "kJ_per_mm", "kJ/mm", KJ_MM),
        printed("arc-energy", "iit-arc-energy", page, "kJ_per_mm", "kJ/mm", KJ_MM),
        printed("net-heat-input", "iit-net-heat", net, "heat_input", "J/mm", 1e3),
        printed("arc-energy", "gf-01", abstract, "heat_input_J_mm", "J/mm", 1e3),
        printed(by_rule, "hi-01", page, "kJ_per_mm", "kJ/mm", KJ_MM, rule="asme-ix", **volts),
        related(
            "arc-energy-from-power", "U I / v of a steady arc", 25.0 * 200.0 / (0.1 / 20.0),
            power=25.0 * 200.0, arc_time=20.0, bead_length=0.1,
        ),
    ]  # fmt: skip
    pairs = "limits of the runs, printed in J/in and in kJ/mm"
    for limit in ("root-max", "root-min", "hot-min", "fill-max", "cap-max", "cap-min"):
        checks += [
            printed(
                formula, f"pr-conv-{limit}", inch, "heat_input_kJ_per_mm", "kJ/mm", KJ_MM,
                place=pairs, **more,
            )
            for formula, more in (("arc-energy-from-energy", {}), (by_rule, measured))
        ]  # fmt: skip
    windows = "limits of root, filling and capping runs, k = 0.8"
    named = {"heat-input": {"process": "136"}, "net-heat-input": {"efficiency": 0.8}, by_rule: en}
    for limit in ("root-max", "root-min", "fill-max", "fill-min", "cap-max"):
        checks += [
            printed(
                formula, f"pr-hi-k-{limit}", run, "heat_input", "kJ/mm", KJ_MM,
                place=windows, **more,
            )
            for formula, more in named.items()
        ]  # fmt: skip
    return checks


# ---------------------------------------------------------------- carbon equivalents

ELEMENTS = {
    "C": "carbon", "Si": "silicon", "Mn": "manganese", "Cu": "copper", "Ni": "nickel",
    "Cr": "chromium", "Mo": "molybdenum", "V": "vanadium", "Nb": "niobium", "B": "boron",
    "N": "nitrogen", "Ti": "titanium", "S": "sulfur", "P": "phosphorus", "Al": "aluminium",
}  # fmt: skip


def analysis(contents: Inputs) -> dict[str, float]:
    """Name the elements of an analysis as the formulas do."""
    return {ELEMENTS[key]: content for key, content in contents.items() if key in ELEMENTS}


def _carbon() -> list[Check]:
    sheet = examples()["csa-ce-01"]
    ce, factor = "carbon-equivalent-csa", float(sheet.inputs["f"])
    of_sheet = partial(value, "carbon-equivalent-cen", **analysis(sheet.inputs))
    steel = {"C": 0.16, "Mn": 1.35, "Cr": 0.2, "Mo": 0.05, "V": 0.04, "Ni": 0.3, "Cu": 0.25}
    steel |= {"Si": 0.36, "B": 0.0005}

    def used(letters: str) -> dict[str, float]:
        return analysis({letter: steel[letter] for letter in letters.split()})

    return [
        printed(
            ce, "csa-ce-01", analysis, "CE", "mass %", place="whole sheet, factor 1",
            compliance_factor=factor,
        ),
        Check(
            "carbon-equivalent-cen",
            "published",
            "whole sheet: the bracket only, A(C) is recalled",
            lambda: (of_sheet() - sheet.inputs["C"]) / of_sheet("A(C)"),
            float(sheet.expected["CE"]) - sheet.inputs["C"],
            sheet.tolerance,
            "mass %",
            sheet.source_id,
            example_id="csa-ce-01",
        ),
        own(
            "carbon-equivalent-iiw",
            0.16 + 1.35 / 6 + (0.2 + 0.05 + 0.04) / 5 + (0.3 + 0.25) / 15,
            **used("C Mn Cr Mo V Ni Cu"),
        ),
        own(
            "carbon-equivalent-aws",
            0.16 + (1.35 + 0.36) / 6 + (0.2 + 0.05 + 0.04) / 5 + (0.3 + 0.25) / 15,
            "its silicon term is in twi-faq-ce too",
            **used("C Mn Si Cr Mo V Ni Cu"),
        ),
        own(
            "carbon-equivalent-pcm",
            0.16 + 0.36 / 30 + (1.35 + 0.25 + 0.2) / 20 + 0.3 / 60 + 0.05 / 15 + 0.04 / 10
            + 5 * 0.0005,
            **used("C Si Mn Cu Cr Ni Mo V B"),
        ),
        own(
            "carbon-equivalent-cet",
            0.16 + (1.35 + 0.05) / 10 + (0.2 + 0.25) / 20 + 0.3 / 40,
            **used("C Mn Mo Cr Cu Ni"),
        ),
        own(
            "carbon-equivalent-wes",
            0.16 + 1.35 / 6 + 0.36 / 24 + 0.3 / 40 + 0.2 / 5 + 0.05 / 4 + 0.04 / 14,
            **used("C Mn Si Ni Cr Mo V"),
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- preheat


def _preheat() -> list[Check]:
    cet, depth, hydrogen, heat = 0.4, 50.0, 3.0, 1.5
    sew_088 = 700 * cet + 160 * math.tanh(depth / 35) + 62 * hydrogen**0.35
    return [
        of_source(
            "preheat-en1011-method-b", "stahlbau-textbook-368",
            "p. 368, the constants of SEW 088 Beiblatt 1",
            sew_088 + (53 * cet - 32) * heat - 330, 0.01, "degC", stated=0.8,
            cet=cet, thickness=depth / 1e3, hydrogen=hydrogen, heat_input=heat * KJ_MM,
        ),
        own("governing-cet", 0.27 + 0.03, parent_cet=0.28, weld_cet=0.27),
        own(
            "susceptibility-index",
            12 * 0.28 + 1.0,
            "group D for H2 and Pcm under 0.28 is quoted, the index range of D recalled",
            pcm=0.28, hydrogen_level="H2",
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- cooling

COLD = {"initial_temperature": 20.0}
FROM_800 = {"upper_temperature": 800.0, "lower_temperature": 500.0} | COLD
AT_550 = {"temperature": 550.0} | COLD
HEAT = {"net_heat_input": 1e6}
FAST = 0.08


def _thick(ahead: float) -> float:
    return ref.thick_plate_rise(5000.0, 0.005, ahead)


def _thin(ahead: float) -> float:
    return ref.thin_plate_rise(1e6 * FAST, FAST, 0.006, ahead)


def _fields() -> list[Check]:
    arc = {"power": 1500.0, "travel_speed": 0.005, "initial_temperature": 0.0} | ref.STEEL
    source = "quadrature of the moving source over time, three places"
    checks = []
    for x, y, z in ((-0.020, 0.004, 0.003), (0.003, 0.0, 0.0), (-0.150, 0.020, 0.010)):
        thick = partial(ref.thick_plate_rise, 1500.0, 0.005, x, math.hypot(y, z))
        thin = partial(ref.thin_plate_rise, 1500.0, 0.005, 0.003, x, y)
        at = {"ahead": x, "aside": y} | arc
        checks += [
            by_library("rosenthal-thick-plate", "scipy", source, thick, 1e-6, depth=z, **at),
            by_library("rosenthal-thin-plate", "scipy", source, thin, 1e-6, thickness=0.003, **at),
        ]
    line = 720e3 / 0.005
    plate = {"net_heat_input": 720e3, "thickness": 0.005, "melting_temperature": 1510.0}
    plate |= {"initial_temperature": 25.0, "heat_capacity": ref.STEEL["heat_capacity"]}
    checks += [
        by_library(
            "peak-temperature-thin-plate", "scipy",
            "maximum over time beside an instantaneous line of heat, 3 mm from the fused zone",
            lambda: 25.0 + ref.hottest(line, ref.aside_of(line, 1485.0) + 0.003), 1e-4, "degC",
            distance=0.003, **plate,
        ),
        by_library(
            "heated-zone-width", "scipy",
            "maximum over time beside an instantaneous line of heat, from 1510 to 730 degC",
            lambda: 1e3 * (ref.aside_of(line, 705.0) - ref.aside_of(line, 1485.0)), 1e-4, "mm",
            1e-3, temperature=730.0, **plate,
        ),
    ]  # fmt: skip
    half_line = "half-infinite instantaneous line on thick plate; ratio to the rate at the end"
    checks += [
        by_library(
            "cooling-rate-near-bead-end", "scipy", half_line,
            lambda distance=distance: ref.bead_end_ratio(distance) / 2.0, 0.005, "",
            cooling_rate=0.5, place=place,
        )
        for place, distance in (("bead-end", 0.0), ("2-rm-from-end", 2.0))
    ]  # fmt: skip
    return checks


def _times_and_rates() -> list[Check]:
    thick = {"conductivity": ref.STEEL["conductivity"]} | HEAT
    thin = {"thickness": 0.006} | ref.STEEL | HEAT
    curve = "the cooling curve summed by quadrature from a moving source"
    fast = f"{curve} at 80 mm/s (the equation is the limit of a fast arc)"
    thick_rate = partial(ref.rate_at, _thick, 0.005, 530.0)
    thin_rate = partial(ref.rate_at, _thin, FAST, 530.0)
    pool = {"net_heat_input": 500e3, "initial_temperature": 25.0, "conductivity": 25.0}
    return [
        by_library(
            "cooling-time-thick-plate", "scipy", curve,
            partial(ref.time_between, _thick, 0.005, 780.0, 480.0), 1e-6, **thick, **FROM_800,
        ),
        by_library(
            "cooling-time-thin-plate", "scipy", fast,
            partial(ref.time_between, _thin, FAST, 780.0, 480.0), 1e-4, **thin, **FROM_800,
        ),
        by_library("cooling-rate-thick-plate", "scipy", curve, thick_rate, 1e-4, **thick, **AT_550),
        by_library("cooling-rate-thin-plate", "scipy", fast, thin_rate, 1e-4, **thin, **AT_550),
        by_library(
            "relative-plate-thickness", "scipy",
            "root of the ratio of the thin to the thick plate's rate, both by quadrature",
            lambda: math.sqrt(thin_rate() / thick_rate()), 1e-4,
            thickness=0.006, heat_capacity=ref.STEEL["heat_capacity"], **HEAT, **AT_550,
        ),
        related(
            "solidification-time",
            "latent heat over heat capacity and cooling-rate-thick-plate at the melting point",
            lambda: 2.4e9 / 4.4e6 / value("cooling-rate-thick-plate", temperature=1540.0, **pool),
            latent_heat=2.4e9, heat_capacity=4.4e6, melting_temperature=1540.0, **pool,
        ),
    ]  # fmt: skip


def _t85() -> list[Check]:
    """EN 1011-2 against the physical equations and SEW 088, with constants that were read."""
    course, sheet = "nptel-112107090-20", "cn-t85-method"
    # The sheet prints 0.29 J/(cm s degC) and 6.7 J/(cm3 degC), the course 0.025 J/(mm s degC).
    in_course = "problem: its conductivity in cooling-time-thick-plate"
    in_sheet = "text after eq 2: its constants in cooling-time-"
    heat_capacity = 6.7e6

    def thick(conductivity: float) -> float:
        return value("cooling-time-thick-plate", conductivity=conductivity, **HEAT, **FROM_800)

    thin = value(
        "cooling-time-thin-plate", conductivity=29.0, heat_capacity=heat_capacity, thickness=0.01,
        **HEAT, **FROM_800,
    )  # fmt: skip
    met = math.sqrt(1e6 / (2 * heat_capacity) * (1 / 480 + 1 / 780))
    both = "cooling-time-8-5"
    run = {"heat_input": 1e6} | COLD
    wanted = {"thickness": 0.02, "initial_temperature": 100.0}
    rows = [
        (f"{both}-thick", course, in_course, thick(25.0), 3.67, {}),
        (f"{both}-thick", sheet, f"{in_sheet}thick-plate", thick(29.0), 20.26, {}),
        (f"{both}-thin", sheet, f"{in_sheet}thin-plate", thin, 2.89, {"thickness": 0.01}),
        (both, course, f"{in_course}, 50 mm", thick(25.0), 3.67, {"thickness": 0.05}),
        (both, sheet, f"{in_sheet}thin-plate, 10 mm", thin, 2.89, {"thickness": 0.01}),
        ("transition-thickness", sheet,
         "text after eq 2: where its thin- and thick-plate times meet", met, -7.50, {}),
    ]  # fmt: skip
    return [
        *(
            of_source(formula, source, place, want, 0.01, "%", stated=stated, **run, **more)
            for formula, source, place, want, stated, more in rows
        ),
        of_source(
            f"{both}-thick", "stahlbau-textbook-368",
            "p. 368, the constants of SEW 088 Beiblatt 2",
            (6700 - 5 * 20) * (1 / 480 - 1 / 780), 1e-9, "s", **run,
        ),
        related(
            "heat-input-for-cooling-time-8-5",
            "cooling-time-8-5 inverted by scipy",
            lambda: optimize.brentq(
                lambda heat: value(both, heat_input=heat, **wanted) - 12.0, 1e5, 1e7, rtol=1e-14
            ),
            cooling_time=12.0, **wanted,
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- cracking and hardness


def _cracking() -> list[Check]:
    weld = {"C": 0.12, "S": 0.015, "P": 0.02, "Nb": 0.01, "Si": 0.3, "Mn": 1.2}
    full = "martensite_hardness"
    steel = {"cooling_time": 1.0, "carbon": 0.15}
    models = {
        "haz-hardness-yurioka-1987": (full, {}, "haz-hardness-duren", 9.0),
        "haz-hardness-duren": (full, {}, "haz-hardness-yurioka-1987", 9.0),
        "haz-hardness-bl70s": (
            "hardness_cooled_fast", {"pcm": 0.15}, "haz-hardness-yurioka-1987", 7.0,
        ),
    }  # fmt: skip
    return [
        own(
            "unit-of-crack-susceptibility",
            230 * 0.12 + 190 * 0.015 + 75 * 0.02 + 45 * 0.01 - 12.3 * 0.3 - 5.4 * 1.2 - 1,
            **analysis(weld),
        ),
        own(
            "solidification-cracking-1976",
            223 * 0.12 + 197 * 0.015 + 100 * 0.02 + 48 * 0.01 - 14.3 * 0.3 - 6 * 1.2 - 16 * 0.02
            + 0.5,
            **analysis(weld | {"Al": 0.02}),
        ),
        *(
            Check(
                formula,
                "identity",
                f"full martensite of {other}, recalled apart",
                partial(value, formula, part, **steel, **more),
                partial(value, other, full, **steel),
                tolerance,
                "HV",
            )
            for formula, (part, more, other, tolerance) in models.items()
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- stainless constitution


def _stainless() -> list[Check]:
    weld = {"Cr": 19.5, "Ni": 9.5, "C": 0.03, "Mo": 0.3, "Nb": 0.1}
    plain = weld | {"Mn": 1.8, "Si": 0.4}
    creq, nieq = 19.5 + 0.3 + 1.5 * 0.4 + 0.5 * 0.1, 9.5 + 30 * 0.03 + 0.5 * 1.8
    return [
        printed("schaeffler-position", "schaeffler-304l", analysis, "Creq", "mass %", part="Creq"),
        printed("schaeffler-position", "schaeffler-304l", analysis, "Nieq", "mass %", part="Nieq"),
        own("delong-position", creq / (nieq + 30 * 0.06), **analysis(plain | {"N": 0.06})),
        own(
            "wrc-1992-position",
            (19.5 + 0.3 + 0.7 * 0.1) / (9.5 + 35 * 0.03 + 20 * 0.06 + 0.25 * 0.2),
            **analysis(weld | {"N": 0.06, "Cu": 0.2}),
        ),
        own(
            "hammar-svensson-ratio",
            (19.5 + 1.37 * 0.3 + 1.5 * 0.4 + 2 * 0.1 + 3 * 0.02)
            / (9.5 + 0.31 * 1.8 + 22 * 0.03 + 14.2 * 0.06 + 0.2),
            **analysis(plain | {"N": 0.06, "Ti": 0.02, "Cu": 0.2}),
        ),
        own("creq-nieq-window", 1.45 - 1.42, ratio=1.45, grade="316L"),
        related(
            "dilution-mix",
            "one kilogram of weld metal weighed, element by gram",
            (150 * 0.1 / 100 + 250 * 18.5 / 100 + 600 * 23.5 / 100) / 1000 * 100,
            base_1=0.1, base_2=18.5, filler=23.5, dilution_1=0.15, dilution_2=0.25,
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- areas

CAP, GAP = 1.0, 1.5


def _areas() -> list[Check]:
    """Areas drawn in mm of a 20 mm plate; the equations do not care about the unit."""
    slope = math.tan(math.radians(30))
    plate = {"thickness": 20.0, "root_opening": 3.0, "reinforcement": CAP}
    faced = plate | {"root_face": 2.0}
    v, bevel, rounded = "included_angle", "bevel_angle", {"root_radius": 6.0} | faced

    def capped(area: float, *widths: float) -> float:
        return area + sum(ref.cap(width, CAP).area for width in widths)

    def backed(groove: Polygon, width: float) -> float:
        return capped(union_all([groove, box(-1.5, -GAP, 1.5, 0)]).area, width)

    def radius(sides: int) -> float:
        side, width = ref.rounded_side(18.0, 6.0, 20.0)
        return capped(3.0 * 20.0 + sides * side, 3.0 + sides * width)

    def drawn(formula: str, want: Callable[[], float], more: str = "", **inputs: float) -> Check:
        text = "polygon drawn point by point" + more
        return by_library(formula, "shapely", text, want, 1e-4, **inputs)

    one, two = ", with its cap", ", with its two caps"
    return [
        drawn(
            "fillet-area", lambda: Polygon([(0, 0), (8, 0), (0, 6)]).area, leg=8.0, second_leg=6.0
        ),
        drawn(
            "fillet-area-convex", lambda: ref.curved_fillet(8.0, 1.0).area, leg=8.0, convexity=1.0
        ),
        drawn(
            "fillet-area-concave", lambda: ref.curved_fillet(8.0, -1.0).area,
            leg=8.0, concavity=1.0,
        ),
        drawn(
            "groove-area-square", lambda: capped(box(-1.5, -GAP, 1.5, 20).area, 8.0), one,
            cap_width=8.0, backing_gap=GAP, **plate,
        ),
        drawn(
            "groove-area-v",
            lambda: backed(ref.v_groove(20.0, 60.0, 2.0, 3.0), 3.0 + 36 * slope), one,
            **{v: 60.0}, backing_gap=GAP, **faced,
        ),
        drawn(
            "groove-area-bevel",
            lambda: backed(ref.bevel_groove(20.0, 30.0, 2.0, 3.0), 3.0 + 18 * slope), one,
            **{bevel: 30.0}, backing_gap=GAP, **faced,
        ),
        drawn(
            "groove-area-double-v",
            lambda: capped(
                ref.double_v_groove(20.0, 60.0, 2.0, 3.0, 12.0).area,
                3.0 + 24 * slope, 3.0 + 12 * slope,
            ),
            two, **{v: 60.0}, first_depth=12.0, **faced,
        ),
        drawn(
            "groove-area-double-bevel",
            lambda: capped(
                ref.double_bevel_groove(20.0, 30.0, 2.0, 3.0, 12.0).area,
                3.0 + 12 * slope, 3.0 + 6 * slope,
            ),
            two, **{bevel: 30.0}, first_depth=12.0, **faced,
        ),
        drawn("groove-area-u", partial(radius, 2), one, **{v: 40.0}, **rounded),
        drawn("groove-area-j", partial(radius, 1), one, **{bevel: 20.0}, **rounded),
        drawn("reinforcement-area", lambda: ref.cap(10.0, 2.0).area, width=10.0, height=2.0),
        *(
            by_library(
                "reinforcement-area", "shapely",
                f"segment of a circle, height {height / 10:g} of the width",
                lambda height=height: ref.round_cap(10.0, height).area, 0.01,
                stated=stated, width=10.0, height=height,
            )
            for height, stated in ((1.0, -0.79), (2.5, -4.61))
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- deposit and cost


def _deposit() -> list[Check]:
    feed = {"wire_feed_speed": si(300, "inch/minute"), "efficiency": 0.95}
    wire, steel = {"wire_diameter": si(0.045, "inch")}, {"density": si(0.283, "lb/inch^3")}
    section = math.pi / 4 * 0.045**2
    trade = "the same sum in trade units, converted by pint"
    rate = partial(value, "deposition-rate", **feed, **wire, **steel)
    fillet = steel["density"] * si(0.25, "inch") ** 2 / 2

    def leg(i: Inputs) -> Inputs:
        density = si(i["density_lb_ft3"], "lb/ft^3")
        area = si(i["leg_in"], "inch") ** 2 / 2
        return {"area": area, "density": density, "allowance": i["factor"]}

    checks = [
        of_source(
            "wire-feed-speed-timed", "gmaw-fcaw-handbook-2018",
            "p. 70: inches in ten seconds times six", 6 * 33.5, 0.0, "in/min",
            si(1, "inch/minute"), length=si(33.5, "inch"), time=10.0,
        ),
        own("passes", 4.0, area=100e-6, area_per_pass=30e-6),
        own("filler-needed", 82.0 / 0.82, deposit=82.0, efficiency=0.82),
        own(
            "electrode-needed", 1.0 / (0.75 * (14 - 2) / 14), deposit=1.0, efficiency=0.75,
            electrode_length=si(14, "inch"), stub_length=si(2, "inch"),
        ),
        own("labor-time", 600.0 / 0.35, arc_time=600.0, operating_factor=0.35),
        related(
            "deposition-rate", trade, si(300 * section * 0.283 * 60 * 0.95, "lb/hour"),
            **feed, **wire, **steel,
        ),
        related(
            "deposit-cost", trade,
            si(55 / (6.5 * 0.35) + 1.9 / 0.94 + 35 * 0.12 / 6.5, "currency/lb"),
            labor_rate=si(55, "currency/hour"), deposition_rate=si(6.5, "lb/hour"),
            operating_factor=0.35, filler_price=si(1.9, "currency/lb"), efficiency=0.94,
            gas_flow=si(35, "ft^3/hour"), gas_price=si(0.12, "currency/ft^3"),
        ),
        related(
            "gas-volume", trade, si(15 * (10 + 2), "L"),
            flow=si(15, "L/minute"), arc_time=600.0, flow_time=120.0,
        ),
        related(
            "wire-weight", trade, si(1000 * section * 0.283, "lb"),
            length=si(1000, "inch"), **wire, **steel,
        ),
        related(
            "wire-length", trade, si(33 / (section * 0.283), "inch"),
            weight=si(33, "lb"), **wire, **steel,
        ),
        related(
            "travel-speed-fillet", "the length of fillet that the metal of deposition-rate fills",
            lambda: rate() / fillet, leg=si(0.25, "inch"), **feed, **wire,
        ),
        related(
            "arc-time", "the time in which deposition-rate lays that weight", 600.0,
            deposit=600.0 * rate(), deposition_rate=rate(),
        ),
        own(
            "wire-feed-speed-burn-off", 0.06 + 0.03, "recalled coefficients, own arithmetic only",
            current=200.0, wire_diameter=0.0012, extension=0.015,
        ),
    ]  # fmt: skip
    table = "weight of welds table, "
    for number in (1, 2, 4, 5):
        row = f"iowa-fillet-{number}"
        checks += [
            printed(
                "weld-weight-per-length", row, leg, "lb_per_ft", "lb/ft", si(1, "lb/foot"),
                place=table + "four fillets",
            ),
            printed(
                "weld-weight", row, leg, "lb_per_ft", "lb", si(1, "lb"),
                place=table + "one foot of four fillets", length=si(1, "foot"),
            ),
        ]  # fmt: skip
    return checks


# ---------------------------------------------------------------- strength


def _strength() -> list[Check]:
    kip = si(1, "kip")
    lrfd, nominal = "fillet-strength-lrfd", "nominal strength"

    def weld(i: Inputs) -> Inputs:
        leg, length = si(i["leg_in"], "inch"), si(i["length_in"], "inch")
        strength = si(i["F_EXX_ksi"], "ksi")
        angle = float(i["theta_deg"])
        return {"leg": leg, "length": length, "electrode_strength": strength, "angle": angle}

    def ratio(i: Inputs) -> Inputs:
        return {"length": 0.006 * i["L_over_w"], "leg": 0.006}

    return [
        printed(lrfd, "lrfd-long", weld, "phiRn_kip", "kip", kip),
        printed(lrfd, "lrfd-trans", weld, "phiRn_kip", "kip", kip),
        printed(lrfd, "nominal-2x10", weld, "Rn_kip", "kip", kip, part=nominal),
        printed(lrfd, "nominal-8t", weld, "Rn_kip", "kip", kip, part=nominal),
        printed("end-loaded-factor", "beta-100", ratio, "beta", ""),
        printed("end-loaded-factor", "beta-300", ratio, "beta", ""),
        of_source(
            "weld-group-strength", "univ-weld-notes-lrfd",
            "Example 2: Eq. J2-10a only", 155.89, 0.05, "kip", kip,
            part="J2-10a", longitudinal=111.35 * kip, transverse=44.54 * kip,
        ),
        by_library(
            "fillet-throat", "shapely",
            "distance from the root to the face of a drawn fillet (the printed factor is 0.707)",
            lambda: Point(0, 0).distance(LineString([(8.0, 0), (0, 8.0)])), 0.001,
            stated=-0.015, leg=8.0,
        ),
        related(
            "fillet-load-asd",
            "half the nominal strength of fillet-strength-lrfd (Omega 2.00, recalled)",
            lambda: value(lrfd, nominal, 2.0, leg=0.006, length=1.0, electrode_strength=483e6),
            leg=0.006, electrode_strength=483e6,
        ),
        own("max-fillet-at-edge", 0.010 - 0.002, thickness=0.010, edition="metric"),
    ]  # fmt: skip


# ---------------------------------------------------------------- gas


def _cylinder(fluid: str, full: float, share: float, stated: float) -> Check:
    flow = 2e-4
    return Check(
        "cylinder-time",
        "library",
        f"real {fluid.lower()} filled to {full / 1e5:g} bar, {share:g} of the pressure left",
        lambda: value(
            "cylinder-time", gas=fluid.lower(), pressure_full=full, pressure_now=share * full,
            contents=ref.real_cylinder(fluid, full, share, flow)[0], flow=flow,
        ),
        lambda: ref.real_cylinder(fluid, full, share, flow)[1],
        0.1,
        "%",
        library="CoolProp",
        stated=stated,
    )  # fmt: skip


def _densities() -> list[Check]:
    checks = []
    table = "gas-properties-notes"
    for gas, (fluid, grams, relative, pounds) in ref.GASES.items():
        which, tolerance = ("CO2", 1.4) if gas == "CO2" else ("Ar, He, H2, N2, O2", 0.2)
        mass = {"molar_mass": grams * 1e-3}
        printed_to = 1.0 + 100 * ref.half_unit(pounds)
        checks += [
            Check(
                "gas-density",
                "library",
                f"{which} at 20 degC and 1 atm",
                lambda fluid=fluid: value(
                    "gas-density", molar_mass=ref.molar_mass(fluid), temperature=20.0
                ),
                partial(ref.real_density, fluid, ref.ATMOSPHERE, 20.0),
                tolerance,
                "%",
                library="CoolProp",
            ),
            of_source(
                "gas-density", table, "table at 0 degC and 1 atm, six gases",
                si(pounds, "lb/ft^3"), printed_to, "%", temperature=0.0, **mass,
            ),
            of_source(
                "relative-density", table, "table, air = 1, six gases", relative, 1.0, "%", **mass
            ),
        ]  # fmt: skip
    return checks


def _gas() -> list[Check]:
    levels, hours = (150e-6, 75e-6, 50e-6), (2.0, 2.0, 4.0)
    shift = {f"concentration_{n}": level for n, level in enumerate(levels, 1)}
    shift |= {f"time_{n}": 3600.0 * span for n, span in enumerate(hours, 1)}
    purge = {"initial": 0.209, "flow": 2e-4, "volume": 0.01}
    left = partial(ref.purged, 0.209, 2e-4, 0.01)

    def exposed() -> float:
        def level(hour: float) -> float:
            return levels[0 if hour < 2 else 1 if hour < 4 else 2]

        return float(integrate.quad(level, 0.0, 8.0, points=[2.0, 4.0])[0]) / 8.0

    return [
        _cylinder("Argon", 200e5, 0.5, 0.7),
        _cylinder("Oxygen", 150e5, 0.25, 4.7),
        _cylinder("Hydrogen", 200e5, 0.25, -8.5),
        *_densities(),
        of_source(
            "gauge-to-absolute", "cfr-29-1910-253", "(a)(2): 15 psig beside 30 psia, whole psi",
            30.0, 0.5, "psi", si(1, "psi"), gauge_pressure=si(15, "psi"),
        ),
        by_library(
            "purge-concentration", "scipy", "numerical solution of V dC/dt = -Q C",
            partial(left, 300.0), 1e-4, time=300.0, **purge,
        ),
        by_library(
            "purge-time", "scipy", "numerical solution of V dC/dt = -Q C, down to 0.1 %",
            lambda: optimize.brentq(lambda time: left(time) - 0.001, 60.0, 600.0, rtol=1e-10),
            1e-4, wanted=0.001, **purge,
        ),
        by_library(
            "cumulative-exposure", "scipy",
            "quadrature of the steps of concentration over eight hours", exposed, 1e-6, **shift,
        ),
        related(
            "flowmeter-correction",
            "the same dynamic pressure on the float, density times flow squared",
            math.sqrt(1.66 * 2e-4**2 / 0.166),
            flow_read=2e-4, scale_density=1.66, gas_density=0.166,
        ),
        related(
            "acetylene-draw", "the same sum in ft3/h, converted by pint",
            si(225 / 15, "ft^3/hour"), contents=si(225, "ft^3"),
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- everyday


def _everyday() -> list[Check]:
    thumb = "a rule of thumb, common practice"
    window = examples()["sm-05"].expected

    def sheet(i: Inputs) -> Inputs:
        return {"thickness": si(i["thickness_in"], "inch")}

    def load(i: Inputs) -> Inputs:
        return {"current": i["current_A"], "process": i["process"]}

    def cup(i: Inputs) -> Inputs:
        return {"cup_number": i["cup_number"]}

    return [
        printed(
            "starting-current-e60xx", "sm-05", sheet, "start_A", "A",
            window_low=float(window["min_A"]), window_high=float(window["max_A"]),
            electrode_diameter=si(3 / 32, "inch"),
        ),
        own("starting-current-e70xx", (110 + 160) / 2, window_low=110.0, window_high=160.0),
        *(
            printed("conventional-load-voltage", name, load, "voltage_V", "V")
            for name in ("load-200", "load-250")
        ),
        own("gmaw-current-from-thickness", 125.0, thumb, thickness=si(125, "thou")),
        own("smaw-current-from-diameter", 125.0, thumb, core_diameter=si(1 / 8, "inch")),
        *(
            printed("cup-diameter", f"cup-{n}", cup, "inside_diameter_in", "in", si(1, "inch"))
            for n in (4, 5, 6, 8)
        ),
    ]  # fmt: skip


CHECKS: tuple[Check, ...] = (
    *_heat(),
    *_carbon(),
    *_preheat(),
    *_fields(),
    *_times_and_rates(),
    *_t85(),
    *_cracking(),
    *_stainless(),
    *_areas(),
    *_deposit(),
    *_strength(),
    *_gas(),
    *_everyday(),
)
"""Every check; those of one formula and one place are shown as one line."""
