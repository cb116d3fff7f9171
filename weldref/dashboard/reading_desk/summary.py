"""Show the result of a document that was read completely, and the file to send."""

from __future__ import annotations

from html import escape
from pathlib import Path

import streamlit as st

from weldref.dashboard import fragments, tables
from weldref.data.readings import Reading, content_of
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.reading_desk import Sitting, answered, counts
from weldref.exchange.readings_text import KINDS


def draw(store: Store, sitting: Sitting, readings: tuple[Reading, ...]) -> None:
    """Show what was read beside what was recalled, differences first."""
    found = answered(store, sitting.source_id, readings, sitting.reader)
    order = list(counts(()))
    said = ", ".join(f"{n} {KINDS[kind]}" for kind, n in counts(found).items() if n)
    st.html(f"<h2>All cells are answered <span>{escape(said)}</span></h2>")
    rows = sorted(found, key=lambda one: (one.outcome.kind == "agrees",
                                          order.index(one.outcome.kind)))  # fmt: skip
    st.html(
        tables.table(
            "What you read, beside what was recalled",
            ("Cell", "What came of it", "Read", "Recalled"),
            [(one.cell.words, KINDS[one.outcome.kind], one.read, one.recalled) for one in rows],
        )
    )


def offer(file: Path) -> None:
    """Let the reader take the file along, to send it to the project."""
    try:
        content = content_of(file)
    except InputError as error:
        st.html(fragments.problem(str(error)))
        return
    st.download_button(
        "Download all readings", data=content, file_name="readings.jsonl",
        mime="application/jsonl", key="desk-download", on_click="ignore",
    )  # fmt: skip
    st.html(
        '<p class="note">Send the file to the project. To let the readings count on this machine, '
        f"set WELDREF_READINGS to {escape(str(file))}, or name it in weldref.toml.</p>"
    )
