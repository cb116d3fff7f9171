"""The bars of one visitor while others draw theirs."""

import json
from concurrent.futures import ThreadPoolExecutor

from weldref.charts.ranges import bars
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.core.units import Units
from weldref.core.verdict import show_rows
from weldref.dashboard.settings.bars import drawn


def test_charts_drawn_at_once_hold_their_own_rows(store):
    situation = describe(store, process="SMAW", material="carbon steel", electrode="E7018")
    matches = find(store, situation, "current", "memory")
    made = tuple(bars(show_rows(store, matches[:4]), "A", Units(store).by_spelling))
    drawn.cache_clear()

    def draw(number):
        spec = json.loads(drawn(made, f"visitor {number}", "A", 100.0 + number))
        return spec, [row for layer in spec["layer"] for row in layer["data"]["values"]]

    with ThreadPoolExecutor(8) as pool:
        every = list(pool.map(draw, range(40)))
    for number, (spec, rows) in enumerate(every):
        assert "datasets" not in spec
        assert f"yours: {100 + number} A" in [row.get("text") for row in rows]
