"""Curate the raw fact sheets into ``reference/<table>.csv`` and ``worked_examples.csv``.

    python scripts/curate_reference.py RAW_DIR OUT_DIR

RAW_DIR holds one folder per reading with ``facts_*.csv``, ``worked_examples.csv`` and
``computed_checks.csv``. Every raw row ends in exactly one table, or is named with a reason in
``curation/reference_left_out.csv``; the run fails otherwise. It also fails when a number of a
table was not in its raw row, when a number of a raw row is lost, or when two rows share a key.
Each raw file has one function below that says what becomes of its rows. Columns, their order
and the keys come from the models in ``weldref.data.schemas.reference``.
"""

from __future__ import annotations

import csv
import json
import re
import sys
from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from weldref.data.schemas.reference import REFERENCE_TABLES, SHARED, WorkedExamples

CURATION = Path(__file__).parent / "curation"
EXAMPLES = "worked_examples"
EXAMPLE_FILES = ("worked_examples.csv", "computed_checks.csv")
MODELS = {**REFERENCE_TABLES, EXAMPLES: WorkedExamples}
SCHEMAS = {name: model.to_schema() for name, model in MODELS.items()}

Row = dict[str, str]
Made = Iterator[tuple[str, Row]]


class Place(NamedTuple):
    """Where a raw row stands."""

    file: str
    line: int


MAKERS: dict[str, Callable[[Row], Made]] = {}


# Judgement: what cannot be derived from the raw text

DOUBT = re.compile(
    r"\buncertain\b|flattened|inferred|cut off|garbled|scrambled|not legible|out of line"
    r"|matched by order|copies disagree"
)
"""Words of a raw row that put its reading in doubt."""

NO_DOUBT = {
    Place("joints_fillers/facts_base_metals.csv", 35),  # the page was cut off: graded memory
}
"""Rows whose words match `DOUBT` but whose reading is not in doubt."""

MISPRINTS = {
    Place("gtaw/facts_misc.csv", 9),  # a temperature far from the truth
    Place("gtaw_round2/worked_examples.csv", 4),  # a printed pair that disagrees
    Place("safety_gas_cutting/facts_shades.csv", 140),  # 4 or 6 for 5 or 6
    Place("smaw/facts_equivalents.csv", 2),  # JIS D3410 for D4310
}

WORDS = (
    (re.compile(r"aluminum"), "aluminium"),
    (re.compile(r"\bMAPP\b"), "methylacetylene-propadiene"),
    (re.compile(r"seen at \S+\.(?:com|html)\S*(?: afs-\S+)?"), "seen in a web reproduction"),
    (re.compile(r" \(seen in search results\)"), ""),
    (re.compile(r"AWS pairing by compiler"), "the AWS pairing is ours"),
)
"""Spellings, a trade name and site addresses that have no place in the tables."""

LOCATORS = {
    Place("formulas_round2/facts_qualification_rules.csv", 13): ("p. TS40-2, 40.06 D", ""),
    Place("joints_fillers/facts_density.csv", 6): (
        "text",
        "the copy shows 0.S778; 480 lb/ft3 = 0.27778 confirms the reading",
    ),
    Place("joints_fillers/worked_examples.csv", 24): (
        "question",
        "question read, answer not shown; computed with the Schaeffler formula from memory",
    ),
    Place("procedures/worked_examples.csv", 20): ("QW-452.3", "test size chosen by us"),
    Place("procedures/worked_examples.csv", 22): ("4-8 t", "case built by us: 0.6 is 1.2T"),
}
"""Places in the source that need cleaning, and what moves to the remark."""

REMARKS = {
    Place("formulas_round2/facts_factors_limits.csv", 16): (
        "fitted value said to give good t8/5; 0.029 J/(mm s C) against the usual 0.028"
    ),
    Place("formulas_round2/facts_factors_limits.csv", 17): (
        "0.0067 J/(mm3 C) against the usual 0.0044: different fitting purpose, keep both"
    ),
    Place("formulas_round2/facts_factors_limits.csv", 26): "AWS D1.1 annex quoted",
    Place("formulas_round2/facts_factors_limits.csv", 28): (
        "the 30 mL/100 g commonly used for it is still memory"
    ),
    Place("gtaw/facts_misc.csv", 2): "the page names two thresholds: 260 and 427 degC",
    Place("joints_fillers/facts_min_fillet_size.csv", 11): (
        "prohibits fillets under 3/16 in; consistent with note c (cyclic) of the D1.1 fillet "
        "table; that 4.18 is the cyclic part is from memory"
    ),
    Place("joints_fillers/facts_visual_acceptance.csv", 8): (
        "2 mm; loading column cut off in extract, static from memory"
    ),
    Place("joints_fillers/facts_visual_acceptance.csv", 15): (
        "2 mm; loading column cut off in extract, static from memory"
    ),
    Place("safety_gas_cutting/facts_exposure_limits.csv", 20): "quoted by a web answer page",
    Place("safety_gas_cutting/facts_rules.csv", 46): "a third figure beside 45 and 120 min",
    Place("safety_gas_cutting/facts_rules.csv", 51): (
        "may be used at this pressure; the source prints a trade name"
    ),
}
"""Remarks that leaned on a neighbouring row or on notes that are not in the tables."""

EDITIONS = {"iso-6848-2004": "2004", "iso-6848-1984": "1984"}

SPECIFICATIONS = {
    "sfa-5-18-2007": "AWS A5.18",
    "aws-a5-9": "AWS A5.9",
    "aws-a5-9-memory": "AWS A5.9",
    "aws-a5-10": "AWS A5.10",
    "aws-a5-16": "AWS A5.16",
    "ferrous-databook-8-5": "AWS A5.18",
    "ferrous-databook-8-7": "AWS A5.5",
    "aws-a5-18-2005": "AWS A5.18",
    "aws-a5-12": "AWS A5.12",
    "iso-6848-2004": "ISO 6848",
    "iso-6848-1984": "ISO 6848",
}
"""The filler or electrode specification that a source prints."""

REGULATIONS = {
    "cfr-29-1910-133": ("29 CFR 1910.133(a)(5)", "limit"),
    "cfr-29-1915-153": ("29 CFR 1915.153", "limit"),
    "cfr-29-1926-102": ("29 CFR 1926.102", "recommended"),
    "ccr-8-3382": ("8 CCR 3382", "recommended"),
    "mi-r408-40624a": ("Mich. Admin. Code R 408.40624a", "recommended"),
}
"""Shade tables that are law: the first two set minimum shades, the others name a shade."""

LIMIT_NAMES = {"OSHA": "PEL", "State of Washington": "PEL", "NIOSH": "REL", "ACGIH": "TLV"}

ISO_4063 = {
    "111": ("SMAW",),
    "114": ("FCAW",),
    "12": ("SAW",),
    "121": ("SAW",),
    "13x": ("GMAW", "FCAW"),
    "131": ("GMAW",),
    "132": ("FCAW",),
    "135": ("GMAW",),
    "136": ("FCAW",),
    "138": ("GMAW",),
    "141": ("GTAW",),
    "15": ("PAW",),
}
"""ISO 4063 process numbers in AWS letters (138, metal cored wire, is GMAW there)."""

COMPUTED = {
    "fr2-solid-time",
    "fr2-spec-gap",
    "gf-08",
    "gf-10",
    "gf-11",
    "gf-25",
    "gf-27",
    "pr-q-nav-pipe",
    "schaeffler-creq",
    "sm-02",
    "sm-06",
    "sm-11",
    "sm-14",
    "sm-15",
}
"""Examples whose rule or inputs were read and whose answer is our own arithmetic."""

FORMULA_GRADES = {
    "de-weld-office-2020": "read",
    "twi-jk-44": "read",
    "twi-28-1976": "read",
    "forum-faq-ce-1077": "secondary",
}
"""How the formulas behind ``computed_checks.csv`` were read."""


# Reading numbers

NUMBER = r"\d+ \d+/\d+|\d+/\d+|\d*\.\d+|\d+"
ONE_NUMBER = re.compile(rf"[+-]?(?:\d+(?:\.\d+)?e-?\d+|{NUMBER})")
TWO_SIDED = re.compile(rf"({NUMBER}) ?(<=?) ?[A-Za-z]+ ?(<=?) ?({NUMBER})")
ONE_SIDED = re.compile(rf"(<=|>=|<|>) ?({NUMBER})")
SPELLED = re.compile(rf"(up to|under|below|over|above) ({NUMBER})")
AND_UP = re.compile(rf"({NUMBER})(?: in)? and up")
DASHED = re.compile(rf"({NUMBER}) ?(?:-|to) ?({NUMBER})")
LIMIT = re.compile(r"([hd])<=(?:([\d.]+)(?:\+|(?= |$)))?(?:([\d.]+)([stab]))?(?: max ([\d.]+))?$")


class Band(NamedTuple):
    """A band with its edges; an empty edge is open, an empty flag is not stated."""

    low: str = ""
    low_in: str = ""
    high: str = ""
    high_in: str = ""

    def named(self, name: str) -> Row:
        """Spell the band as the columns of a table."""
        return {
            f"{name}_min": self.low,
            f"{name}_min_inclusive": self.low_in,
            f"{name}_max": self.high,
            f"{name}_max_inclusive": self.high_in,
        }


def decimal(text: str) -> str:
    """Write an inch fraction as the decimal number it is; leave other numbers as printed."""
    if "/" not in text:
        return text
    value = sum((Fraction(part) for part in text.split()), Fraction(0))
    return format(Decimal(value.numerator) / Decimal(value.denominator), "f")


def band(text: str) -> Band:
    """Read a printed band such as ``30<t<=40 mm``, ``up to 1/8 in`` or ``1/2 in and up``."""
    if found := TWO_SIDED.search(text):
        low, low_sign, high_sign, high = found.groups()
        low_in, high_in = _flag(low_sign == "<="), _flag(high_sign == "<=")
        return Band(decimal(low), low_in, decimal(high), high_in)
    if found := ONE_SIDED.search(text):
        sign, edge = found.groups()
        return _one_edge(edge, upper="<" in sign, inclusive="=" in sign)
    if found := SPELLED.match(text):
        word, edge = found.groups()
        return _one_edge(edge, upper=word in {"up to", "under", "below"}, inclusive="up" in word)
    if found := AND_UP.match(text):
        return _one_edge(found[1], upper=False, inclusive=True)
    if found := DASHED.match(text):
        return Band(decimal(found[1]), "true", decimal(found[2]), "true")
    return Band()


def _one_edge(edge: str, *, upper: bool, inclusive: bool) -> Band:
    if upper:
        return Band(high=decimal(edge), high_in=_flag(inclusive))
    return Band(low=decimal(edge), low_in=_flag(inclusive))


def _flag(value: bool) -> str:
    return "true" if value else "false"


def is_number(text: str) -> bool:
    """Tell a plain decimal number from a rule, a range or a word."""
    try:
        float(text)
    except ValueError:
        return False
    return True


def one_value(text: str) -> Row:
    """Put a value into typical, or into min and max; words and lists go to the statement."""
    if is_number(text):
        return {"typical": text}
    if found := DASHED.fullmatch(text):
        return {"min": found[1], "max": found[2], "as_printed": text}
    if found := SPELLED.fullmatch(text):
        side = "max" if found[1] in {"up to", "under", "below"} else "min"
        return {side: found[2], "as_printed": text}
    return {"statement": text}


def listed(text: str, parts: str = " ") -> str:
    """Part a list the way cells with several values are written."""
    return "; ".join(part.strip() for part in text.split(parts) if part.strip())


def numbers_in(text: str) -> set[float]:
    """Find every number a text may be read to hold, whatever its sign."""
    found = {abs(float(decimal(part.lstrip("+-")))) for part in ONE_NUMBER.findall(text)}
    return found | {float(part) for part in re.findall(r"\d*\.\d+|\d+", text)}


# What becomes of each raw file


def maker(file: str) -> Callable[[Callable[[Row], Made]], Callable[[Row], Made]]:
    """Register the function that makes the rows of one raw file."""

    def register(make: Callable[[Row], Made]) -> Callable[[Row], Made]:
        MAKERS[file] = make
        return make

    return register


def plain(file: str, table: str, rename: Row | None = None, **fixed: str) -> None:
    """Register a raw file whose columns only need new names ("" drops one)."""
    names = rename or {}

    def make(raw: Row) -> Made:
        cells = {names.get(name, name): cell for name, cell in own(raw).items()}
        cells.pop("", None)
        yield table, cells | fixed

    MAKERS[file] = make


def own(raw: Row) -> Row:
    """Leave out the columns that every raw file has."""
    return {name: cell for name, cell in raw.items() if name not in SHARED}


plain(
    "gmaw_fcaw/facts_wire_density.csv",
    "densities",
)
plain("joints_fillers/facts_density.csv", "densities", {"value": "density"})
plain("joints_fillers/facts_prequalified_notes.csv", "prequalified_notes", {"fact": "statement"})
plain("joints_fillers/facts_shrinkage_allowance.csv", "shrinkage_allowance")
plain(
    "joints_fillers/facts_us_standard_gauge.csv",
    "sheet_gauges",
    {
        "fraction_in": "fraction",
        "oz_per_ft2": "weight_oz_per_ft2",
        "lb_per_ft2": "weight_lb_per_ft2",
    },
    gauge_system="US standard gauge",
)
plain(
    "joints_fillers/facts_min_pjp_throat.csv",
    "minimum_pjp",
    {"thickness_unit": "unit", "throat_unit": "", "min_throat": "throat_min"},
)
plain(
    "procedures/facts_audit_findings.csv",
    "audit_findings",
    {"check": "what_to_check", "basis": "evidence"},
)
plain("procedures/facts_procedure_fields.csv", "procedure_fields")
plain("safety_gas_cutting/facts_cylinders.csv", "cylinders", {"unit": "", "pressure_unit": ""})
plain("safety_gas_cutting/facts_gas_properties.csv", "gas_properties")
plain(
    "safety_gas_cutting/facts_local_exhaust.csv",
    "local_exhaust",
    {
        "zone_min_in": "distance_min",
        "zone_max_in": "distance_max",
        "airflow_cfm": "airflow",
        "duct_diameter_in": "duct_diameter",
    },
)
plain(
    "smaw_cutting_round2/facts_oxygen_cutting_elements.csv",
    "oxygen_cutting_elements",
    {"limit_percent": "content"},
)


@maker("common_practice/facts_rules_of_thumb.csv")
def rules_of_thumb(raw: Row) -> Made:
    applies_to = raw["applies_to"]
    process, _, rest = applies_to.partition(" ")
    if not process.isupper():
        process, rest = "", applies_to
    cells = {"rule": raw["rule"], "process": process, "applies_to": rest, "unit": raw["unit"]}
    column = "value" if is_number(raw["value"]) else "as_printed"
    yield "rules_of_thumb", cells | {column: raw["value"]}


@maker("formulas_round2/facts_constitution.csv")
def constitution(raw: Row) -> Made:
    topic, key1, key2, key3 = raw["table"], raw["key1"], raw["key2"], raw["key3"]
    value = one_value(raw["value"])
    shapes = {
        "constitution-equivalents": {"grade": key1, "diagram": key2, "quantity": key3},
        "creq-nieq-window": {"grade": key1, "meaning": key2, "quantity": key3},
        "sulfur-lower-limit": {"grade": "304L; 316L", "meaning": key2, "quantity": "S"},
        "solidification-mode": {"meaning": key1, "grade": key2, "quantity": key3},
        "minimum-ferrite": {"meaning": key1, "quantity": key3},
        "diagram-status": {"diagram": key1, "meaning": key2},
        "ferrite-measurement": {"meaning": key1, "quantity": key3},
    }
    if topic == "sulfur-lower-limit":
        value = {"min": raw["value"], "unit": key3}
    value.pop("statement", None)
    name = {"creq-nieq-window": "Creq/Nieq window"}.get(topic, topic.replace("-", " "))
    yield "constitution", {"topic": name, **shapes[topic], **value}


@maker("joints_fillers/facts_dilution.csv")
def dilution(raw: Row) -> Made:
    statement = raw["statement"]
    if statement.startswith("two-sided share"):
        rule = "share of both base metals in the weld metal"
        words = statement.partition(": ")[2]
        cells = {"rule": rule, "process": "SMAW", "value": raw["value"], "unit": "%"}
        yield "rules_of_thumb", cells | {"as_printed": words}
        return
    topic, _, ranges = statement.partition(": ")
    for part in ranges.split(", "):
        quantity, _, edges = part.replace(" <= ", " up to ").partition(" ")
        yield (
            "constitution",
            {
                "topic": "range of the diagram",
                "diagram": "WRC-1992",
                "quantity": quantity,
                "unit": raw["unit"],
                "meaning": topic,
                **one_value(edges),
                "as_printed": part.replace("up to", "<="),
            },
        )


@maker("formulas_round2/facts_designators.csv")
@maker("smaw/facts_designators.csv")
def designators(raw: Row) -> Made:
    value, unit = raw["value"], raw["unit"]
    cells = {"scheme": raw["scheme"], "symbol": raw["symbol"], "meaning": raw["meaning"]}
    if unit.startswith("% m"):  # "% min", "% max after exposure"
        cells |= {unit[2:5]: value, "unit": "%", "as_printed": f"{value} {unit}"}
    elif is_number(value) or not value:
        cells |= {"value": value, "unit": unit}
    else:
        edges = band(value.lstrip(">") if " to " in value else value)
        cells |= {"min": edges.low, "max": edges.high, "unit": unit, "as_printed": value}
    yield "designators", cells


@maker("formulas_round2/facts_factors_limits.csv")
def factors_round2(raw: Row) -> Made:
    topic, key1, key2, key3, value = (raw[c] for c in ("table", "key1", "key2", "key3", "value"))
    match topic:
        case "ucs-threshold":
            sides = {"UCS below": "max", "critical about": "typical"}
            cells = {"quantity": "UCS", sides.get(key2, "min"): value}
            if "resistance" in key1:
                cells |= {"meaning": f"{key1} to cracking"}
            else:
                cells |= {"applies_to": key1, "meaning": key2}
            yield "formula_limits", {"formula": "UCS", **cells}
        case "ucs-rule":
            cells = {"quantity": "C", "min": value, "unit": "%", "meaning": key1}
            yield "formula_limits", {"formula": "UCS", **cells}
        case "s-plus-p-limit":
            cells = {"applies_to": key1, "quantity": "S + P", "max": value, "unit": key3}
            yield "formula_limits", {"formula": "S + P", **cells, "meaning": key2}
        case "saw-transvarestraint-plate-range":
            low = key2.removeprefix("below ")
            cells = {"applies_to": "plate of the test set", "quantity": key1, "min": low}
            cells |= {"max": key3, "unit": "%", "meaning": "composition tested"}
            printed = f"{key2} to {key3}" if low != key2 else ""
            cells |= {"as_printed": printed}
            yield "formula_limits", {"formula": "SAW cracking regression of 1976", **cells}
        case "haz-hardness-model-accuracy":
            cells = {"quantity": key2, "typical": value, "unit": key3}
            yield "formula_limits", {"formula": f"HAZ hardness, {key1}", **cells}
        case "thermal-constant-steel":
            cells = {"material": "steel", "property": CONSTANTS.get(key1, key1), "value": value}
            yield "thermal_constants", cells | {"unit": key2}
        case "cooling-rate-end-effect":
            formula = "cooling rate of a long bead on thick plate"
            cells = {"applies_to": key1, "quantity": "cooling rate ratio"}
            cells |= {"typical": value} if is_number(value) else {"meaning": value}
            yield "formula_limits", {"formula": formula, **cells}
        case "preheat-exemption-draft-case":
            quantity = key2.removesuffix(" max")
            cells = {"applies_to": key1, "quantity": quantity, "max": value, "unit": key3}
            yield "preheat_notes", {"topic": "exemption", **cells}
        case "d1.1-annex-hydrogen-level":
            edge = band(value)
            cells = {"level": key1, "meaning": key2, "hydrogen_to": edge.high}
            cells |= {"hydrogen_to_inclusive": edge.high_in, "as_printed": value}
            yield "hydrogen_levels", {"scheme": "AWS D1.1 annex", **cells}
        case "hydrogen-limit-other":
            for step in value.split(", "):
                cells = {"hydrogen_to": step, "hydrogen_to_inclusive": "true"}
                yield "hydrogen_levels", {"scheme": key1, **cells, "as_printed": value}
        case "preheat-typical":
            cells = {"applies_to": key1, "quantity": "preheat", "unit": key2}
            low, _, high = value.partition(" to ")
            cells |= {"min": low, "max": high, "as_printed": value}
            yield "preheat_notes", {"topic": "typical", **cells}


CONSTANTS = {
    "c rho": "heat capacity per volume (c rho)",
    "k": "thermal conductivity (k)",
    "lambda": "thermal conductivity (lambda)",
}


@maker("formulas_round2/facts_qualification_rules.csv")
@maker("procedures/facts_qualification_rules.csv")
def qualification_rules(raw: Row) -> Made:
    if raw["clause"] == "40.06 D":  # a rule on drying electrodes, not on qualification
        cells = {"topic": "rebake count", "filler": "low hydrogen", "max": raw["upper"]}
        yield "electrode_storage", {**cells, "unit": raw["unit"], "remark": raw["condition"]}
        return
    standard, _, edition = raw["standard"].partition(":")
    if standard == "AWS D1.5-95":
        standard, edition = "AWS D1.5", "1995"
    process, numbers, application = _processes(raw["process"])
    condition = raw["condition"]
    if raw["process"] == "SMAW low hydrogen":
        condition = "low hydrogen electrodes"
    cells = {
        "standard": standard,
        "edition": edition,
        "clause": raw["clause"],
        "variable": raw["variable"],
        "process": process,
        "iso_4063": numbers,
        "application": application,
        "rule_kind": raw["rule_kind"],
        "unit": raw["unit"],
        "condition": condition,
    }
    for side in ("lower", "upper"):
        cells[side if is_number(raw[side]) else f"{side}_rule"] = raw[side]
    is_change = raw["rule_kind"].startswith("max_") or raw["lower"] == f"-{raw['upper']}"
    if is_change and raw["unit"] in {"C", "F"}:
        cells["unit"] = f"delta_deg{raw['unit']}"
    yield "qualification_rules", cells | _tested_band(raw)


TESTED = re.compile(
    rf"(?:(?:{NUMBER}) <=? )?(?:coupon |test )?(T|t|OD|s|D) [<>]=? (?:{NUMBER})(?: (mm|in)\b)?"
)


def _tested_band(raw: Row) -> Row:
    found = TESTED.match(raw["condition"].replace("coupon under ", "coupon T < "))
    if not found or " and wall " in raw["condition"]:
        return {}
    unit = found[2] or (raw["unit"] if raw["unit"] in {"in", "mm"} else "in")
    return {
        "tested_symbol": found[1],
        **band(found[0]).named("tested"),
        "tested_unit": unit,
    }


def _processes(text: str) -> tuple[str, str, str]:
    """Part a list of processes into AWS letters, ISO 4063 numbers and kinds of work."""
    letters: list[str] = []
    numbers: list[str] = []
    other: list[str] = []
    for part in text.removesuffix(" low hydrogen").split(";"):
        if part in ISO_4063:
            numbers.append(part)
            letters += [name for name in ISO_4063[part] if name not in letters]
        elif part.isupper() or part == "all":
            letters.append(part)
        else:
            other.append(part)
    return "; ".join(letters), "; ".join(numbers), "; ".join(other)


@maker("gmaw_fcaw/facts_deposition_efficiency.csv")
def deposition_efficiency(raw: Row) -> Made:
    process, _, consumable = raw["process"].partition(" ")
    cells = {"process": process, "consumable": consumable}
    yield "deposition_efficiency", cells | {"min": raw["min"], "max": raw["max"]}


@maker("gmaw_fcaw/facts_fcaw_usability.csv")
def fcaw_usability(raw: Row) -> Made:
    cells = own(raw) | {"passes": listed(raw["passes"], " and ")}
    cells["characteristics"] = cells.pop("note")
    yield "fcaw_usability", cells


@maker("gmaw_fcaw/facts_filler_composition.csv")
@maker("joints_fillers/facts_a55_composition.csv")
def wide_composition(raw: Row) -> Made:
    name, _, specification = raw["classification"].removesuffix(")").partition(" (")
    specification = specification or SPECIFICATIONS[raw["source_id"]]
    for element, printed in own(raw).items():
        if element in {"classification", "unit"} or not printed:
            continue
        cells = {"specification": specification, "classification": name, "element": element}
        if found := DASHED.fullmatch(printed):
            cells |= {"min": found[1], "max": found[2], "as_printed": printed}
        else:
            cells |= {"max": printed}
        if name == "E7018-A1" and element != "C":  # the doubt is about carbon alone
            cells |= {"status": "", "remark": ""}
        yield "filler_composition", cells


@maker("gtaw/facts_filler_composition.csv")
def rod_composition(raw: Row) -> Made:
    cells = {"classification": raw["class_code"], "element": raw["element"]}
    cells |= {"specification": SPECIFICATIONS[raw["source_id"]]}
    yield "filler_composition", cells | {"min": raw["min"], "max": raw["max"]}


@maker("joints_fillers/facts_stainless_composition.csv")
def stainless_composition(raw: Row) -> Made:
    cells = {"uns": raw["uns"], "element": raw["element"], "min": raw["min"], "max": raw["max"]}
    if raw["source_id"].startswith("astm-a240"):
        yield "base_metal_composition", cells | {"standard": "ASTM A240", "grade": raw["grade"]}
    elif "weld metal" in raw["grade"]:
        cells |= {"classification": raw["grade"].split()[0], "analysed": "weld metal"}
        yield "filler_composition", cells | {"min": "", "max": "", "typical": raw["min"]}
    else:
        cells |= {"classification": raw["grade"], "analysed": "wire", "remark": ""}
        yield "filler_composition", cells | {"specification": SPECIFICATIONS[raw["source_id"]]}


@maker("gmaw_fcaw/facts_filler_strength.csv")
def wire_strength(raw: Row) -> Made:
    name, condition = raw["classification"], raw["condition"]
    if raw["property"] == "impact_temperature":
        meaning = f"impact energy {condition} at temperature" if raw["min"] else condition
        symbol = name.removeprefix("ISO 14341 impact symbol ").replace(" or ", "; ")
        cells = {"scheme": "ISO 14341 impact", "symbol": symbol, "meaning": meaning}
        cells |= {"value": raw["min"], "unit": raw["unit"] if raw["min"] else "", "remark": ""}
        yield "designators", cells
        return
    specification = SPECIFICATIONS.get(raw["source_id"], "ISO 14341-A")
    cells = {
        "specification": specification,
        "classification": name.removeprefix("ISO 14341-A "),
        "property": PROPERTIES[raw["property"]],
        "min": raw["min"],
        "max": raw["max"],
        "unit": raw["unit"],
    }
    if condition.endswith(" F"):
        yield "filler_strength", cells | {"test_temperature": condition.removesuffix(" F")}
    else:
        yield "filler_strength", cells | {"condition": condition}


PROPERTIES = {
    "tensile": "tensile strength",
    "yield": "yield strength",
    "elongation": "elongation",
    "charpy_V": "impact energy",
}


@maker("joints_fillers/facts_filler_strength.csv")
def filler_strength(raw: Row) -> Made:
    for name, column, unit in (
        ("tensile strength", "tensile_min_ksi", "ksi"),
        ("yield strength", "yield_min_ksi", "ksi"),
        ("elongation", "elongation_min_pct", "%"),
    ):
        if raw[column]:
            cells = {"specification": f"AWS {raw['spec']}", "property": name, "unit": unit}
            cells |= {"classification": raw["classification"], "min": raw[column]}
            yield "filler_strength", cells


@maker("gmaw_fcaw/facts_shielding_gas_codes.csv")
def gas_code_examples(raw: Row) -> Made:
    cells = {"code": raw["code"], "statement": "example", "balance": raw["balance"]}
    for gas in ("CO2", "O2", "H2", "He", "N2"):
        share = raw[f"{gas}_pct"]
        cells |= {f"{gas.lower()}_min": share, f"{gas.lower()}_max": share}
    yield "shielding_gas_codes", cells


@maker("safety_gas_cutting/facts_iso14175_groups.csv")
def gas_codes(raw: Row) -> Made:
    cells = {"code": raw["symbol"], "statement": "bounds", "balance": raw["balance"]}
    for gas in ("co2", "o2"):
        cells |= {f"{gas}_min": raw[f"{gas}_min_excl"], f"{gas}_max": raw[f"{gas}_max"]}
    for gas in ("h2", "n2"):
        cells |= {f"{gas}_min": raw[f"{gas}_min"], f"{gas}_max": raw[f"{gas}_max"]}
    if found := re.search(r"([\d.]+)-([\d.]+) He", raw["remark"]):
        cells |= {"he_min": found[1], "he_max": found[2]}
    remarks = [raw["remark"]]
    if any(cells[f"{gas}_min"] not in {"", "0.5"} for gas in ("co2", "o2", "h2", "n2")):
        remarks.insert(0, "lower edges other than 0.5 exclusive, upper edges inclusive")
    yield "shielding_gas_codes", cells | {"remark": "; ".join(filter(None, remarks))}


@maker("safety_gas_cutting/facts_iso14175_tolerance.csv")
def gas_tolerance(raw: Row) -> Made:
    printed = raw["tolerance"]
    cells = {
        "component_min": raw["component_min_pct"],
        "component_max": raw["component_max_pct"],
        "as_printed": printed,
    }
    if "%" in printed:
        amount, _, unit = printed.partition("%")
        cells |= {"tolerance": amount, "unit": "%" + unit}
    yield "shielding_gas_tolerance", cells


@maker("gmaw_fcaw/facts_shielding_gas_selection.csv")
def gas_selection(raw: Row) -> Made:
    mode, note = raw["transfer_mode"], raw["thickness_note"]
    edges = band(note)
    if "not true spray" in mode:
        mode, note = "", mode
    printed = bool(edges.low or edges.high)
    yield (
        "shielding_gas_selection",
        {
            "process": "GMAW",
            "material": raw["metal"],
            "transfer_mode": listed(mode, "/"),
            "shielding_gas": listed(raw["shielding_gas"], " and "),
            "thickness_min": edges.low,
            "thickness_max": edges.high,
            "note": "" if printed else note,
            "as_printed": note if printed else "",
        },
    )


@maker("gtaw/facts_misc.csv")
def gtaw_misc(raw: Row) -> Made:
    topic, subject = raw["topic"], raw["subject"]
    if topic == "weld_discoloration":
        number = subject.removeprefix("sample ")
        yield "weld_discoloration", {"sample_number": number, "purge_oxygen": raw["value"]}
    elif topic == "document_state":
        yield "source_notes", {"note": f"{subject}: {raw['value']}"}
    else:
        yield "process_notes", _process_note(raw)


NOT_GTAW = {
    "arc_efficiency": "GTAW",
    "gas_welding_aluminium": "OFW",
    "plasma_arc": "PAW",
    "qualification_groups": "",
    "weldable_steels": "",
    "magnesium_preheat": "",
    "magnesium_stress_relief": "",
}
"""The process of the topics that are not about GTAW."""

SIDES = {
    "shielding gas purity at least": "min",
    "shielding gas dew point at or below": "max",
}


def _process_note(raw: Row) -> Row:
    topic, subject, value = raw["topic"], raw["subject"], raw["value"]
    held = {SIDES[subject]: value} if subject in SIDES else one_value(value)
    process = NOT_GTAW.get(topic, "GTAW")
    topic = topic.replace("_ac", " AC").replace("_", " ")
    cells = {"process": process, "topic": topic, "subject": subject}
    return cells | {"unit": raw["unit"], **held}


@maker("gtaw_round2/facts_plasma_titanium_misc.csv")
def plasma_titanium(raw: Row) -> Made:
    topic, subject, value = raw["topic"], raw["subject"], raw["value"]
    if topic == "arc_efficiency":
        cells = {"process": "GTAW", "kind": "simulated", "material": "Ti-6Al-4V"}
        yield "thermal_efficiency", cells | {"value": value, "unit": raw["unit"]}
    elif topic == "eye_protection":
        cells = {"process": "GTAW", "shade_suggested_min": value, "shade_suggested_max": value}
        cells |= band("76-200").named("current") | {"basis": "general-practice"}
        yield "filter_shades", cells
    elif subject.startswith("filler rod"):
        printed = subject.removeprefix("filler rod ")
        edges = band(printed)
        rods = [decimal(size) for size in value.split(" or ")]
        cells = {"material": "aluminium", "rod_min": rods[0], "rod_max": rods[-1]}
        cells |= {"thickness_min": edges.low, "thickness_max": edges.high}
        yield "oxyfuel_rods", cells | {"as_printed": f"{printed}: {value} in"}
    elif subject == "conventional DCEN plasma on aluminium":
        cells = {"process": "PAW", "material": "aluminium", "current_type": "DCEN"}
        yield "polarity", cells | {"advice": value}
    else:
        yield "process_notes", _process_note(raw)


@maker("smaw/facts_practice.csv")
def smaw_practice(raw: Row) -> Made:
    cells = {"process": "SMAW", "topic": raw["topic"], "min": raw["value_min"]}
    cells |= {"max": raw["value_max"], "unit": raw["unit"], "subject": raw["condition"]}
    yield "process_notes", cells


@maker("gtaw/facts_polarity.csv")
def polarity(raw: Row) -> Made:
    cells = {
        "process": "GTAW",
        "material": raw["material"],
        "current_type": raw["current_type"],
        "advice": raw["advice"],
        "as_printed": raw["thickness_text"],
    }
    yield "polarity", cells | band(raw["thickness_text"]).named("thickness")


@maker("gtaw/facts_tungsten_classes.csv")
def tungsten_classes(raw: Row) -> Made:
    source, remark = raw["source_id"], raw["remark"]
    edition = EDITIONS.get(source, "")
    if remark.startswith("A5.12-98"):
        edition = "1998"
    elif "ISO-harmonised" in remark:
        edition = "ISO-harmonised"
    cells = {
        "standard": SPECIFICATIONS.get(source, ""),
        "edition": edition,
        "class_code": raw["class_code"],
        "oxide": raw["oxide"].replace("lanthanum oxide", "La2O3"),
        "tip_colour": raw["tip_colour"],
    }
    if remark.startswith("nominal"):
        cells["oxide_nominal"] = raw["oxide_min"]
    else:
        cells |= {"oxide_min": raw["oxide_min"], "oxide_max": raw["oxide_max"]}
    yield "tungsten_classes", cells


GRADE_LISTS = {"A B CS D DS E", "A B D CS DS", "55 60 65", "304 304L 316 316L", "S31803 S32205"}
"""Grade cells that name several grades."""


@maker("joints_fillers/facts_base_metals.csv")
def base_metals(raw: Row) -> Made:
    printed = raw["grade"]
    cells = own(raw)
    cells["specification"] = cells.pop("spec")
    if printed in GRADE_LISTS:
        cells |= {"grade": listed(printed), "as_printed": printed}
    elif found := re.fullmatch(r"(\d*) ?\(?([<>].*?)\)?", printed):
        edges = band(found[2])
        cells |= {"grade": found[1], "thickness_over": edges.low, "thickness_to": edges.high}
        cells |= {"as_printed": printed}
    yield "base_metals", cells


@maker("joints_fillers/facts_p_numbers.csv")
def p_numbers(raw: Row) -> Made:
    cells = own(raw)
    if raw["grade"] in GRADE_LISTS:
        cells["grade"] = listed(raw["grade"])
    for old, new in (("spec", "specification"), ("p_no", "p_number"), ("group_no", "group_number")):
        cells[new] = cells.pop(old)
    yield "p_numbers", cells


@maker("joints_fillers/facts_p_number_ranges.csv")
def p_number_ranges(raw: Row) -> Made:
    if not raw["p_no_range"]:
        yield "p_number_ranges", {"note": raw["alloy_system"]}
        return
    first, _, last = raw["p_no_range"].partition(" through ")
    cells = {"alloy": raw["alloy_system"], "p_number_from": first, "p_number_to": last}
    yield "p_number_ranges", cells | {"as_printed": raw["p_no_range"]}


@maker("joints_fillers/facts_electrode_by_yield.csv")
def electrode_by_yield(raw: Row) -> Made:
    rule = raw["yield_rule"].removeprefix("base yield ")
    yield "matching_fillers", {"base_yield": rule, "classifications": raw["electrode"]}


@maker("joints_fillers/facts_matching_filler.csv")
def matching_filler(raw: Row) -> Made:
    printed = raw["classifications"]
    names, _, excluded = printed.partition(" except ")
    names = re.sub(r" \(A5\.\d\)|;", "", names)
    cells = {"base_group": raw["d11_group"], "process": raw["process"]}
    cells |= {"classifications": listed(names), "excluded": listed(excluded)}
    yield "matching_fillers", cells | {"as_printed": printed}


@maker("joints_fillers/facts_fitup_tolerance.csv")
def fitup_tolerance(raw: Row) -> Made:
    printed = raw["tolerance"]
    number = ONE_NUMBER.findall(printed)[0].lstrip("+-")
    cells = {"process": listed(raw["process"]), "feature": raw["feature"]}
    cells |= {"tolerance": decimal(number), "unit": raw["unit"] or "% of thickness"}
    yield "fitup_tolerance", cells | {"as_printed": printed}


@maker("joints_fillers/facts_iso5817_limits.csv")
def iso5817_limits(raw: Row) -> Made:
    standard, _, edition = raw["standard"].partition(":")
    cells = {"standard": standard, "edition": edition, "imperfection": raw["imperfection"]}
    cells |= {"iso_6520": raw["ref_6520"], "weld": raw["weld"]}
    cells |= band(raw["thickness_mm"]).named("thickness")
    for level in ("D", "C", "B"):
        if printed := raw[f"level_{level}"]:
            in_doubt = level == "D" and "cap for D not legible" in raw["remark"]
            limit = {"level": level, "as_printed": printed, "permitted": "false"}
            if found := LIMIT.match(printed):
                names = ("measure", "constant", "factor", "factor_of", "cap")
                limit |= {"permitted": "true", **dict(zip(names, found.groups(""), strict=True))}
            limit |= {"status": "uncertain" if in_doubt else ""}
            yield "iso5817_limits", cells | limit


@maker("joints_fillers/facts_iso15608_groups.csv")
def iso15608_groups(raw: Row) -> Made:
    cells = {"material_group": raw["group"], "meaning": raw["description"]}
    yield "iso15608_groups", cells | _yield_band(raw["description"])


def _yield_band(text: str) -> Row:
    edges = band(text) if "ReH" in text else Band()
    return {"yield_over": edges.low, "yield_to": edges.high}


@maker("joints_fillers/facts_positions.csv")
def positions(raw: Row) -> Made:
    names = {name: listed(raw[name]) for name in ("iso_6947", "aws_groove", "aws_fillet")}
    meaning = raw["meaning"]
    if raw["iso_6947"] == "test tolerance":
        names["iso_6947"], meaning = "", f"test tolerance: {meaning}"
    yield "position_designations", names | {"meaning": meaning}


@maker("joints_fillers/facts_prequalified_joints.csv")
def prequalified_joints(raw: Row) -> Made:
    cells = {
        "designation": raw["designation"],
        "process": listed(raw["process"]),
        "joint": raw["joint"],
        "thickness": raw["t1"],
        "thickness_max": decimal(raw["t1"].removesuffix(" max")) if "max" in raw["t1"] else "",
        "root_face_min": raw["root_face_min"],
        "root_face_max": raw["root_face_max"],
        "groove_angle": raw["groove_angle_deg"],
        "positions": listed(raw["positions"]),
        "gas_shielding": raw["gas_shielding"],
        "as_detailed_tolerance": raw["as_detailed_tol"],
        "as_fitup_tolerance": raw["as_fitup_tol"],
    }
    if raw["root_opening_min"].startswith("t"):
        cells["root_opening_rule"] = raw["root_opening_min"]
    else:
        for name in ("root_opening_min", "root_opening_max"):
            cells[name] = raw[name]
    yield "prequalified_joints", cells


@maker("joints_fillers/facts_visual_acceptance.csv")
def visual_acceptance(raw: Row) -> Made:
    standard, _, edition = raw["standard"].partition(":")
    cells = {"standard": f"AWS {standard}", "edition": edition, "condition": raw["condition"]}
    cells |= {"criterion": raw["criterion"].replace("_", " "), "loading": raw["loading"]}
    yield "visual_acceptance", cells | {"limit_value": raw["limit"], "unit": raw["unit"]}


@maker("joints_fillers/facts_weld_cost_shares.csv")
def weld_cost_shares(raw: Row) -> Made:
    printed = raw["value"] + " " + raw["unit"]
    cells = {"item": raw["item"], "as_printed": printed}
    if raw["value"].startswith("<"):
        yield "weld_cost_shares", cells | {"share_below": raw["value"].removeprefix("<")}
    else:
        yield "weld_cost_shares", cells | {"share": raw["value"]}


@maker("joints_fillers/facts_min_fillet_size.csv")
def minimum_fillet(raw: Row) -> Made:
    if not raw["thickness_over"] and not raw["thickness_to"]:  # holds at any thickness
        cells = {"rule": "smallest fillet", "condition": "D1.1:2020 4.18.3"}
        cells |= {"expression": raw["min_size"], "value": raw["min_size"]}
        yield "weld_size_rules", cells | {"unit": raw["size_unit"]}
        return
    names = ("system", "thickness_over", "thickness_to", "thickness_basis")
    cells = {name: raw[name] for name in names}
    yield "minimum_fillet", cells | {"size_min": raw["min_size"], "unit": raw["size_unit"]}


@maker("joints_fillers/facts_weld_size_rules.csv")
def weld_size_rules(raw: Row) -> Made:
    printed = raw["value"]
    number = decimal(printed) if ONE_NUMBER.fullmatch(printed) else ""
    cells = {"rule": raw["rule"].replace("_", " "), "condition": raw["condition"]}
    yield "weld_size_rules", cells | {"expression": printed, "value": number, "unit": raw["unit"]}


@maker("joints_fillers/facts_wire_sizes.csv")
def wire_sizes(raw: Row) -> Made:
    printed = raw["metric_nominal"]
    nominal, _, also = printed.removesuffix(")").partition(" (")
    cells = {"fraction": raw["fraction_in"], "decimal_in": raw["decimal_in"]}
    cells |= {"mm_exact": raw["mm_exact"], "metric_nominal": nominal, "metric_also": also}
    yield "wire_sizes", cells | {"as_printed": printed if also else ""}


@maker("preheat/facts_compositions.csv")
def steel_composition(raw: Row) -> Made:
    cells = own(raw)
    cells["thickness_over"] = cells.pop("thickness_min")
    cells["thickness_to"] = cells.pop("thickness_max")
    if raw["grade"] in {"shapes", "plates", "bars"}:  # ASTM A36 has no grades
        cells["grade"] = ""
    if "S printed 0.50 in this copy" in raw["remark"]:
        if raw["element"] == "S":
            cells["status"] = "misprint"
        elif raw["element"] == "Mn" and raw["thickness_min"] == "1.5":  # copies differ
            cells["status"] = "uncertain"
    yield "base_metal_composition", cells


@maker("preheat/facts_d11_annex_preheat.csv")
def d11_annex(raw: Row) -> Made:
    key1, key2, key3, value = (raw[c] for c in ("key1", "key2", "key3", "value"))
    if raw["table"] == "d1.1-susceptibility-group":
        cells = {"hydrogen_level": key1, "hydrogen": key2, "susceptibility_group": value}
        cells |= {"pcm_below": key3.removeprefix("Pcm<")}
        yield "d11_susceptibility_groups", cells
    elif raw["table"] == "d1.1-susceptibility-range":
        cells = {"susceptibility_group": key1, "index_min": key3, "index_max": value}
        yield "d11_susceptibility_ranges", cells
    else:
        edges = band(key2)
        if edges.low and edges.high:  # inner edges: which band owns them was not noted, but
            low_in = "true" if edges.low == "0.375" else ""  # "<3/8" leaves 3/8 to this band
            high_in = "true" if edges.high == "3" else ""  # and ">3" leaves 3 to this one
            edges = edges._replace(low_in=low_in, high_in=high_in)
        yield (
            "d11_annex_preheat",
            {
                "restraint": key1,
                **edges.named("thickness"),
                "susceptibility_group": key3,
                "preheat_min": value if is_number(value) else "",
                "as_printed": f"{key2}: {value}",
                "status": "uncertain" if value in {"<65", "65"} else "",
            },
        )


@maker("preheat/facts_factors_limits.csv")
def factors(raw: Row) -> Made:
    topic, key1, key2, key3, value = (raw[c] for c in ("table", "key1", "key2", "key3", "value"))
    match topic:
        case "thermal-efficiency-k":
            number = key1.removeprefix("ISO 4063 ")
            process = "; ".join(ISO_4063[number]) if number in ISO_4063 else key1
            cells = {"process": process, "iso_4063": number if number != key1 else ""}
            cells |= {"kind": "conventional", "value": value, "unit": "ratio"}
            yield "thermal_efficiency", cells
        case "measured-arc-efficiency":
            process = "GMAW; SAW" if key1.startswith("consumable") else key1
            cells = {"process": process, "kind": "measured", "material": key2.split()[0]}
            yield "thermal_efficiency", cells | {"value": value, "unit": "ratio"}
        case "hydrogen-scale-mL/100g":
            cells = {"scheme": "EN 1011-2", "level": key1, "hydrogen_to": key3}
            cells |= {"hydrogen_over": key2.removeprefix("over ")}
            cells |= {"hydrogen_to_inclusive": "true" if key3 else ""}
            cells |= {"as_printed": " to ".join(filter(None, (key2, key3)))}
            yield "hydrogen_levels", cells
        case "t85-shape-factor":
            low, _, high = key2.removeprefix("F2=").partition(" to ")
            low, high = (high, low) if high and float(high) < float(low) else (low, high or low)
            cells = {"joint": key1, "f2_min": low, "f2_max": high}
            cells |= {"f3": key3.removeprefix("F3="), "as_printed": f"{key2}, {key3}"}
            yield "cooling_time_factors", cells
        case "CEV-max" | "Ceq-max" | "Pcm-max" | "API5L-CE" | "CEV-max-allowance":
            yield "carbon_equivalent_limits", _carbon_equivalent(raw)
        case "iso-tr-15608-group":
            cells = {"material_group": key1, "meaning": key2, "limits": key3}
            yield "iso15608_groups", cells | _yield_band(key3)
        case "p-number":
            numbers, _, sub_group = key1.partition(" SG")
            parts = re.split(r" |-", numbers)
            cells = {"alloy": key2, "p_number_from": parts[0], "p_number_to": parts[-1]}
            cells |= {"sub_group": sub_group, "as_printed": key1 if key1 != parts[0] else ""}
            yield "p_number_ranges", cells
        case "case":
            metal, _, event = key1.partition(" cracked ")
            cells = {"topic": "case", "applies_to": metal}
            cells |= {"statement": f"cracked {event} {key2}; {key3}"}
            yield "preheat_notes", cells
        case _:
            words = ": ".join(filter(None, (key1, value)))
            cells = {"topic": NOTE_TOPICS[topic], "statement": words}
            yield "preheat_notes", cells


NOTE_TOPICS = {
    "iso-tr-17844-methods": "documents",
    "d14.8m": "documents",
    "d1.1-table-number": "documents",
    "46CFR": "documents",
    "navsea-278-mixed-groups": "mixed groups",
    "d1.1-mixed-categories": "mixed groups",
    "ce-formula-note": "carbon equivalent",
}


def _carbon_equivalent(raw: Row) -> Row:
    topic, key1, key2, value = (raw[c] for c in ("table", "key1", "key2", "value"))
    cells = {"statement": "maximum", "value": value}
    edges = band(key2)
    cells |= {"thickness_over": edges.low, "thickness_to": edges.high}
    if topic.startswith("CEV"):
        cells |= {"formula": "CEV", "standard": "EN 10025-2"}
        if topic == "CEV-max-allowance":
            condition, _, grades = key1.removesuffix(")").partition(" (")
            grade = listed(grades, ",")
            allowance = {"statement": "allowance", "value": value.removeprefix("+")}
            return cells | allowance | {"condition": condition, "grade": grade}
        return cells | {"grade": key1}
    if topic == "API5L-CE":
        formula, _, grade = key1.partition("-max ")
        name = {"CEIIW": "CE(IIW)"}.get(formula, formula)
        grade = grade.removesuffix(" PSL2 (N,Q,R)").replace("..", " to ") + " (N; Q; R)"
        return cells | {"formula": name, "standard": "API 5L PSL2", "grade": grade}
    standard, _, grade = key1.partition(" ")
    return cells | {"formula": topic.removesuffix("-max"), "standard": standard, "grade": grade}


@maker("safety_gas_cutting/facts_exposure_limits.csv")
def exposure_limits(raw: Row) -> Made:
    kind = {"PEL": "TWA", "as printed": ""}.get(raw["limit_type"], raw["limit_type"])
    side_rule = kind in {"action level", "objective-data exclusion"}
    yield (
        "exposure_limits",
        {
            "agent": raw["agent"],
            "body": raw["body"],
            "limit_name": "" if side_rule else LIMIT_NAMES[raw["body"]],
            "limit_type": kind,
            "value": raw["value"],
            "unit": raw["unit"],
            "averaging_time": raw["basis"],
        },
    )


@maker("safety_gas_cutting/facts_rules.csv")
def safety_rules(raw: Row) -> Made:
    si_value, _, si_unit = raw["value_si_printed"].partition(" ")
    cells = {name: raw[name] for name in ("rule", "quantity", "relation", "unit", "condition")}
    cells["value" if is_number(raw["value"]) else "as_printed"] = raw["value"]
    yield "safety_rules", cells | {"value_si": si_value, "unit_si": si_unit}


PROCESS_WORDS = {
    "SMAW",
    "arc-air cutting and gouging",
    "atomic hydrogen",
    "carbon arc welding",
    "soldering",
    "torch brazing",
    "torch soldering",
}
"""Conditions of the shade tables that only name the process."""


@maker("safety_gas_cutting/facts_shades.csv")
def filter_shades(raw: Row) -> Made:
    condition, edition = raw["condition"], ""
    if condition == "40-60 A, second copy":
        condition, edition = "second copy", "2012"
    elif found := re.fullmatch(r"(?:(\w+), )?(\d{4}) edition", condition):
        condition, edition = found[1] or "", found[2]
    if condition in PROCESS_WORDS:
        condition = ""
    regulation, basis = REGULATIONS.get(raw["source_id"], ("", "recommended"))
    lightest, darkest, printed = _suggested(raw)
    yield (
        "filter_shades",
        {
            "process": listed(raw["process"], "/"),
            "condition": condition.removeprefix("GMAW "),
            "edition": edition,
            **_shade_band(raw, "electrode", "electrode_size_{}_32nd_in"),
            **_shade_band(raw, "current", "current_{}_A"),
            **_shade_band(raw, "plate", "plate_{}_in"),
            "shade_min": raw["shade_min"],
            "shade_suggested_min": lightest,
            "shade_suggested_max": darkest,
            "as_printed": printed,
            "regulation": regulation,
            "basis": basis,
        },
    )


def _suggested(raw: Row) -> tuple[str, str, str]:
    printed = raw["shade_suggested"]
    if found := re.search(r"printed '(\d+ or \d+)'", raw["remark"]):
        printed = found[1]
    shades = re.findall(r"\d+", printed)
    if not shades:
        return "", "", ""
    return shades[0], shades[-1], printed if len(shades) > 1 else ""


def _shade_band(raw: Row, name: str, column: str) -> Row:
    """Name the edges; say which belong to the band only where the wording is known.

    The two federal tables print "less than" and "under" for the first band, "more than" and
    "over" for the last, and two numbers with a dash for the others. The other lists name each
    electrode size.
    """
    low, high = raw[column.format("min")], raw[column.format("max")]
    low_in = high_in = ""
    if raw["source_id"] in {"cfr-29-1910-133", "cfr-29-1915-153"}:
        low_in, high_in = _flag(bool(high)), _flag(bool(low))
    elif name == "electrode" and raw["source_id"] != "ansi-z49-1":
        low_in = high_in = "true"
    return Band(low, low_in if low else "", high, high_in if high else "").named(name)


@maker("safety_gas_cutting/facts_source_notes.csv")
def source_notes(raw: Row) -> Made:
    yield "source_notes", {"note": re.sub(r"^(read|secondary|memory): ", "", raw["note"])}


@maker("smaw/facts_classification.csv")
def smaw_classes(raw: Row) -> Made:
    printed = raw["yield_min_ksi"]
    low, _, high = printed.partition("-")
    places = raw["positions"]
    yield (
        "smaw_classes",
        {
            "classification": raw["classification"],
            "position_digit": raw["position_digit"],
            "positions": listed(places, ", " if "," in places else " "),
            "covering": raw["covering"],
            "current": raw["current"],
            "tensile_min": raw["tensile_min_ksi"],
            "yield_min": low,
            "yield_max": high,
            "elongation_min": raw["elongation_min_pct"],
            "impact_energy_min": raw["impact_min_ftlbf"],
            "impact_temperature": raw["impact_temp_F"],
            "as_printed": printed if high else "",
        },
    )


@maker("smaw/facts_storage_moisture.csv")
def electrode_storage(raw: Row) -> Made:
    filler = raw["filler"].replace("low-hydrogen", "low hydrogen").replace(", ", "; ")
    if filler == "same with R suffix":  # as the row before it
        filler = "E7015R; E7016R; E7018R; E7028R; E7048R"
    cells = {"topic": raw["topic"], "filler": filler, "condition": raw["condition"]}
    cells |= {"min": raw["value_min"], "max": raw["value_max"], "unit": raw["unit"]}
    yield "electrode_storage", cells


@maker("smaw/facts_equivalents.csv")
def electrode_equivalents(raw: Row) -> Made:
    cells = own(raw)
    found = re.match(r"nearest ISO 2560-B (\S+); ISO 2560-A about (.+?) or (.+?); ", raw["remark"])
    if found:
        cells |= {"iso_2560_b": found[1], "iso_2560_a": f"{found[2]}; {found[3]}"}
        cells["remark"] = raw["remark"][found.end() :]
    yield "electrode_equivalents", cells


# Worked examples


def example(raw: Row) -> Made:
    """Give an example its kind, a topic of the vocabulary and a tolerance that is a number."""
    topic, tolerance = raw["topic"], raw["tolerance"]
    for column in ("inputs", "expected"):
        json.loads(raw[column])
    if tolerance == "exact":
        tolerance = "0"
    elif tolerance == "1 C or 0.1 mm":
        expected = json.loads(raw["expected"])
        tolerance = "1" if "Tp_C" in expected else "0.1" if "Y_mm" in expected else "0"
    elif found := ONE_NUMBER.match(tolerance.removeprefix("+-")):
        tolerance = found[0]
    else:
        tolerance = ""
    computed = raw["how_read"] == "computed"
    remarks = [topic] if " " in topic else []
    if computed:
        remarks.append("the formula was read, the answer is our own arithmetic")
    yield (
        EXAMPLES,
        {
            "example_id": raw["id"],
            "kind": "computed" if computed or raw["id"] in COMPUTED else "published",
            "topic": TOPICS[topic],
            "inputs": raw["inputs"],
            "expected": raw["expected"],
            "tolerance": tolerance,
            "how_read": FORMULA_GRADES[raw["source_id"]] if computed else raw["how_read"],
            "remark": "; ".join(filter(None, (*remarks, raw["remark"]))),
        },
    )


# Running it all


def read_table(path: Path) -> list[Row]:
    """Read a CSV file."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


TOPICS = {
    row["raw_topic"]: row["topic"] for row in read_table(CURATION / "worked_example_topics.csv")
}
MERGES = {row["raw_id"]: row["source_id"] for row in read_table(CURATION / "source_merges.csv")}
RAW_IDS = re.compile(rf"(?<![\w-])(?:{'|'.join(sorted(MERGES, key=len, reverse=True))})(?![\w-])")
LEFT_OUT = {
    Place(row["raw_file"], int(row["raw_line"])): row["reason"]
    for row in read_table(CURATION / "reference_left_out.csv")
}


def raw_rows(raw_dir: Path) -> Iterator[tuple[Place, Row]]:
    """Read every raw file; the line is that of the file, the heading being line 1."""
    paths = [
        path for pattern in ("facts_*.csv", *EXAMPLE_FILES) for path in raw_dir.glob(f"*/{pattern}")
    ]
    for path in sorted(paths):
        for line, raw in enumerate(read_table(path), start=2):
            yield Place(path.relative_to(raw_dir).as_posix(), line), raw


def tidy(text: str) -> str:
    """Apply the spellings of `WORDS`."""
    for pattern, word in WORDS:
        text = pattern.sub(word, text)
    return text


def curate(place: Place, raw: Row) -> Made:
    """Make the rows of one raw row, with the columns they all share."""
    if "status" in raw:  # the polarity sheet has its own status column
        raw["advice"] = raw.pop("status")
    raw.setdefault("remark", "")
    if place in LOCATORS:
        raw["locator"], raw["remark"] = LOCATORS[place]
    raw["remark"] = REMARKS.get(place, raw["remark"])
    words = " | ".join(cell for name, cell in raw.items() if name not in {"source_id", "locator"})
    status = "uncertain" if DOUBT.search(words) and place not in NO_DOUBT else ""
    if place in MISPRINTS:
        status = "misprint"
    make = example if place.file.endswith(EXAMPLE_FILES) else MAKERS.get(place.file)
    if make is None:
        raise SystemExit(f"{place.file}: no function curates this file")
    for table, cells in make(raw):
        shared = {name: raw.get(name, "") for name in SHARED} | {"status": status}
        row = {name: tidy(cell) for name, cell in (shared | cells).items()}
        for name in ("locator", "remark"):
            row[name] = RAW_IDS.sub(lambda found: MERGES[found[0]], row[name])
        row["source_id"] = MERGES.get(raw["source_id"], raw["source_id"])
        for name in ("unit", "unit_si", "tested_unit"):
            if name in row:
                row[name] = unit_name(row[name])
        yield table, row


def unit_name(unit: str) -> str:
    """Spell a unit one way: degF and degC, percent, ft*lbf, mi/h."""
    unit = {"wt%": "%", "ft-lb": "ft*lbf", "mph": "mi/h"}.get(unit, unit)
    return re.sub(r"(?<![A-Za-z.])([CF])(?![A-Za-z])", r"deg\1", unit)


def numeric_columns(table: str) -> list[str]:
    """List the columns of a table that hold numbers."""
    return [name for name, column in SCHEMAS[table].columns.items() if "float" in str(column.dtype)]


def check_numbers(place: Place, raw: Row, made: list[tuple[str, Row]]) -> None:
    """Fail if a number came from nowhere or a numeric raw cell is nowhere to be found."""
    printed = numbers_in(" | ".join(raw.values()))
    kept = {number for _, row in made for number in numbers_in(" | ".join(row.values()))}
    for table, row in made:
        for name in numeric_columns(table):
            cell = row.get(name, "")
            if (
                cell
                and abs(float(cell)) not in printed
                and (table, name) != (EXAMPLES, "tolerance")
            ):
                raise SystemExit(f"{place}: {table}.{name} {cell} is not in the raw row")
    for name, cell in raw.items():
        if is_number(cell) and abs(float(cell)) not in kept:
            raise SystemExit(f"{place}: {name} {cell} is lost")


def sort_key(table: str, row: Row) -> list[tuple[tuple[float, float, str], ...]]:
    """Order by the key columns, numbers by size."""
    unique = SCHEMAS[table].unique or []
    numeric = set(numeric_columns(table))
    names = [*unique, *SCHEMAS[table].columns]
    return [natural(row[name], number=name in numeric) for name in names]


def natural(text: str, *, number: bool) -> tuple[tuple[float, float, str], ...]:
    """Order digits in a text by value (and 000 before 00 before 0), the rest by letter."""
    if number:
        return ((float(text or "-inf"), 0.0, ""),)
    return tuple(
        (float(part), -len(part), "") if part.isdigit() else (float("inf"), 0.0, part)
        for part in re.split(r"(\d+)", text)
        if part
    )


def check_and_order(made: dict[str, dict[Place, list[Row]]]) -> dict[str, list[Row]]:
    """Complete and sort the rows of each table; fail if two share a key."""
    tables = {}
    for table, schema in SCHEMAS.items():
        seen: dict[tuple[str, ...], Place] = {}
        rows = []
        for place, cells in ((p, row) for p, found in made[table].items() for row in found):
            if unknown := set(cells) - set(schema.columns):
                raise SystemExit(f"{place}: {table} has no column {sorted(unknown)}")
            row = {name: cells.get(name, "") for name in schema.columns}
            numeric = numeric_columns(table)
            identity = tuple(
                str(float(row[name])) if name in numeric and row[name] else row[name]
                for name in schema.unique
            )
            if identity in seen:
                raise SystemExit(f"{table}: {place} repeats {seen[identity]}: {identity}")
            seen[identity] = place
            rows.append(row)
        tables[table] = sorted(rows, key=lambda row, table=table: sort_key(table, row))
    return tables


def main(raw_dir: Path, out_dir: Path) -> None:
    """Curate everything under `raw_dir` into `out_dir`."""
    made: dict[str, dict[Place, list[Row]]] = {table: {} for table in SCHEMAS}
    unused = set(LEFT_OUT)
    unread = set(MAKERS)
    for place, raw in raw_rows(raw_dir):
        unused.discard(place)
        unread.discard(place.file)
        if place in LEFT_OUT:
            continue
        rows = list(curate(place, dict(raw)))
        tables = {table for table, _ in rows}
        if len(tables) != 1:
            raise SystemExit(f"{place}: a raw row must end in one table, not in {sorted(tables)}")
        check_numbers(place, raw, rows)
        made[tables.pop()][place] = [row for _, row in rows]
    if unused or unread:
        raise SystemExit(f"not in the raw files: {sorted(unused)} {sorted(unread)}")
    for table, rows in check_and_order(made).items():
        folder = out_dir if table == EXAMPLES else out_dir / "reference"
        folder.mkdir(parents=True, exist_ok=True)
        with (folder / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(SCHEMAS[table].columns), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
        print(f"{table}: {len(rows)}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
