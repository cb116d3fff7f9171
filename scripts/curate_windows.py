"""Turn the raw readings into datasets/windows, sources.csv and process_facts.csv.

The mechanical part of curation. Judgement stands in curation/maps.py and the CSV files
beside it. Run once for a batch of raw readings; afterwards datasets/ itself is edited.

    python scripts/curate_windows.py RAW_DIR DATASETS_DIR
"""

from __future__ import annotations

import csv
import itertools
import re
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from curation import maps

Row = dict[str, str]
HERE = Path(__file__).parent / "curation"

COLUMNS = (
    "window_id line process transfer_mode material filler_class tungsten_class electrode_size "
    "filler_size cup joint joint_detail position thickness_min thickness_min_inclusive "
    "thickness_max thickness_max_inclusive thickness_unit polarity gas gas_role technique pass "
    "environment other_condition quantity min max typical unit basis status source_id locator "
    "how_read remark"
).split()
FACT_COLUMNS = (
    "fact_id process transfer_mode material filler_class electrode_size joint joint_detail "
    "position thickness_min thickness_max thickness_unit polarity gas environment other_condition "
    "quantity min max typical unit basis status source_id locator how_read remark"
).split()
FOLDERS = (
    "smaw smaw_cutting_round2 gmaw_fcaw gmaw_round2 gtaw gtaw_round2 safety_gas_cutting "
    "joints_fillers preheat procedures common_practice"
).split()
# Columns as printed from left to right, where rows of one line repeat a quantity.
COLUMN_ORDER = {
    "welding-of-aluminium-2002": ("travel_speed", "gas_flow", "current", "voltage"),
}
SAME_STEEL_CODES = {
    "aws-d11-t37-memory",
    "aws-d11-2020-fig51-p87",
    "aws-d11-minfillet-p204",
    "aisc-360-05-j2",
}
GRADES = ("read", "secondary", "memory")


def read(path: Path) -> list[Row]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def write(path: Path, columns: Iterable[str], rows: Iterable[Row]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(columns), lineterminator="\n", restval="")
        writer.writeheader()
        writer.writerows(rows)


MERGES = {row["raw_id"]: row["source_id"] for row in read(HERE / "source_merges.csv")}


def grade_of(how_read: str) -> tuple[str, str]:
    """Split "read (one page)" into the grade and the rest."""
    first = re.split(r"[ (/]", how_read.strip(), maxsplit=1)[0]
    rest = how_read.strip()[len(first) :].strip(" ()/")
    return first, rest


def curate_sources(raw: Path) -> list[Row]:
    titles = {row["source_id"]: row for row in read(HERE / "source_titles.csv")}
    merged: dict[str, list[Row]] = defaultdict(list)
    for path in sorted(raw.glob("*/sources.csv")):
        for row in read(path):
            merged[MERGES.get(row["source_id"], row["source_id"])].append(row)
    rows = []
    for source_id, documents in sorted(merged.items()):
        grades = [grade_of(d["how_read"]) for d in documents]
        best = min((g for g, _ in grades), key=GRADES.index)
        notes = dict.fromkeys(rest for _, rest in grades if rest)
        row = {
            "source_id": source_id,
            "title": documents[0]["title"],
            "issuer": documents[0]["issuer"],
            "document_number": documents[0]["document_number"],
            "edition": documents[0]["edition_year"].replace("edition not shown", "not shown"),
            "address": " ; ".join(dict.fromkeys(d["url"] for d in documents if d["url"])),
            "terms": documents[0]["terms"],
            "how_read": best,
            "remark": "; ".join(notes),
        }
        row.update({k: v for k, v in titles.pop(source_id, {}).items() if v})
        rows.append(row)
    rows += [row for row in titles.values() if row.get("title")]
    return sorted(rows, key=lambda row: row["source_id"])


def size_label(row: Row) -> str:
    """Give the printed size: 0.09375 in is 3/32 in, 0.045 in stays decimal."""
    text = row["electrode_diameter"]
    if not text:
        return ""
    value = float(text)
    if row["diameter_unit"] == "mm":
        return f"{value:g} mm"
    special = {0.0781: "5/64 in", 0.078125: "5/64 in", 1.0: "1 in", 0.046875: "3/64 in"}
    if value in special:
        return special[value]
    for bottom in (2, 4, 8, 16, 32, 64):
        top = value * bottom
        if top == int(top):
            return f"{int(top)}/{bottom} in"
    return f"{text if len(text.split('.')[-1]) >= 3 else f'{value:.3f}'} in"


def basis_of(row: Row) -> str:
    remark = row["remark"]
    if match := re.match(r"basis: ([a-z-]+)", remark):
        return {"general-range": "general-practice"}.get(match[1], match[1])
    if remark.startswith("experiment"):
        ranged = bool(row["min"] and row["max"])
        if "fixed setting" in remark:
            return "test-condition"
        return "tested-range" if ranged else "optimum"
    if row["source_id"] == "asme-b31-3-2010" and (
        remark.startswith(("REQUIRED", "maximum")) or row["quantity"] == "interpass"
    ):
        return "limit"
    return maps.BASIS[row["source_id"]]


def status_of(remark: str) -> str:
    if "not an exact conversion" in remark:
        return "misprint"
    return "uncertain" if re.search(r"\buncertain\b", remark) else ""


def details(row: Row) -> Row:
    """Move conditions that hide in the remark into columns of their own."""
    remark = row["remark"]
    found: Row = {}
    if match := re.search(
        r"(?:filler(?: rod)?|added wire|; rod) ((?:[\d.]|\d/\d)[^;,]*?(?:mm|in\b))", remark
    ):
        found["filler_size"] = match[1]
    if match := re.search(r"cup size ([\d,]+)", remark):
        found["cup"] = "No. " + match[1].replace(",", ", ")
    elif match := re.search(r"(?:gas|ceramic)? ?nozzle(?: diameter)? ([\d.]+ mm)", remark):
        found["cup"] = match[1]
    if match := re.search(r"electrode_class=([^;(]+)", remark):
        text = match[1].strip()
        found["tungsten_class"] = {
            "EWTh-2 thoriated": "EWTh-2",
            "EWP pure": "EWP",
            "zirconiated tungsten": "zirconiated tungsten",
            "2 % thoriated": "EWTh-2",
        }.get(text, "")
    techniques = [
        word
        for word in (
            "leftward",
            "rightward",
            "mechanised",
            "manual",
            "drag technique",
            "high-tolerance plasma",
            "forehand",
            "water jet",
            "mechanised rotating-arc MAG",
            "alternating-current GMAW",
            "AC GMAW",
        )
        if re.search(rf"(?:^|[;, ]){re.escape(word)}\b", remark)
    ]
    if "mechanised rotating-arc MAG" in techniques:
        techniques = ["mechanised rotating-arc MAG"]
    if techniques and techniques[0].startswith(("alternating", "AC ")):
        techniques = ["alternating-current GMAW"]
    if "A-TIG" in remark:
        flux = re.search(r"A-TIG with ([^ ]+) flux", remark)
        techniques = [f"activating flux ({flux[1]})" if flux else "activating flux"]
    if row["transfer_mode"] == "pulsed":
        techniques.append("pulsed current")
    found["technique"] = ", ".join(techniques)
    return found


def pass_of(row: Row) -> str:
    if match := re.search(
        r"WPS sheet (root|hot|fill|filling|stringer cap|capping)$", row["locator"]
    ):
        return {"filling": "fill", "capping": "cap", "stringer cap": "cap"}.get(match[1], match[1])
    return ""


def gas_role(row: Row, process: str) -> str:
    if not row["shielding_gas"]:
        return ""
    if process in ("OFW", "OFC"):
        return "fuel"
    if process in ("PAC", "LBC"):
        return "plasma" if process == "PAC" else "assist"
    if row["quantity"] == "plasma_gas_flow":
        return "plasma"
    return "shielding"


def edges(row: Row) -> Row:
    """Say which band edge belongs to the band, after the wording of each table."""
    source, remark = row["source_id"], row["remark"]
    low_in = high_in = "true"
    if source == "asme-b31-3-2010" or "less than 1.5 in" in remark or "410NiMo with" in remark:
        high_in = "false"
    elif source in ("aws-d1-1-2015", "ti-809-26", "aashto-aws-d1-5", "ncdot-fwp"):
        first = "incl" in remark and not re.search(r"\bover \d", remark)
        first = first or remark.startswith(("all thicknesses", "minimum; soft-converted metric"))
        first = first and row["thickness_min"] in ("", "0", "0.125", "3")
        low_in = "true" if first else "false"
    elif "lower bound exclusive" in remark or source == "navsea-278-t4" or "12 mm and up" in remark:
        low_in = "false"
    return {
        "thickness_min_inclusive": low_in if row["thickness_min"] else "",
        "thickness_max_inclusive": high_in if row["thickness_max"] else "",
    }


def processes_of(row: Row) -> list[str]:
    text = row["process"]
    if text == "GMAW FCAW":
        required = "gas shielding required" in row["remark"]
        return ["GMAW", "FCAW-G" if required else "FCAW"]
    return ["" if part == "ALL" else part for part in text.split("|")]


def joints_of(text: str) -> tuple[tuple[str, ...], str, str, str]:
    if match := re.match(r"(single-V|double-V) butt (\d+ deg, gap/face .*)", text):
        detail = re.sub(r"gap/face ([\d.]+)/", r"gap \1 mm, root face ", match[2])
        return (f"{match[1]} groove",), detail, "", ""
    return maps.JOINTS.get(text, ((text,), "", "", ""))


def root_and_fill(row: Row) -> list[Row]:
    """Undo a min and max that are two settings: "printed root/fill 260/225"."""
    match = re.search(r"printed root/fill ([\d.]+)/([\d.]+)", row["remark"])
    if not match:
        return [row]
    remark = row["remark"].replace(match[0], f"printed {match[1]}/{match[2]} for root/fill")
    return [
        row | {"min": "", "max": "", "typical": value, "pass": name, "remark": remark}
        for name, value in (("root", match[1]), ("fill", match[2]))
    ]


def expand(row: Row) -> Iterator[Row]:
    """Give one curated row for each thing that a printed cell names."""
    raw_material = row["material"]
    if raw_material in maps.SEVERAL_MATERIALS:
        condition = maps.SEVERAL_MATERIALS_CONDITION.get(raw_material, "")
        materials = [(m, condition, "") for m in maps.SEVERAL_MATERIALS[raw_material]]
    else:
        materials = [maps.MATERIALS[raw_material]]
    fillers, filler_condition = maps.FILLERS.get(row["filler_class"], ((row["filler_class"],), ""))
    joints, joint_detail, joint_pass, joint_technique = joints_of(row["joint"])
    positions = maps.POSITIONS[row["position"]]
    for split in root_and_fill(row):
        found = details(split)
        for process, material, filler, joint, position, gas in itertools.product(
            processes_of(row),
            materials,
            fillers,
            joints,
            positions,
            maps.GASES[row["shielding_gas"]],
        ):
            gas_name, gas_mode, gas_condition = gas
            if gas_name == "by process":
                gas_name = "argon" if process == "GTAW" else "80 Ar / 20 CO2"
            if filler == "low-hydrogen covered electrode" and process != "SMAW":
                filler = ""
            conditions = [material[1], filler_condition, gas_condition]
            if row["source_id"] in SAME_STEEL_CODES and material[0] == "carbon steel":
                material = ("structural steel", *material[1:])
            yield {
                **{c: split.get(c, "") for c in COLUMNS},
                **found,
                **edges(row),
                "process": process,
                "transfer_mode": gas_mode or maps.MODES[row["transfer_mode"]],
                "material": material[0],
                "environment": material[2],
                "filler_class": filler,
                "electrode_size": size_label(row),
                "joint": joint,
                "joint_detail": joint_detail,
                "position": position,
                "polarity": maps.POLARITIES[row["polarity"]],
                "gas": gas_name,
                "gas_role": gas_role(row, process),
                "pass": split.get("pass") or joint_pass or pass_of(row),
                "technique": ", ".join(filter(None, (found["technique"], joint_technique))),
                "other_condition": "; ".join(filter(None, conditions)),
                "quantity": maps.QUANTITIES.get(row["quantity"], row["quantity"]),
                "unit": maps.UNITS.get(row["unit"], row["unit"]),
                "basis": basis_of(row),
                "status": status_of(row["remark"]),
                "source_id": MERGES.get(row["source_id"], row["source_id"]),
                "remark": tidy(split["remark"], found),
            }


def tidy(remark: str, found: Row) -> str:
    """Drop from the remark what now has a column, and words about our own later checks."""
    remark = re.sub(r"^basis: [a-z-]+(; )?", "", remark)
    remark = re.sub(r"(; )?electrode_class=[^;]*", "", remark)
    if found.get("cup"):
        remark = re.sub(r"(; )?cup size [\d,]+", "", remark)
    remark = re.sub(r"(; )?(VERIFY before release|verify before use|not seen in print)", "", remark)
    remark = re.sub(r"(; )?tolerances in facts_prequalified_joints", "", remark)
    remark = re.sub(r"(; )?thickness basis in facts_min_fillet_size", "", remark)
    remark = re.sub(r"(; )?see worked_examples.csv", "", remark)
    return remark.strip(" ;")


def raw_rows(raw: Path) -> Iterator[Row]:
    for folder in FOLDERS:
        for row in read(raw / folder / "windows.csv"):
            # Minimum fillet sizes come whole from the fact table that has every band.
            if folder == "joints_fillers" and row["quantity"] == "fillet_size":
                continue
            yield row
    empty = dict.fromkeys(
        (
            "transfer_mode electrode_diameter diameter_unit joint position polarity shielding_gas"
        ).split(),
        "",
    )
    for row in read(HERE / "added_windows.csv"):
        yield empty | row
    for row in read(raw / "joints_fillers" / "facts_min_fillet_size.csv"):
        if row["source_id"] not in ("aisc-360-05-j2", "aws-d11-minfillet-p204"):
            continue
        yield empty | {
            "process": "",
            "material": "carbon steel",
            "filler_class": "",
            "joint": "fillet",
            "thickness_min": row["thickness_over"],
            "thickness_max": row["thickness_to"],
            "thickness_unit": row["thickness_unit"],
            "quantity": "fillet_size",
            "min": row["min_size"],
            "max": "",
            "typical": "",
            "unit": row["size_unit"],
            "source_id": row["source_id"],
            "locator": row["locator"],
            "how_read": row["how_read"],
            "remark": "; ".join(
                ["lower bound exclusive", f"thickness: {row['thickness_basis']}", row["remark"]]
            ),
        }


def is_fact(row: Row) -> bool:
    not_settings = ("not a welding window", "not a setting; lowest")
    return row["quantity"] in maps.FACTS or any(words in row["remark"] for words in not_settings)


def interpass_twin(row: Row) -> list[Row]:
    """A printed "minimum preheat and interpass temperature" speaks of two quantities."""
    tables = {("aws-d1-1-2015", "Table 3.3"), ("ti-809-26", "Table 3-1 p.3-3")}
    if row["quantity"] == "preheat" and (row["source_id"], row["locator"]) in tables:
        return [row, row | {"quantity": "interpass"}]
    return [row]


def single_values(row: Row) -> Row:
    """A nominal printed once is one value, not a window of no width."""
    if row["min"] and row["min"] == row["max"]:
        return row | {"min": "", "max": "", "typical": row["min"]}
    return row


NOT_CONDITIONS = (
    "quantity min max typical unit basis status source_id locator how_read remark filler_size cup"
).split()
CONDITIONS = [c for c in COLUMNS[2:] if c not in NOT_CONDITIONS]


def number_lines(rows: list[Row]) -> None:
    """Give rows that were printed on one line of a table the same line id."""
    groups: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in rows:
        if row["how_read"] == "memory" and row["source_id"] != "common-practice":
            continue
        key = (row["source_id"], row["locator"], *(row[c] for c in CONDITIONS))
        groups[key].append(row)
    count: dict[str, int] = defaultdict(int)
    for (source, *_), members in groups.items():
        order = COLUMN_ORDER.get(source, ())
        lines: list[list[Row]] = [[]]
        for row in members:
            seen = [r["quantity"] for r in lines[-1]]
            back = bool(
                order
                and seen
                and row["quantity"] in order
                and seen[-1] in order
                and order.index(row["quantity"]) <= order.index(seen[-1])
            )
            if row["quantity"] in seen or back:
                lines.append([])
            lines[-1].append(row)
        for line in lines:
            if len({r["quantity"] for r in line}) > 1:
                count[source] += 1
                for row in line:
                    row["line"] = f"{source}:line-{count[source]}"


def file_of(row: Row) -> str:
    if row["quantity"] in ("preheat", "interpass"):
        return "preheat"
    name = {"": "joints", "FCAW-G": "fcaw", "FCAW-S": "fcaw"}.get(row["process"])
    if name is None:
        other = row["process"] in ("LBC", "CAC", "CAC-A", "AOC", "SMAC")
        name = "other_cutting" if other else row["process"].lower()
    return name


def statement(row: Row) -> tuple[str, ...]:
    """What makes two rows the same statement of the same document."""
    keep = [c for c in COLUMNS if c not in ("window_id", "line", "locator", "remark")]
    return tuple(row[c] for c in keep)


def curate(raw: Path, out: Path) -> None:
    windows: list[Row] = []
    facts: list[Row] = []
    seen: set[tuple[str, ...]] = set()
    for row in raw_rows(raw):
        for new in expand(row):
            for twin in interpass_twin(single_values(new)):
                if is_fact(row):
                    facts.append(twin)
                elif (
                    statement(twin) not in seen
                    or row["source_id"] == "woodhead-al-welding-2002-ch04"
                ):
                    seen.add(statement(twin))
                    windows.append(twin)
    number_lines(windows)
    numbers: dict[str, int] = defaultdict(int)
    for row in windows:
        numbers[row["source_id"]] += 1
        row["window_id"] = f"{row['source_id']}:{numbers[row['source_id']]:03d}"
    files: dict[str, list[Row]] = defaultdict(list)
    for row in windows:
        files[file_of(row)].append(row)
    for name, rows in files.items():
        write(out / "windows" / f"{name}.csv", COLUMNS, sorted(rows, key=lambda r: r["window_id"]))
    numbers.clear()
    for row in facts:
        numbers[row["source_id"]] += 1
        row["fact_id"] = f"{row['source_id']}:fact-{numbers[row['source_id']]:03d}"
    facts.sort(key=lambda r: r["fact_id"])
    write(
        out / "reference" / "process_facts.csv",
        FACT_COLUMNS,
        [{c: r.get(c, "") for c in FACT_COLUMNS} for r in facts],
    )
    source_columns = "source_id title issuer document_number edition address terms how_read remark"
    write(out / "sources.csv", source_columns.split(), curate_sources(raw))
    print(len(windows), "windows,", len(facts), "process facts")


if __name__ == "__main__":
    curate(Path(sys.argv[1]), Path(sys.argv[2]))
