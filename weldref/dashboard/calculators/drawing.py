"""Show the chart of a formula, with the same in words and in numbers."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from weldref.calculate.by_name import Answer, named
from weldref.charts.diagrams import DIAGRAMS, Diagram, diagram, diagram_chart, window_bars
from weldref.charts.formulas import Curve, curve, curve_chart, pretty
from weldref.charts.ranges import range_chart
from weldref.core.units import parse_number
from weldref.dashboard import fragments, widgets
from weldref.dashboard.calculators.address import DILUTION, FILLER, LONGEST
from weldref.dashboard.calculators.answer import evaluate, grade_words
from weldref.dashboard.calculators.examples import example
from weldref.dashboard.calculators.form import (
    Entries,
    draw_buttons,
    draw_fields,
    field_label,
    key_of,
    read_entries,
)
from weldref.dashboard.markup import Markup, aside, p, tag, title
from weldref.dashboard.settings.bars import draw_spec, plain_spec
from weldref.dashboard.tables import table
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.constitution import RATIO_WINDOWS
from weldref.grades import LINES
from weldref.handouts.words import sentence

NO_ZONES = "No chart of zones: no printed boundary between zones of cracking is in the tables."
_TOLD = 9
_SHADE = tag("span", look="swatch", style="background:#d9dee3;border-color:#d9dee3")


def draw_chart(name: str, answer: Answer, entries: Entries, store: Store) -> None:
    """Draw what helps to see the result; nothing for most formulas."""
    if name in DIAGRAMS:
        _draw_diagram(name, answer, store)
    elif name == "creq-nieq-window":
        _draw_windows(answer, entries)
    elif name.startswith("carbon-equivalent-"):
        st.html(p("told", NO_ZONES))
    else:
        made = _curve(name, tuple(sorted(entries.inputs.items())))
        if made is not None and len(made.points) > 1:
            _draw_curve(made)


# A curve follows from its inputs alone, so a kept one cannot go stale.
@lru_cache(maxsize=256)
def _curve(name: str, inputs: tuple[tuple[str, str], ...]) -> Curve | None:
    return curve(name, dict(inputs))


def _draw_curve(made: Curve) -> None:
    x, y = pretty(made.x_unit), pretty(made.y_unit)
    st.html(title(pretty(f"{sentence(made.y_title)} against {made.x_title}")))
    first, last = made.points[0], made.points[-1]
    words = (
        f"{sentence(made.y_title)} goes from {_number(first.y, y)} at {_number(first.x, x)} to "
        f"{_number(last.y, y)} at {_number(last.x, x)}; yours is {_number(made.yours.y, y)} at "
        f"{_number(made.yours.x, x)}."
    )
    outside = made.outside()
    stretches = "; ".join(f"{start:.4g} to {end:.4g} {x}".strip() for start, end, _ in outside)
    if outside:
        words += f" Outside the range of the formula: {stretches}."
    draw_spec(plain_spec(curve_chart(made)), words)
    st.html(_key(made, stretches) + _numbers(made))


def _key(made: Curve, stretches: str) -> Markup:
    items = [f"{LINES[made.grade]} line: {grade_words(made.grade)}"]
    items.append("dot: yours; all other inputs are held")
    if stretches:
        caveats = dict.fromkeys(pretty(c) for _, _, said in made.outside() for c in said)
        told = f"grey, {stretches}: the formula says there, for example: {'; '.join(caveats)}"
        items.append(_SHADE + told)
    return fragments.chart_key(items)


def _numbers(made: Curve) -> Markup:
    """Write some of the curve's points, for readers who want or need numbers."""
    step = max(1, (len(made.points) - 1) // (_TOLD - 1))
    head = [
        pretty(f"{name}, {unit}".rstrip(", "))
        for name, unit in ((made.x_title, made.x_unit), (made.y_title, made.y_unit))
    ]
    rows = [(f"{point.x:.4g}", f"{point.y:.4g}") for point in made.points[::step]]
    caption = f"{sentence(made.y_title)} against {made.x_title}"
    return aside("The chart in numbers", table(pretty(caption), head, rows))


def _draw_windows(answer: Answer, entries: Entries) -> None:
    ratio = parse_number(entries.inputs["ratio"])
    bars = window_bars(answer, RATIO_WINDOWS)
    words = "; ".join(bar.label for bar in bars) + (
        f". Yours: {ratio:g}." if ratio is not None else "."
    )
    st.html(title("The published windows"))
    draw_spec(plain_spec(range_chart(bars, "Creq/Nieq", "", value=ratio)), words)


def _draw_diagram(name: str, answer: Answer, store: Store) -> None:
    """Draw the diagram, then the fields of a filler metal, which were read before."""
    filler = read_entries(name, FILLER)
    dilution = str(st.session_state.get(key_of(name, DILUTION, FILLER)) or "").strip()
    problems = []
    mixed: Answer | None = None
    if filler.inputs and filler.ready:
        try:
            mixed = evaluate(name, filler)
        except InputError as error:
            problems.append(str(error))
    try:
        made = diagram(store, name, answer, mixed, dilution)
    except InputError as error:
        problems.append(str(error).replace("dilution_1", "dilution"))
        made = diagram(store, name, answer, mixed)
    st.html(title(f"On the axes of the {made.name} diagram"))
    draw_spec(plain_spec(diagram_chart(made)), _told(made))
    st.html(p("told", _told(made)) + _diagram_key(made))
    with st.expander("Mix with a filler metal", key=f"calculators.mix.{name}"):
        st.html(
            p(
                "told",
                "The composition entered is then the base metal. Mixtures lie on the line between "
                "it and the filler metal; the rule of mixing is from memory.",
            )
        )
        for problem in problems:
            widgets.problem(problem)
        draw_fields(name, filler.problems, FILLER)
        st.text_input(
            "Share of base metal in the weld metal (dilution)",
            key=key_of(name, DILUTION, FILLER), max_chars=LONGEST, autocomplete="off",
            persist_state="session", placeholder=f"like {example(name, DILUTION)}",
        )  # fmt: skip
        if filler.missing and filler.inputs:
            symbols = named(name).symbols
            needed = ", ".join(field_label(key, symbols[key]) for key in filler.missing)
            st.html(p("told", f"The line still needs: {needed}."))
        draw_buttons(name, FILLER)


def _diagram_key(made: Diagram) -> Markup:
    items = []
    if made.mixture:
        items.append("line: every mixture of the two")
    if made.field:
        read = grade_words(made.field.how_read)
        origin = f"{made.field.source_id}, {made.field.locator}"
        items.append(f"pale field: the main field of the diagram, {read} ({origin})")
    return fragments.chart_key([*items, "no line of ferrite and no zone: none was read"])


def _told(made: Diagram) -> str:
    """Say in words where the places are, below the chart and for a screen reader."""
    places = "; ".join(f"{p.label}: Creq {p.creq:.4g}, Nieq {p.nieq:.4g}" for p in made.places)
    return f"Places on the {made.name} diagram. {places}."


def _number(value: float, unit: str) -> str:
    return f"{value:.4g} {unit}".strip()
