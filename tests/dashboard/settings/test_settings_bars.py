"""The bars of one visitor while others draw theirs."""

from concurrent.futures import ThreadPoolExecutor

from weldref.charts.ranges import bars
from weldref.core.lookup import find
from weldref.core.situation import describe
from weldref.core.units import Units
from weldref.core.verdict import show_rows
from weldref.dashboard.settings.bars import _drawn, _spec


def test_charts_drawn_at_once_hold_their_own_rows(store):
    situation = describe(store, process="SMAW", material="carbon steel", electrode="E7018")
    matches = find(store, situation, "current", "memory")
    made = tuple(bars(show_rows(store, matches[:4]), "A", Units(store).by_spelling))
    _drawn.cache_clear()

    def draw(number):
        spec = _spec(made, f"visitor {number}", "A", 100.0 + number, (0.0, 400.0))
        return spec, [row for layer in spec["layer"] for row in layer["data"]["values"]]

    with ThreadPoolExecutor(8) as pool:
        drawn = list(pool.map(draw, range(40)))
    for number, (spec, rows) in enumerate(drawn):
        assert "datasets" not in spec
        assert f"yours: {100 + number} A" in [row.get("text") for row in rows]
