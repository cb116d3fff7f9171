"""The reference tables: every file follows its schema, and the schema refuses what is wrong.

Expected values are written here by hand from the documents the test names.
"""

from fractions import Fraction
from functools import cache

import pandas as pd
import pytest
from pandera.errors import SchemaErrors

from weldref.data.folder import datasets_folder
from weldref.data.schemas.bases import SEEN_BASES, STATUSES, VERDICT_BASES
from weldref.data.schemas.declared import declared
from weldref.data.schemas.schema import schema_of
from weldref.exchange.table_schema import table_schema
from weldref.grades import GRADES

NAMES = [name for name, table in declared().items() if table.statements]


def read(name: str) -> pd.DataFrame:
    frame = pd.read_csv(
        datasets_folder() / declared()[name].files, dtype=str, keep_default_na=False
    )
    return frame.replace("", pd.NA)


@cache
def typed(name: str) -> pd.DataFrame:
    return schema_of(name).validate(read(name), lazy=True)


# Every file and every declaration


def test_files_are_plain_utf8_with_unix_line_ends() -> None:
    for path in sorted(datasets_folder().rglob("*.csv")):
        content = path.read_bytes()
        assert b"\r" not in content, path
        assert content.endswith(b"\n"), path
        assert content.decode("utf-8"), path


def test_tables_are_described_and_keyed() -> None:
    for name, table in declared().items():
        assert table.about, name
        assert set(table.key) <= set(table.columns), name
        assert table.key or any(column.unique for column in schema_of(name).columns.values()), name
        assert all(column.description for column in schema_of(name).columns.values()), name


def test_the_words_of_the_code_are_those_of_the_tables() -> None:
    accepted = {
        field["name"]: tuple(field.get("constraints", {}).get("enum", ()))
        for field in table_schema("windows")["fields"]
    }
    assert accepted["basis"] == VERDICT_BASES + SEEN_BASES
    assert accepted["how_read"] == GRADES
    assert accepted["status"] == STATUSES


DOUBT = "uncertain|flattened|inferred|cut off|garbled|scrambled|legible|out of line|by order|copies"


def test_doubtful_row_says_why() -> None:
    evidence = ["source_id", "locator", "how_read", "status"]
    for name in NAMES:
        frame = read(name)
        rows = frame[frame["status"] == "uncertain"].drop(columns=evidence)
        words = rows.fillna("").agg(" ".join, axis=1) if len(rows) else pd.Series(dtype=str)
        assert words.str.contains(DOUBT).all(), name


# 29 CFR 1910.133(a)(5): minimum protective shades

SMAW_SIZES = ((None, 3), (3, 5), (5, 8), (8, None))
FEDERAL_SHADES = {
    # process, condition: (electrode in 1/32 in, current in A, plate in in): minimum shade
    ("SMAW", ""): [
        (SMAW_SIZES[0], (None, 60), (None, None), 7),
        (SMAW_SIZES[1], (60, 160), (None, None), 8),
        (SMAW_SIZES[2], (160, 250), (None, None), 10),
        (SMAW_SIZES[3], (250, 550), (None, None), 11),
    ],
    ("GMAW; FCAW", ""): [
        ((None, None), (None, 60), (None, None), 7),
        ((None, None), (60, 160), (None, None), 10),
        ((None, None), (160, 250), (None, None), 10),
        ((None, None), (250, 500), (None, None), 10),
    ],
    ("GTAW", ""): [
        ((None, None), (None, 50), (None, None), 8),
        ((None, None), (50, 150), (None, None), 8),
        ((None, None), (150, 500), (None, None), 10),
    ],
    ("CAC-A", "light"): [((None, None), (None, 500), (None, None), 10)],
    ("CAC-A", "heavy"): [((None, None), (500, 1000), (None, None), 11)],
    ("PAW", ""): [
        ((None, None), (None, 20), (None, None), 6),
        ((None, None), (20, 100), (None, None), 8),
        ((None, None), (100, 400), (None, None), 10),
        ((None, None), (400, 800), (None, None), 11),
    ],
    ("PAC", "light"): [((None, None), (None, 300), (None, None), 8)],
    ("PAC", "medium"): [((None, None), (300, 400), (None, None), 9)],
    ("PAC", "heavy"): [((None, None), (400, 800), (None, None), 10)],
    ("TB", ""): [((None, None), (None, None), (None, None), 3)],
    ("TS", ""): [((None, None), (None, None), (None, None), 2)],
    ("CAW", ""): [((None, None), (None, None), (None, None), 14)],
    ("OFW", "light"): [((None, None), (None, None), (None, 0.125), 4)],
    ("OFW", "medium"): [((None, None), (None, None), (0.125, 0.5), 5)],
    ("OFW", "heavy"): [((None, None), (None, None), (0.5, None), 6)],
    ("OFC", "light"): [((None, None), (None, None), (None, 1), 3)],
    ("OFC", "medium"): [((None, None), (None, None), (1, 6), 4)],
    ("OFC", "heavy"): [((None, None), (None, None), (6, None), 5)],
}


def federal_shades(regulation: str) -> pd.DataFrame:
    frame = typed("filter_shades")
    return frame[frame["regulation"] == regulation]


@pytest.mark.parametrize("regulation", ["29 CFR 1910.133(a)(5)", "29 CFR 1915.153"])
def test_federal_shade_table_cell_by_cell(regulation: str) -> None:
    """1910.133 Eye and face protection; 1915.153 prints the same table for shipyards."""
    frame = federal_shades(regulation)
    found: dict[tuple[str, str], list[tuple[object, ...]]] = {}
    bands = ["electrode_min", "electrode_max", "current_min", "current_max"]
    bands += ["plate_min", "plate_max"]
    for row in frame.sort_values(bands, na_position="first").to_dict("records"):
        edges = [None if pd.isna(row[name]) else row[name] for name in bands]
        condition = "" if pd.isna(row["condition"]) else row["condition"]
        cell = (tuple(edges[0:2]), tuple(edges[2:4]), tuple(edges[4:6]), row["shade_min"])
        found.setdefault((row["process"], condition), []).append(cell)
    assert found == FEDERAL_SHADES
    assert len(frame) == 29


@pytest.mark.parametrize("regulation", ["29 CFR 1910.133(a)(5)", "29 CFR 1915.153"])
def test_federal_shades_are_legal_minima_with_no_suggestion(regulation: str) -> None:
    frame = federal_shades(regulation)
    assert set(frame["basis"]) == {"limit"}
    assert frame[["shade_suggested_min", "shade_suggested_max"]].isna().all(axis=None)


def test_federal_shade_bands_own_their_edges_as_printed() -> None:
    """Less than 60 A; 60 to 160 A; more than 8/32 in; under 1/8 in; over 1/2 in."""
    frame = federal_shades("29 CFR 1910.133(a)(5)")
    for name in ("electrode", "current", "plate"):
        first = frame[frame[f"{name}_min"].isna() & frame[f"{name}_max"].notna()]
        last = frame[frame[f"{name}_min"].notna() & frame[f"{name}_max"].isna()]
        inner = frame[frame[f"{name}_min"].notna() & frame[f"{name}_max"].notna()]
        assert set(first[f"{name}_max_inclusive"]) == {"false"}
        assert set(last[f"{name}_min_inclusive"]) <= {"false"}
        assert set(inner[f"{name}_min_inclusive"]) == {"true"}
        assert set(inner[f"{name}_max_inclusive"]) == {"true"}


def test_suggested_shade_is_never_lighter_than_the_minimum_beside_it() -> None:
    frame = typed("filter_shades")
    both = frame[frame["shade_min"].notna() & frame["shade_suggested_min"].notna()]
    assert (both["shade_suggested_min"] >= both["shade_min"]).all()
    assert set(both["source_id"]) == {"ansi-z49-1"}


# AISC 360-05 Table J2.4: minimum size of fillet welds

MINIMUM_FILLETS = {
    "US": [(None, 0.25, 1 / 8), (0.25, 0.5, 3 / 16), (0.5, 0.75, 1 / 4), (0.75, None, 5 / 16)],
    "SI": [(None, 6, 3), (6, 13, 5), (13, 19, 6), (19, None, 8)],
}


@pytest.mark.parametrize("system", MINIMUM_FILLETS)
def test_minimum_fillets_of_aisc_360_table_j2_4(system: str) -> None:
    frame = typed("minimum_fillet")
    rows = frame[(frame["source_id"] == "aisc-360-05-j2") & (frame["system"] == system)]
    found = [
        tuple(None if pd.isna(edge) else edge for edge in edges)
        for edges in rows[["thickness_over", "thickness_to", "size_min"]].itertuples(index=False)
    ]
    assert sorted(found, key=lambda edges: edges[2]) == MINIMUM_FILLETS[system]
    assert set(rows["locator"]) == {"Table J2.4"}
    assert set(rows["unit"]) == {"in" if system == "US" else "mm"}


# 15 U.S.C. 206: standard gauge for sheet and plate iron and steel

GAUGES = {
    # gauge: fraction of an inch, inches, millimetres, ounces and pounds per square foot
    "0000000": ("1/2", 0.5, 12.7, 320, 20),
    "0": ("5/16", 0.3125, 7.9375, 200, 12.5),
    "3": ("1/4", 0.25, 6.35, 160, 10),
    "7": ("3/16", 0.1875, 4.7625, 120, 7.5),
    "10": ("9/64", 0.140625, 3.571875, 90, 5.625),
    "11": ("1/8", 0.125, 3.175, 80, 5),
    "14": ("5/64", 0.078125, 1.984375, 50, 3.125),
    "15": ("9/128", 0.0703125, 1.7859375, 45, 2.8125),
    "16": ("1/16", 0.0625, 1.5875, 40, 2.5),
    "17": ("9/160", 0.05625, 1.42875, 36, 2.25),
    "18": ("1/20", 0.05, 1.27, 32, 2),
    "20": ("3/80", 0.0375, 0.9525, 24, 1.5),
    "21": ("11/320", 0.034375, 0.873125, 22, 1.375),
    "30": ("1/80", 0.0125, 0.3175, 8, 0.5),
    "38": ("1/160", 0.00625, 0.15875, 4, 0.25),
}


@pytest.mark.parametrize("gauge", GAUGES)
def test_gauge_of_15_usc_206(gauge: str) -> None:
    row = typed("sheet_gauges").set_index("gauge").loc[gauge]
    columns = ["fraction", "thickness_in", "thickness_mm", "weight_oz_per_ft2", "weight_lb_per_ft2"]
    assert tuple(row[columns]) == GAUGES[gauge]


def test_gauges_follow_the_statute_from_its_weights() -> None:
    """The statute rests on 640 oz (40 lb) per square foot and inch of wrought iron."""
    frame = typed("sheet_gauges")
    assert list(frame["gauge"]) == ["0" * n for n in range(7, 0, -1)] + [
        str(n) for n in range(1, 39)
    ]
    for row in frame.itertuples():
        inches = Fraction(row.fraction)
        assert row.thickness_in == float(inches)
        assert row.weight_oz_per_ft2 == 640 * row.thickness_in
        assert row.weight_lb_per_ft2 == 40 * row.thickness_in
        assert row.thickness_mm == pytest.approx(25.4 * row.thickness_in, abs=1e-7)


# What no edit may change


def test_printed_misprints_are_kept_and_marked() -> None:
    """Four or six for five or six; JIS D3410 for D4310; 0.50 sulfur; a cold arc; a bad pair."""
    shades = typed("filter_shades")
    row = shades[(shades["status"] == "misprint")].squeeze()
    assert (row["as_printed"], row["source_id"]) == ("4 or 6", "mi-r408-40624a")
    jis = typed("electrode_equivalents").query("status == 'misprint'")
    assert list(jis["jis"]) == ["D3410"]
    steel = typed("base_metal_composition").query("status == 'misprint'")
    assert set(zip(steel["standard"], steel["element"], strict=True)) == {("ASTM A36", "S")}


def test_iso_5817_limits_are_split_as_printed() -> None:
    """ISO 5817:2014 no. 1.9: excess weld metal, butt weld, h <= 1 + 0.15 b, max. 7 mm."""
    frame = typed("iso5817_limits").query("source_id == 'iso-5817-2014-extract'")
    row = frame[(frame["iso_6520"] == "502") & (frame["level"] == "C")].squeeze()
    parts = ["permitted", "measure", "constant", "factor", "factor_of", "cap"]
    assert tuple(row[parts]) == ("true", "h", 1, 0.15, "b", 7)
    forbidden = typed("iso5817_limits").query("permitted == 'false'")
    assert set(forbidden["as_printed"]) == {"not permitted"}
    assert forbidden[["constant", "factor", "cap"]].isna().all(axis=None)


def test_published_gas_example_lies_inside_its_code() -> None:
    """ISO 14175:1997 clause 4: 10 % CO2 and 3 % O2 in argon is M24."""
    frame = typed("shielding_gas_codes").set_index(["code", "statement"])
    bounds, example = frame.loc[("M24", "bounds")], frame.loc[("M24", "example")]
    assert bounds["co2_min"] < example["co2_min"] <= bounds["co2_max"]
    assert bounds["o2_min"] < example["o2_min"] <= bounds["o2_max"]


def test_steel_thickness_bands_name_their_unit() -> None:
    steel = typed("base_metal_composition")
    banded = steel["thickness_over"].notna() | steel["thickness_to"].notna()
    assert (steel["thickness_unit"].notna() == banded).all()


# One planted mistake for each kind of rule


def refused(name: str, frame: pd.DataFrame) -> str:
    """Return the names of the checks that refuse a frame."""
    with pytest.raises(SchemaErrors) as caught:
        schema_of(name).validate(frame, lazy=True)
    return " | ".join(map(str, caught.value.failure_cases["check"]))


def planted(name: str, column: str, value: object) -> pd.DataFrame:
    frame = read(name).head(3)
    frame.loc[0, column] = value
    return frame


@pytest.mark.parametrize(
    ("name", "column", "value", "check"),
    [
        ("sheet_gauges", "gauge", pd.NA, "not_nullable"),
        ("sheet_gauges", "thickness_in", pd.NA, "not_nullable"),
        ("densities", "source_id", pd.NA, "not_nullable"),
        ("densities", "density", "heavy", "coerce_dtype"),
        ("densities", "density", "0", "greater_than"),
        ("local_exhaust", "airflow", "-150", "greater_than"),
        ("filter_shades", "current_min", "-1", "greater_than_or_equal_to"),
        ("filter_shades", "shade_min", "15", "less_than_or_equal_to"),
        ("deposition_efficiency", "max", "120", "less_than_or_equal_to"),
        ("densities", "unit", "lb/yd3", "isin"),
        ("densities", "how_read", "seen", "isin"),
        ("densities", "status", "wrong", "isin"),
        ("filter_shades", "current_max_inclusive", "yes", "isin"),
        ("iso5817_limits", "level", "A", "isin"),
        ("worked_examples", "topic", "welding", "isin"),
        ("worked_examples", "inputs", "{current: 120}", "give a JSON object"),
        ("worked_examples", "expected", "[120]", "give a JSON object"),
    ],
)
def test_wrong_cell_is_refused(name: str, column: str, value: object, check: str) -> None:
    assert check in refused(name, planted(name, column, value))


def test_two_rows_with_one_key_are_refused() -> None:
    frame = read("sheet_gauges")
    assert "multiple_fields_uniqueness" in refused(
        "sheet_gauges", pd.concat([frame, frame.head(1)], ignore_index=True)
    )


def test_missing_unknown_and_misplaced_columns_are_refused() -> None:
    frame = read("densities")
    assert "column_in_dataframe" in refused("densities", frame.drop(columns="unit"))
    assert "column_in_schema" in refused("densities", frame.assign(colour="grey"))
    assert "column_ordered" in refused("densities", frame[[*frame.columns[::-1]]])


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("filter_shades", "current_min", "current_max"),
        ("minimum_pjp", "thickness_over", "thickness_to"),
        ("deposition_efficiency", "min", "max"),
    ],
)
def test_band_that_is_upside_down_is_refused(name: str, low: str, high: str) -> None:
    frame = read(name)
    line = int((frame[low].notna() & frame[high].notna()).to_numpy().nonzero()[0][0])
    frame.loc[line, low], frame.loc[line, high] = frame.loc[line, high], frame.loc[line, low]
    assert "upper edge of a band" in refused(name, frame)


def test_row_without_a_shade_is_refused() -> None:
    columns = ["shade_min", "shade_suggested_min", "shade_suggested_max"]
    frame = read("filter_shades")
    frame.loc[0, columns] = pd.NA
    assert "needs a minimum or a suggested shade" in refused("filter_shades", frame)


def test_limit_given_twice_is_refused() -> None:
    frame = read("qualification_rules")
    line = int(frame["upper"].notna().to_numpy().nonzero()[0][0])
    frame.loc[line, "upper_rule"] = "2T"
    assert "not as both" in refused("qualification_rules", frame)
