"""Records to try: near the rows of a store, at the ends of their ranges, and wrong."""

from __future__ import annotations

import math
import random
from typing import Any

from weldref.core.bands import SLACK
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store

QUANTITIES = ("current", "voltage", "wire_feed_speed", "travel_speed", "gas_flow", "preheat")
COLUMNS = {
    "process": ("process", "processes"),
    "transfer_mode": ("transfer_mode", "transfer_modes"),
    "material": ("material", "materials"),
    "electrode": ("filler_class", "electrode_classes"),
    "joint_type": ("joint", "joints"),
    "position": ("position", "positions"),
    "polarity": ("polarity", "polarities"),
    "gas": ("gas", "gases"),
    "diameter": ("electrode_size", "electrode_sizes"),
    "tungsten": ("tungsten_class", "tungsten_terms"),
    "code": ("scope", "specifications"),
}
ODD_WORDS = ("soup", "E9018-G", "E7018-1H4R", "90 Ar / 10 CO2", "75/25", "98/2", "SS", "0.125")
ODD_THICKNESSES = ("1/8", "3.2 mm", "0", "-1", "nan", "inf", "x", "0.25", "1e9", "12 V")
ODD_VALUES = ("soup", "nan", "-inf", "1e30", "-5", "1_000", "12 parsecs", "1/0")


class Records:
    """Draws records for a store, the same ones for the same seed."""

    def __init__(self, store: Store) -> None:
        self.rows = store.rows(
            f"SELECT * FROM windows WHERE basis IN {VERDICT_BASES} AND status IS NULL "
            "ORDER BY window_id"
        )
        spelled = store.rows("SELECT tree, spelling FROM spellings ORDER BY ALL")
        self.narrower: dict[tuple[str, str], list[str]] = {}
        for row in store.rows("SELECT tree, broader, term FROM broader_terms ORDER BY ALL"):
            self.narrower.setdefault((row["tree"], row["broader"]), []).append(row["term"])
        self.spellings: dict[str, list[str]] = {}
        for row in spelled:
            self.spellings.setdefault(row["tree"], []).append(row["spelling"])

    def draw(self, seed: int, count: int) -> list[dict[str, str]]:
        pick = random.Random(seed)  # noqa: S311
        return [self._record(pick) for _ in range(count)]

    def _record(self, pick: random.Random) -> dict[str, str]:
        base = pick.choice(self.rows)
        record = {
            name: self._word(pick, base.get(column), tree)
            for name, (column, tree) in COLUMNS.items()
        }
        record["thickness"] = self._thickness(pick, base)
        for quantity in QUANTITIES:
            record[quantity] = self._value(pick, base, quantity)
        return record

    def _word(self, pick: random.Random, stated: str | None, tree: str) -> str:
        chance = pick.random()
        if stated is not None and chance < 0.85:
            kinds = self.narrower.get((tree, stated), [stated])
            return pick.choice(kinds) if chance < 0.5 else stated
        if chance < 0.88:
            return pick.choice(self.spellings[tree])
        if chance < 0.9:
            return pick.choice(ODD_WORDS)
        return ""

    def _thickness(self, pick: random.Random, base: dict[str, Any]) -> str:
        ends = [end for end in (base["thickness_min"], base["thickness_max"]) if end is not None]
        if ends and base["thickness_unit"] != "gauge" and pick.random() < 0.8:
            return f"{_near(pick, pick.choice(ends))!r} {base['thickness_unit']}"
        return "" if pick.random() < 0.6 else pick.choice(ODD_THICKNESSES)

    def _value(self, pick: random.Random, base: dict[str, Any], quantity: str) -> str:
        if pick.random() < 0.1:
            return pick.choice(("", *ODD_VALUES))
        own = [row for row in self.rows if row["quantity"] == quantity]
        if not own:
            return ""
        kin = [row for row in own if row["source_id"] == base["source_id"]] or own
        row = base if base["quantity"] == quantity else pick.choice(kin)
        ends = [end for end in (row["min"], row["max"], row["typical"]) if end is not None]
        number = _near(pick, pick.choice(ends)) if pick.random() < 0.8 else sum(ends) / len(ends)
        return f"{float(number)!r} {row['unit']}" if pick.random() < 0.8 else repr(float(number))


def _near(pick: random.Random, end: float) -> float:
    """A number at the end of a range, a hair beside it, or clearly off."""
    if pick.random() < 0.3:
        number = end + pick.choice((-SLACK, SLACK)) * abs(end)
        for _ in range(pick.choice((0, 1, 2))):
            number = math.nextafter(number, pick.choice((-math.inf, math.inf)))
        return number
    factors = (1, 1, 1 + 1e-9, 1 - 1e-9, 1 + 3e-9, 1 - 3e-9, 1.02, 0.98, 1.3, 0.7)
    return end * pick.choice(factors) + pick.choice((0, 0, 0, 0.001, -0.001))
