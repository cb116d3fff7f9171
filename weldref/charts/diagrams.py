"""Draw a composition on the axes of a constitution diagram.

The places are computed, and mixtures lie on the line between them. No ferrite line is drawn and no
zone named: no line set of any diagram was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import altair as alt

from weldref.calculate.by_name import Answer, compute
from weldref.charts.formulas import marked
from weldref.charts.ranges import DASH, FILL, INK, Bar, axis, finish, layer
from weldref.data.store import Store
from weldref.errors import InputError

DIAGRAMS: Mapping[str, str] = {
    "schaeffler-position": "Schaeffler",
    "delong-position": "DeLong",
    "wrc-1992-position": "WRC-1992",
}
"""Formula -> the constitution diagram on whose axes it gives a place."""


@dataclass(frozen=True, slots=True)
class Place:
    """A composition on the axes of a constitution diagram."""

    label: str
    creq: float
    nieq: float


@dataclass(frozen=True, slots=True)
class Field:
    """The part of a diagram for which it is made, and where that is stated."""

    creq: tuple[float, float]
    nieq: tuple[float, float]
    source_id: str
    locator: str
    how_read: str


@dataclass(frozen=True, slots=True)
class Diagram:
    """Places on one diagram's axes; `mixture` runs from the filler to the base metal."""

    name: str
    places: tuple[Place, ...]
    mixture: tuple[Place, Place] | None
    field: Field | None
    grade: str


def field_of(store: Store, diagram: str) -> Field | None:
    """Look up the printed or recalled field of a diagram; None if the tables hold none."""
    rows = store.rows(
        """
        SELECT quantity, min, max, source_id, locator, how_read FROM constitution
        WHERE topic = 'range of the diagram' AND diagram = $diagram
            AND min IS NOT NULL AND max IS NOT NULL AND status IS NULL
        """,
        {"diagram": diagram},
    )
    found = {row["quantity"]: row for row in rows}
    if not {"Creq", "Nieq"} <= found.keys():
        return None
    across, up = found["Creq"], found["Nieq"]
    place = (across["source_id"], across["locator"], across["how_read"])
    return Field((across["min"], across["max"]), (up["min"], up["max"]), *place)


def diagram(
    store: Store, name: str, answer: Answer, filler: Answer | None = None, dilution: str = ""
) -> Diagram:
    """Place a composition on its diagram, and with a filler metal the mixture of both.

    `name` is a formula of `DIAGRAMS`; `answer` and `filler` are its results for the composition
    entered and for a filler metal. `dilution` is the share of the first in the weld metal, as text:
    "30 %".
    """
    title = DIAGRAMS[name]
    first = _place("Yours", answer)
    places, mixture = [first], None
    grade = str(answer.grade)
    if filler is not None:
        base, metal = _place("Base metal", answer), _place("Filler metal", filler)
        places, mixture = [base, metal], (metal, base)
        if dilution:
            creq, nieq = (
                _mixed(getattr(base, axis), getattr(metal, axis), dilution)
                for axis in ("creq", "nieq")
            )
            places.append(Place(f"Weld metal, {dilution} base", creq, nieq))
            grade = "memory"  # the rule of mixing is recalled
    return Diagram(title, tuple(places), mixture, field_of(store, title), grade)


def _place(label: str, answer: Answer) -> Place:
    return Place(label, answer.parts["Creq"], answer.parts["Nieq"])


def _mixed(base: float, filler: float, dilution: str) -> float:
    """Mix an equivalent, which is a sum of elements, by the rule for one element."""
    inputs = {"base_1": f"{base!r} %", "base_2": f"{base!r} %", "filler": f"{filler!r} %"}
    answer = compute("dilution-mix", {**inputs, "dilution_1": dilution, "dilution_2": "0"})
    if answer.value is None:
        raise InputError(f"dilution: '{dilution}' is a range; give one share")
    return answer.value


def diagram_chart(made: Diagram) -> alt.LayerChart:
    """Draw the places, the line of mixtures between them, and the diagram's field."""

    def scaled(title: str) -> dict[str, Any]:
        return {"axis": axis(title), "scale": alt.Scale(zero=False, nice=True, padding=24)}

    encoded = (alt.X("x:Q", **scaled("Creq, %")), alt.Y("y:Q", **scaled("Nieq, %")))
    layers = []
    if made.field:
        (left, right), (low, high) = made.field.creq, made.field.nieq
        corner = [{"x": left, "to": right, "y": low, "top": high}]
        look: dict[str, Any] = {"stroke": INK, "strokeDash": DASH[made.field.how_read]}
        rectangle = layer(corner).mark_rect(fill=FILL, fillOpacity=0.15, aria=False, **look)
        layers.append(rectangle.encode(*encoded, alt.X2("to:Q"), alt.Y2("top:Q")))
    if made.mixture:
        ends = [{"x": place.creq, "y": place.nieq} for place in made.mixture]
        layers.append(layer(ends).mark_line(color=INK, strokeWidth=2, aria=False).encode(*encoded))
    spots = [{"x": p.creq, "y": p.nieq, "text": p.label.partition(",")[0]} for p in made.places]
    # The mixture is between the two, often near one of them: its words are drawn below it.
    first = 2 if made.mixture else 1
    layers += marked(spots[:first], encoded)
    if spots[first:]:
        layers += marked(spots[first:], encoded, "left", below=True)
    return finish(layers, height=300)


def window_bars(answer: Answer, names: Iterable[str]) -> list[Bar]:
    """Turn the windows among the parts of an answer into bars."""
    made = []
    for number, name in enumerate(names, 1):
        low, high = answer.parts[f"{name} low"], answer.parts[f"{name} high"]
        label = f"{number}. {name}: {low:g} to {high:g}, {answer.grade}"
        made.append(Bar(label, str(answer.grade), low, high, None))
    return made
