"""Invented windows and weld logs for tests and benchmarks: no number here was ever printed.

The tables look like real ones: a document covers one process, states the same conditions in
every row, and counts through materials, electrodes, sizes and thickness bands. Larger libraries
have both more documents and longer ones.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import duckdb

from weldref.data.build import _add_si_columns
from weldref.data.store import Store

TERMS: dict[str, list[str]] = {
    "transfer_mode": ["short-circuiting", "spray", "pulsed spray", "globular"],
    "joint": ["fillet", "butt", "lap", "T"],
    "position": ["flat", "horizontal", "vertical up", "1G", "2F", "3G"],
    "polarity": ["DCEP", "DCEN", "AC"],
}
QUANTITIES = {
    "current": ("A", "A", 40, 400),
    "voltage": ("V", "V", 14, 36),
    "wire_feed_speed": ("in/min", "m/min", 100, 700),
    "travel_speed": ("in/min", "mm/min", 4, 40),
    "gas_flow": ("ft3/h", "L/min", 15, 60),
}
METRIC = {"in/min": {"m/min": 0.0254, "mm/min": 25.4}, "ft3/h": {"L/min": 0.472}}
PROCESSES = ("SMAW", "GMAW", "GTAW", "FCAW")
PATTERNS = (
    ("filler_class", "electrode_size"),
    ("material", "thickness"),
    ("filler_class", "electrode_size", "position"),
    ("material", "gas", "thickness"),
    ("transfer_mode", "filler_class", "electrode_size", "gas"),
    ("material", "joint", "thickness", "position"),
    ("material", "polarity", "electrode_size"),
)


def terms_of(store: Store) -> dict[str, list[str]]:
    """The terms that invented rows may state, from the vocabulary."""
    found = dict(TERMS)
    for condition, table in (
        ("material", "materials"),
        ("filler_class", "electrode_classes"),
        ("gas", "gases"),
    ):
        found[condition] = [
            r["term"] for r in store.rows(f"SELECT term FROM {table} ORDER BY term")
        ]
    found["electrode_size"] = [
        r["size"] for r in store.rows("SELECT size FROM electrode_sizes ORDER BY size")
    ]
    return found


def common(terms: dict[str, list[str]]) -> dict[str, list[str]]:
    """The few materials, wires, sizes and gases that most documents and most shops share."""
    pick = random.Random(0)  # noqa: S311
    return {name: pick.sample(options, min(12, len(options))) for name, options in terms.items()}


def windows(store: Store, count: int, seed: int, *, wild: bool) -> list[dict[str, Any]]:
    """Invent rows; `wild` ones overlap, contradict and repeat each other on purpose."""
    pick = random.Random(seed)  # noqa: S311
    terms = terms_of(store)
    usual = common(terms)
    documents = max(4, round(1.1 * count**0.5))
    rows: list[dict[str, Any]] = []
    while len(rows) < count:
        number = len({row["source_id"] for row in rows})
        document = f"invented-{number % documents if wild else number}"
        pattern = pick.choice(PATTERNS)
        process = pick.choice(PROCESSES)
        metric = pick.random() < 0.4
        grade = pick.choices(("read", "secondary", "memory"), (8, 1, 1))[0]
        basis = pick.choices(("recommended", "general-practice", "limit"), (7, 2, 1))[0]
        share = max(2, round((count / documents) ** (1 / len(pattern))))
        listed = {}
        for name in pattern:
            if name != "thickness":
                rest = [term for term in terms[name] if term not in usual[name]]
                options = pick.sample(usual[name], len(usual[name]))
                options = options[: max(2, share)] + pick.sample(rest, min(share, len(rest)))
                listed[name] = options
        edges = sorted({pick.randrange(1, 33) for _ in range(share + 2)})
        bands = list(zip(edges, [*edges[1:], None], strict=True))
        quantities = pick.sample(sorted(QUANTITIES), pick.randint(1, 3))
        for place in range(max(4, round(count / documents / len(quantities)))):
            conditions: dict[str, Any] = {"process": process}
            left = place if not wild else pick.randrange(1000)
            for name, options in listed.items():
                left, digit = divmod(left, len(options))
                conditions[name] = options[digit]
            if "thickness" in pattern:
                low, high = bands[left % len(bands)]
                if wild and pick.random() < 0.2:
                    high = low
                conditions |= {
                    "thickness_min": (3.2 if metric else 0.125) * low / 2,
                    "thickness_max": (3.2 if metric else 0.125) * high / 2 if high else None,
                    "thickness_min_inclusive": low == high or not wild or pick.random() < 0.7,
                    "thickness_max_inclusive": low == high or pick.random() < 0.5,
                    "thickness_unit": "mm" if metric else "in",
                }
            if wild:
                for name in list(conditions):
                    if pick.random() < 0.25 and not name.startswith("thickness"):
                        del conditions[name]
                if pick.random() < 0.3:
                    conditions["technique"] = pick.choice(["weave", "stringer"])
                metric = pick.random() < 0.4
                basis = pick.choice(("recommended", "limit", "acceptable-window", "measured"))
                grade = pick.choices(("read", "secondary", "memory"), (6, 2, 2))[0]
            for quantity in quantities:
                us_unit, metric_unit, least, most = QUANTITIES[quantity]
                unit = metric_unit if metric else us_unit
                factor = METRIC.get(us_unit, {}).get(unit, 1.0)
                low = pick.uniform(least, most * 0.7)
                high = low * pick.uniform(1.1, 1.8)
                open_end = pick.random() if wild else 1.0
                rows.append(
                    {
                        **conditions,
                        "window_id": f"{document}:{len(rows):06}",
                        "quantity": quantity,
                        "min": None if open_end < 0.15 else float(f"{low * factor:.3g}"),
                        "max": None if 0.15 < open_end < 0.3 else float(f"{high * factor:.3g}"),
                        "unit": unit,
                        "basis": basis,
                        "source_id": document,
                        "locator": f"table {place}",
                        "how_read": grade,
                    }
                )
    return rows[:count]


def store_of(store: Store, rows: list[dict[str, Any]], path: Path | None = None) -> Store:
    """A store like another one with other windows, in memory or in a file."""
    connection = duckdb.connect(str(path or ":memory:"), config={"threads": "2"})
    tables = [r["name"] for r in store.rows("SELECT table_name AS name FROM duckdb_tables()")]
    for table in tables:
        kinds = {r["column_name"]: r["column_type"] for r in store.rows(f'DESCRIBE "{table}"')}
        if table == "windows":
            kinds = {name: kind for name, kind in kinds.items() if not name.endswith("_si")}
            content = [[row.get(name) for row in rows] for name in kinds]
        else:
            found = store.rows(f'SELECT * FROM "{table}" ORDER BY rowid')
            content = [[row[name] for row in found] for name in kinds]
        cells = ", ".join(
            f'unnest(${n}::{kind}[]) AS "{name}"' for n, (name, kind) in enumerate(kinds.items(), 1)
        )
        connection.execute(f'CREATE TABLE "{table}" AS SELECT {cells}', content)
    connection.execute(
        "INSERT INTO documents SELECT DISTINCT source_id, 'Invented ' || source_id FROM windows"
    )
    _add_si_columns(connection)
    return Store(connection, "invented", path)


def write_log(
    store: Store,
    path: Path,
    records: int,
    seed: int,
    *,
    templates: int = 20_000,
    each: int = 400,
    spoiled: bool = False,
) -> None:
    """Invent a log: joints of some hundred records, a shop's few materials and wires.

    Every record has its own measured thickness, so that nearly no two records agree in it;
    readings scatter about what the joint's procedure says, with the resolution of a logger.
    A `spoiled` log has words that nobody knows and readings that are no numbers.
    """
    pick = random.Random(seed)  # noqa: S311
    terms = terms_of(store)
    shop = common(terms)
    columns: dict[str, list[Any]] = {"template": list(range(templates))}
    columns["process"] = [pick.choice(PROCESSES) for _ in range(templates)]
    for name, options in shop.items():
        columns[name] = [pick.choice(options) for _ in range(templates)]
    columns["thick"] = [pick.randrange(1, 33) / 16 for _ in range(templates)]
    for quantity, (_, _, least, most) in QUANTITIES.items():
        columns[quantity] = [pick.uniform(least, most) for _ in range(templates)]
    with duckdb.connect(config={"threads": "2"}) as connection:
        cells = ", ".join(f"unnest(${n}) AS {name}" for n, name in enumerate(columns, 1))
        connection.execute(f"CREATE TABLE templates AS SELECT {cells}", list(columns.values()))
        connection.execute(f"SELECT setseed({seed % 100 / 100})")
        readings = ", ".join(
            f"round({quantity} * (0.85 + 0.3 * random()), {1 if quantity != 'current' else 0}) "
            f'AS "{quantity} ({QUANTITIES[quantity][0]})"'
            for quantity in QUANTITIES
        )
        material = "material"
        if spoiled:
            material = "CASE WHEN r.i % 97 = 0 THEN 'soup' ELSE material END AS material"
            spoil = "CASE r.i % 101 WHEN 0 THEN 'nan'::DOUBLE WHEN 1 THEN 'inf'::DOUBLE "
            spoil += "WHEN 2 THEN NULL WHEN 3 THEN -1 ELSE round(current * "
            readings = readings.replace("round(current * ", spoil, 1).replace(", 0)", ", 0) END", 1)
        connection.execute(
            f"""
            COPY (
                SELECT process, transfer_mode AS "transfer mode", {material},
                    filler_class AS electrode, electrode_size AS diameter,
                    thick * (0.97 + 0.06 * random()) AS "thickness (in)",
                    joint AS "joint type", position, polarity, gas, {readings},
                    TIMESTAMP '2026-03-02 07:00:00' + INTERVAL 1 SECOND * r.i AS time,
                    'J' || (r.i // {each}) AS joint, 'W' || (r.i // {each} % 40) AS welder
                FROM range({records}) r(i)
                JOIN templates t ON t.template = hash(r.i // {each}) % {templates}
            ) TO '{path}' (FORMAT parquet)
            """
        )
