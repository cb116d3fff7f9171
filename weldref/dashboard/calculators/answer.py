"""Show what a formula gives, with all that a reader needs to judge it."""

from __future__ import annotations

import math
import shlex
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import streamlit as st

from weldref.calculate.by_name import Answer, compute, named, shown
from weldref.calculate.checked import Comparison, checked_line, comparisons
from weldref.calculate.text import REMINDER
from weldref.charts.formulas import ordered, pretty
from weldref.dashboard import widgets
from weldref.dashboard.calculators.equation import with_numbers, written
from weldref.dashboard.calculators.form import Entries, explained, field_label
from weldref.dashboard.markup import Markup, aside, bullets, joined, p, tag
from weldref.dashboard.visit import units
from weldref.data import browse
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.formula import Formula, Result
from weldref.grades import FULL
from weldref.handouts.words import sentence

MEMORY = (
    "From memory: the formula or a number in it was recalled and not seen in print. "
    "Look it up before you rely on it."
)
_TOO_FAR = "these values are too far from anything that can be computed"


def evaluate(name: str, entries: Entries) -> Answer:
    """Compute a formula.

    Raises
    ------
    InputError
        If the entries are not accepted together, or the result is beyond any number.
    """
    try:
        answer = compute(name, entries.inputs)
    except InputError:
        raise
    except (ArithmeticError, ValueError):
        raise InputError(f"{name}: {_TOO_FAR}") from None
    numbers = [answer.value, *answer.parts.values()]
    if any(number is not None and not math.isfinite(number) for number in numbers):
        raise InputError(f"{name}: {_TOO_FAR}")
    return answer


def draw_waiting(name: str, entries: Entries) -> None:
    """Say what is still needed before anything is computed."""
    if entries.problems:
        # A message about the entries together belongs to no field.
        if "" in entries.problems:
            widgets.problem(entries.problems[""])
        st.html(p("empty", "No answer until that is corrected."))
        return
    symbols = named(name).symbols
    needed = bullets(field_label(key, symbols[key]) for key in entries.missing)
    st.html(tag("div", tag("p", "Still needed:"), needed, look="waiting"))


def draw_answer(answer: Answer, entries: Entries, store: Store) -> None:
    """Draw the result or the rows found."""
    target = named(answer.name)
    if isinstance(target, Formula):
        filled = with_numbers(target, entries.inputs)
        equation = [p("equation", filled)] if filled != written(target) else []
        st.html(joined([_result(answer), *equation, *_after(answer, store)]))
    else:
        st.html(_rows(answer, store))
    st.html(p("reminder", REMINDER))
    st.html(aside("The same on the command line", _command(answer)))


def draw_about(name: str, store: Store) -> None:
    """Say for what a formula is valid, where it comes from and what it was checked against."""
    about = explained(name)
    parts = [tag("p", tag("b", "Valid for:"), f" {about['valid']}.")]
    if about["sources"]:
        parts.append(_sources(about["sources"], store))
    if found := comparisons().get(name):
        parts += [p("heading", "What it was checked against"), bullets(map(_check, found), "rows")]
    st.html(tag("section", *parts, look="about"))


def grade_words(grade: str) -> str:
    """Say a grade in words.

    >>> grade_words("memory"), grade_words("by row")
    ('from memory, not seen in print', 'each row has its own')
    """
    return FULL.get(grade, "each row has its own")


def _result(answer: Answer) -> Markup:
    """Write the value in both systems; the outline shows the grade as on every chart."""
    if answer.low:
        value = [
            p("value", pretty(answer.low)),
            p("value", f"to {pretty(answer.high)}"),
            tag("p", "The lowest and the highest that the ranges entered give."),
        ]
    else:
        first, *others = (pretty(text) for text in ordered(answer.shown, units()))
        value = [p("value", first, *(Markup(" ") + tag("span", f"= {text}") for text in others))]
    grade = str(answer.grade)
    checked = sentence(checked_line(answer.checked or ()))
    return tag(
        "div",
        p("asked", sentence(pretty(named(answer.name).result.meaning))),
        *value,
        p("grade-line", f"Evidence: {grade_words(grade)}. {checked}."),
        tag("p", MEMORY) if grade == "memory" else "",
        _caveats(answer.caveats),
        look=f"result {grade}",
        role="status",
    )


def _caveats(caveats: Sequence[str]) -> Markup:
    listed = (f"{sentence(pretty(text))}." for text in caveats)
    return p("heading", "Mind") + bullets(listed, "caveats") if caveats else Markup()


def _after(answer: Answer, store: Store) -> Iterator[Markup]:
    """Write the parts, and the sources that count in this case only."""
    if answer.parts:
        steps = (
            f"{name.replace('_', ' ')}: {' = '.join(map(pretty, ordered(texts, units())))}"
            for name, texts in answer.shown_parts.items()
        )
        yield aside("Steps in between", bullets(steps, "rows"))
    known = explained(answer.name)["sources"]
    if more := [source for source in answer.sources if source not in known]:
        yield _sources(more, store, "Where its numbers come from")


def _sources(
    sources: Sequence[Mapping[str, Any]], store: Store, title: str = "Where it comes from"
) -> Markup:
    items = []
    for source in sources:
        note = f"; {source['note']}" if source["note"] else ""
        cited = tag("cite", f"{_document(store, source)}, {source['locator']}")
        items.append(joined([cited, f". {sentence(grade_words(source['how_read']))}{note}."]))
    return p("heading", title) + bullets(items, "rows")


def _document(store: Store, said: Mapping[str, Any]) -> str:
    document = browse.documents(store).get(said["source_id"])
    return document.name if document else str(said["source_id"])


def _check(one: Comparison) -> str:
    difference = f" Difference: {one.difference}." if one.difference != "–" else ""
    return f"{sentence(one.against)}.{difference}"


def _rows(answer: Answer, store: Store) -> Markup:
    said = [row for row in answer.rows if row["what"] != "note"]
    if not said:
        return tag("div", p("word", "Nothing is published for this"), look="verdict none")
    items = []
    for row in said:
        value = "no value" if row["value"] is None else _in_both(row["value"], row["unit"])
        details = ["governing" if row.get("governing") else "", row["condition"], row["note"]]
        told = ": ".join(filter(None, [row["what"], "; ".join(filter(None, details))]))
        cited = tag("cite", f"{_document(store, row)}, {row['locator'] or 'place not noted'}")
        read = sentence(grade_words(row["how_read"]))
        items.append(joined([tag("b", pretty(value)), f", {told}. ", cited, f". {read}."]))
    notes = [row["note"] for row in answer.rows if row["what"] == "note"]
    return bullets(items, "rows found") + _caveats(notes)


def _in_both(value: float, unit: str) -> str:
    """Write a value of a row in both systems, as the result of a formula is.

    >>> _in_both(10.0, "degC"), _in_both(5, "")
    ('50 degF = 10 degC', '5')
    """
    return " = ".join(ordered(shown(Result("", value, unit, "read", ())), units()))


def _command(answer: Answer) -> Markup:
    parts = [f"{key}={text}" for key, text in answer.inputs.items()]
    line = shlex.join(["weldref", "compute", answer.name, *parts])
    return tag("pre", line, tabindex=0)
