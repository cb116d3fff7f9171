"""The page of the formulas: a list by subject, or one formula with its fields and its answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import streamlit as st

from weldref.calculate.by_name import Answer, listing, named
from weldref.calculate.checked import subject_of
from weldref.dashboard import visit, widgets
from weldref.dashboard.calculators import address, answer, drawing
from weldref.dashboard.calculators.equation import written
from weldref.dashboard.calculators.form import (
    Entries,
    draw_buttons,
    draw_fields,
    entered,
    explained,
    fill,
    read_entries,
)
from weldref.dashboard.markup import header, p, tag, title
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.formulas.formula import Formula

PAGE = "calculators"
FORMULA = f"{PAGE}.formula"


def draw(store: Store) -> None:
    """Draw the page."""
    st.html(widgets.style(__file__))
    problems = _read_address()
    name = st.session_state.get(FORMULA)
    if name is None:
        _draw_list(problems)
    else:
        _draw_formula(name, problems, store)


def _read_address() -> tuple[str, ...]:
    """Take formula and inputs from the address, once for each address."""
    now = visit.new_address(PAGE)
    if now is None:
        return ()
    asked = address.read(now)
    current = st.session_state.get(FORMULA)
    # The page was left and is opened again by its link, which names no formula.
    opened_again = current is not None and not visit.stayed()
    if asked.formula is None and opened_again and not asked.problems:
        return ()
    st.session_state[FORMULA] = asked.formula
    if asked.formula is not None:
        fill(asked.formula, asked.inputs)
    return asked.problems


def _draw_list(problems: Iterable[str]) -> None:
    about = (
        f"{len(listing())} formulas and look-ups, each with its source, the range it is valid for "
        "and what it was checked against."
    )
    st.html(header("What does a formula give?", about))
    for problem in problems:
        widgets.problem(problem)
    words = widgets.line(
        "Words in a formula's name, subject or inputs", f"{PAGE}.find", "preheat thickness",
        longest=100, width="stretch", autocomplete="off",
    )  # fmt: skip
    found = find(words)
    if not found:
        st.html(p("empty", "No formula has all these words."))
    with st.container(key="calculators-list"):
        for subject, names in found.items():
            with st.container(gap=None):
                st.html(title(subject, len(names)))
                for name in names:
                    st.button(
                        named(name).title, key=f"{PAGE}.open.{name}", type="tertiary",
                        on_click=_open, args=(name,), width="stretch",
                    )  # fmt: skip


def find(words: str) -> dict[str, list[str]]:
    """Find the formulas that hold every word, by subject.

    >>> find("acetylene draw")
    {'Gas': ['acetylene-draw']}
    """
    wanted = words.lower().split()
    order = list(subject_of())  # look-ups have no subject, and come last
    names = sorted(
        (row["name"] for row in listing()),
        key=lambda name: order.index(name) if name in order else len(order),
    )
    found: dict[str, list[str]] = {}
    for name in names:
        subject = subject_of().get(name, "look-ups in the tables").capitalize()
        about = explained(name)
        parts = [subject, name, about["title"], about["equation"]]
        parts += [f"{p['name']} {p['meaning']}" for p in about["parameters"]]
        line = " ".join(parts).lower()
        if all(word in line for word in wanted):
            found.setdefault(subject, []).append(name)
    return found


def _draw_formula(name: str, problems: Iterable[str], store: Store) -> None:
    entries = read_entries(name)
    result, entries = _evaluate(name, entries)
    target = named(name)
    st.button("All formulas", key=f"{PAGE}.back", on_click=_open, args=(None,))
    about = explained(name)
    equation = [p("equation", written(target))] if isinstance(target, Formula) else []
    evidence = p("told", f"Evidence: {answer.grade_words(about['grade'])}.")
    st.html(tag("header", tag("h1", about["title"]), tag("div", *equation, evidence)))
    for problem in problems:
        widgets.problem(problem)
    with st.container(key="calculators-board"):
        with st.container(key="calculators-entry", gap="small"):
            st.html(title("What goes in", "Enter applies"))
            draw_fields(name, entries.problems)
            draw_buttons(name)
            st.html(
                p(
                    "told",
                    "Values with units, in either system: 1/4 in, 6 mm, 25 V. A range, 24..28 V, "
                    "gives the lowest and the highest result; 150 +/- 5 A carries the uncertainty "
                    "through.",
                )
            )
        with st.container(key="calculators-answer", gap="small"):
            if result is None:
                answer.draw_waiting(name, entries)
            else:
                answer.draw_answer(result, entries, store)
                drawing.draw_chart(name, result, entries, store)
            answer.draw_about(name, store)
    visit.write_address(PAGE, {address.FORMULA: name, **entered(name)})


def _evaluate(name: str, entries: Entries) -> tuple[Answer | None, Entries]:
    """Compute when all is there; a message about one field goes to that field."""
    if not entries.ready:
        return None, entries
    try:
        return answer.evaluate(name, entries), entries
    except InputError as error:
        field, _, _ = str(error).partition(":")
        place = field if field in entries.inputs else ""
        return None, replace(entries, problems={place: str(error)})


def _open(name: str | None) -> None:
    st.session_state[FORMULA] = name
    if name is None:
        visit.write_address(PAGE, {})
