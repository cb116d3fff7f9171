"""Show what a formula gives, with all that a reader needs to judge it."""

from __future__ import annotations

import math
import shlex
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

import streamlit as st

from weldref.calculate.by_name import Answer, compute, named, shown
from weldref.calculate.checked import Comparison, checked_line, comparisons
from weldref.calculate.text import REMINDER
from weldref.charts.formulas import ordered, pretty
from weldref.dashboard import fragments, widgets
from weldref.dashboard.calculators.equation import with_numbers, written
from weldref.dashboard.calculators.form import Entries, explained, field_label
from weldref.dashboard.said import first_up
from weldref.data import browse
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.formula import Formula, Result
from weldref.grades import FULL

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
        # A message about the entries together has no field to stand beside.
        if "" in entries.problems:
            widgets.problem(entries.problems[""])
        st.html(fragments.empty("No answer until that is corrected."))
        return
    symbols = named(name).symbols
    needed = [field_label(key, symbols[key]) for key in entries.missing]
    listed = "".join(f"<li>{escape(label)}</li>" for label in needed)
    st.html(f'<div class="waiting"><p>Still needed:</p><ul>{listed}</ul></div>')


def draw_answer(answer: Answer, entries: Entries, store: Store) -> None:
    """Draw the result or the rows found."""
    target = named(answer.name)
    if isinstance(target, Formula):
        filled = with_numbers(target, entries.inputs)
        equation = f'<p class="equation">{filled}</p>' if filled != written(target) else ""
        st.html(_result(answer) + equation + _after(answer, store))
    else:
        st.html(_rows(answer, store))
    st.html(fragments.reminder(REMINDER))
    st.html(fragments.aside("The same on the command line", _command(answer)))


def draw_about(name: str, store: Store) -> None:
    """Say, before anything is entered, for what a formula is valid, who says so, what it met."""
    about = explained(name)
    parts = [f"<p><b>Valid for:</b> {escape(about['valid'])}.</p>"]
    if about["sources"]:
        parts.append(_sources(about["sources"], store))
    parts.append(_checks(comparisons().get(name, [])))
    st.html(f'<section class="about">{"".join(parts)}</section>')


def grade_words(grade: str) -> str:
    """Say a grade in words.

    >>> grade_words("memory"), grade_words("by row")
    ('from memory, not seen in print', 'each row has its own')
    """
    return FULL.get(grade, "each row has its own")


def _result(answer: Answer) -> str:
    """The value in both systems; the outline shows the grade as on every chart."""
    if answer.low:
        low, high = pretty(answer.low), pretty(answer.high)
        value = (
            f'<p class="value">{escape(low)}</p><p class="value">to {escape(high)}</p>'
            "<p>The lowest and the highest that the ranges entered give.</p>"
        )
    else:
        units = str(st.session_state.get("units", "us"))
        first, *others = (pretty(text) for text in ordered(answer.shown, units))
        also = "".join(f" <span>= {escape(text)}</span>" for text in others)
        value = f'<p class="value">{escape(first)}{also}</p>'
    grade = str(answer.grade)
    said = f"<p>{escape(MEMORY)}</p>" if grade == "memory" else ""
    meaning = named(answer.name).result.meaning
    return (
        f'<div class="result {escape(grade)}" role="status"><p class="asked">'
        f"{escape(first_up(pretty(meaning)))}</p>{value}"
        f'<p class="grade-line">Evidence: {escape(grade_words(grade))}. '
        f"{escape(first_up(checked_line(answer.checked or ())))}.</p>{said}"
        f"{_caveats(answer.caveats)}</div>"
    )


def _caveats(caveats: Sequence[str]) -> str:
    listed = (f"{escape(first_up(pretty(text)))}." for text in caveats)
    return fragments.heading("Mind") + fragments.bullets(listed, "caveats") if caveats else ""


def _after(answer: Answer, store: Store) -> str:
    """Parts, and sources that count in this case only."""
    text = ""
    if answer.parts:
        steps = (f"{escape(k.replace('_', ' '))}: {v:.4g}" for k, v in answer.parts.items())
        listed = fragments.bullets(steps, "rows")
        text += fragments.aside("Steps in between", f"<p>In SI units.</p>{listed}")
    known = explained(answer.name)["sources"]
    more = [source for source in answer.sources if source not in known]
    if more:
        text += _sources(more, store, "Where its numbers come from")
    return text


def _sources(
    sources: Sequence[Mapping[str, Any]], store: Store, title: str = "Where it comes from"
) -> str:
    documents = browse.documents(store)
    items = []
    for source in sources:
        document = documents.get(source["source_id"])
        name = document.name if document else source["source_id"]
        note = f"; {source['note']}" if source["note"] else ""
        about = f"{grade_words(source['how_read'])}{note}"
        items.append(
            f"<cite>{escape(name)}, {escape(source['locator'])}</cite>. {escape(first_up(about))}."
        )
    return fragments.heading(title) + fragments.bullets(items, "rows")


def _checks(found: Sequence[Comparison]) -> str:
    if not found:
        return ""
    items = []
    for one in found:
        difference = f" Difference: {escape(one.difference)}." if one.difference != "–" else ""
        items.append(f"{escape(first_up(one.against))}.{difference}")
    return fragments.heading("What it was checked against") + fragments.bullets(items, "rows")


def _rows(answer: Answer, store: Store) -> str:
    said = [row for row in answer.rows if row["what"] != "note"]
    if not said:
        return '<div class="verdict none"><p class="word">Nothing is published for this</p></div>'
    documents = browse.documents(store)
    items = []
    for row in said:
        value = "no value" if row["value"] is None else _in_both(row["value"], row["unit"])
        document = documents.get(row["source_id"])
        place = f"{document.name if document else row['source_id']}, "
        place += row["locator"] or "place not noted"
        details = ["governing" if row.get("governing") else "", row["condition"], row["note"]]
        told = "; ".join(filter(None, details))
        items.append(
            f"<b>{escape(pretty(value))}</b>, {escape(row['what'])}"
            f"{': ' + escape(told) if told else ''}. <cite>{escape(place)}</cite>. "
            f"{escape(first_up(grade_words(row['how_read'])))}."
        )
    notes = [row["note"] for row in answer.rows if row["what"] == "note"]
    return fragments.bullets(items, "rows found") + _caveats(notes)


def _in_both(value: float, unit: str) -> str:
    """Write a value of a row in both systems, as the result of a formula is.

    >>> _in_both(10.0, "degC"), _in_both(5, "")
    ('50 degF = 10 degC', '5')
    """
    units = str(st.session_state.get("units", "us"))
    return " = ".join(ordered(shown(Result("", value, unit, "read", ())), units))


def _command(answer: Answer) -> str:
    parts = [f"{key}={text}" for key, text in answer.inputs.items()]
    line = shlex.join(["weldref", "compute", answer.name, *parts])
    return f"<pre tabindex='0'>{escape(line)}</pre>"
