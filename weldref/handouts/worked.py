"""Work one line of heat input with published numbers.

Where one printed line of the situation holds current, voltage and travel speed, the sheet works
with these; otherwise with a published example. The computing is `weldref.calculate.by_name`'s.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from weldref.calculate.by_name import named
from weldref.core.lookup import Match
from weldref.core.situation import Situation
from weldref.data.store import Store
from weldref.formulas.formula import Formula, Result
from weldref.formulas.formula import Source as Place
from weldref.formulas.thermal_efficiency import process_with_k
from weldref.handouts.conversion import Converter

NEEDED = ("current", "voltage", "travel_speed")
EXAMPLE = "hi-01"
"""The published example of arc energy: 20 V, 300 A and 2.5 mm/s."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A worked line of heat input.

    Values are as printed with their units; `energy` and `heat` are in kJ/mm, `efficiency` is
    the thermal efficiency k. `given_by` is where the three values stand and `sources` where the
    formula and k do.
    """

    equation: str
    voltage: float
    current: float
    travel_speed: float
    travel_unit: str
    efficiency: float
    energy: float
    heat: float
    heat_us: float
    from_rows: bool
    given_by: tuple[str, str | None]
    sources: tuple[Place, ...]


def formula(name: str) -> Formula:
    """Find a formula of `weldref.calculate.by_name` by name."""
    found = named(name)
    if not isinstance(found, Formula):
        raise TypeError(name)
    return found


def efficient_process(situation: Situation) -> str | None:
    """Name the process as the table of thermal efficiencies does; None where it has none."""
    process = situation.terms.get("process")
    return process_with_k(process.broader) if process else None


def work(store: Store, situation: Situation, matches: Sequence[Match]) -> Worked | None:
    """Work heat input for a situation; None for a process without a thermal efficiency."""
    process = efficient_process(situation)
    if process is None:
        return None
    line = printed_line(matches)
    if line:
        volts, amps, travel = (line[name].row for name in ("voltage", "current", "travel_speed"))
        given = (volts["typical"], amps["typical"], travel["typical"], travel["unit"])
        place = (travel["source_id"], travel["locator"])
    else:
        (example,) = store.rows(
            "SELECT * FROM worked_examples WHERE example_id = $id", {"id": EXAMPLE}
        )
        inputs: dict[str, Any] = json.loads(example["inputs"])
        given = (inputs["V"], inputs["A"], inputs["travel_mm_s"], "mm/s")
        place = (example["source_id"], example["locator"])
    return _worked(store, process, given, bool(line), place)


def _worked(
    store: Store,
    process: str,
    given: tuple[float, float, float, str],
    from_rows: bool,
    place: tuple[str, str | None],
) -> Worked:
    volts, amps, travel, unit = given
    result = heat_input(store, volts, amps, travel, unit, process)
    converter = Converter(store)
    return Worked(
        equation=formula("heat-input").equation,
        voltage=volts,
        current=amps,
        travel_speed=travel,
        travel_unit=unit,
        efficiency=result.parts["efficiency"],
        energy=converter.number_in(result.parts["arc_energy"], "J/m", "kJ/mm"),
        heat=converter.number_in(result.value, "J/m", "kJ/mm"),
        heat_us=converter.number_in(result.value, "J/m", "kJ/in"),
        from_rows=from_rows,
        given_by=place,
        sources=result.sources,
    )


def heat_input(
    store: Store, volts: float, amps: float, travel: float, unit: str, process: str
) -> Result:
    """Compute heat input in J/m from volts, amperes and a travel speed in any unit."""
    speed = Converter(store).units.by_spelling[unit]
    return formula("heat-input").function(
        voltage=volts, current=amps, travel_speed=travel * speed.factor, process=process
    )


def printed_line(matches: Sequence[Match]) -> dict[str, Match] | None:
    """Find one printed line that holds current, voltage and travel speed as single settings."""
    lines: dict[str, dict[str, Match]] = defaultdict(dict)
    for match in matches:
        row = match.row
        usable = match.gives_verdict and match.grade != "memory" and row["typical"] is not None
        if usable and row["line"] and row["quantity"] in NEEDED:
            lines[row["line"]].setdefault(row["quantity"], match)
    return next((line for line in lines.values() if len(line) == len(NEEDED)), None)
