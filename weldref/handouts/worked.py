"""Work one line of heat input with published numbers.

Where one printed line of the situation holds current, voltage and travel speed, the sheet uses
these; otherwise a published example.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from weldref.core.lookup import Match
from weldref.core.situation import Situation
from weldref.formulas.formula import REGISTRY
from weldref.formulas.heat import heat_input
from weldref.formulas.thermal_efficiency import process_with_k
from weldref.handouts.conversion import number
from weldref.handouts.texts import Notes, Place
from weldref.text import unit_sign

EQUATION = REGISTRY["heat-input"].equation
NEEDED = ("voltage", "current", "travel_speed")
EXAMPLE = "hi-01"
"""The published example of arc energy: 20 V, 300 A and 2.5 mm/s."""


def efficient_process(situation: Situation) -> str | None:
    """Return the process's name in the table of thermal efficiencies; None if it is not there."""
    process = situation.terms.get("process")
    return process_with_k(process.broader) if process else None


def worked_texts(situation: Situation, matches: Sequence[Match], notes: Notes) -> tuple[str, ...]:
    """Write the arithmetic of heat input with one worked line; empty for a process without k."""
    process, say = efficient_process(situation), notes.words.say
    if process is None:
        return ()
    line, to = _printed_line(matches), notes.converter.text_in
    if line:
        volts, amps, travel = (line[name]["typical"] for name in NEEDED)
        unit, place = line["travel_speed"]["unit"], line["travel_speed"]
    else:
        (place,) = notes.store.rows(
            "SELECT * FROM worked_examples WHERE example_id = $id", {"id": EXAMPLE}
        )
        inputs: dict[str, Any] = json.loads(place["inputs"])
        volts, amps, travel, unit = inputs["V"], inputs["A"], inputs["travel_mm_s"], "mm/s"
    speed = notes.converter.number_in(travel, unit, "m/s")
    result = heat_input(voltage=volts, current=amps, travel_speed=speed, process=process)
    marks = "".join(map(notes.mark, result.sources))
    values = {
        "volts": number(volts),
        "amps": number(amps),
        "travel": f"{number(travel)} {unit_sign(unit)}",
        "speed": to(travel, unit, "mm/s"),
        "energy": to(result.parts["arc_energy"], "J/m", "kJ/mm"),
        "heat": to(result.value, "J/m", "kJ/mm"),
        "heat_us": to(result.value, "J/m", "kJ/in"),
        "k": number(result.parts["efficiency"]),
        "given": notes.mark(Place(place["source_id"], place["locator"])),
    }
    if line:
        shown = say(
            "One printed line: {volts} V, {amps} A, {travel} {given}. "
            "{volts} × {amps} ÷ {speed} mm/s = {energy} kJ/mm; × k = {k}: {heat} kJ/mm "
            "(≈ {heat_us} kJ/in).",
            **values,
        )
    else:
        shown = say(
            "A published example, not a setting for this situation: {volts} V, {amps} A, "
            "{travel} {given}. {volts} × {amps} ÷ {speed} mm/s = {energy} kJ/mm; "
            "× k = {k}: {heat} kJ/mm (≈ {heat_us} kJ/in).",
            **values,
        )
    rule = say(
        "{equation}, with U in V, I in A, v in mm/s and Q in J/mm, then divided by 1000; k is the "
        "thermal efficiency of the process {marks}.",
        equation=EQUATION,
        marks=marks,
    )
    return rule, shown


def _printed_line(matches: Sequence[Match]) -> dict[str, dict[str, Any]] | None:
    """Find one printed line that holds current, voltage and travel speed as single settings."""
    lines: dict[str, dict[str, dict[str, Any]]] = defaultdict(dict)
    for match in matches:
        row = match.row
        usable = match.gives_verdict and match.grade != "memory" and row["typical"] is not None
        if usable and row["line"] and row["quantity"] in NEEDED:
            lines[row["line"]].setdefault(row["quantity"], row)
    return next((line for line in lines.values() if len(line) == len(NEEDED)), None)
