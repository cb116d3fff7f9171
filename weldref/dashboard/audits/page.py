"""The page that audits written procedures and weld logs."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from weldref.core.check import NOT_APPROVAL
from weldref.dashboard import fragments, tables
from weldref.dashboard.audits import logs, procedures
from weldref.data.store import Store

CSS = Path(__file__).with_name("page.css").read_text(encoding="utf-8")


def draw(store: Store) -> None:
    """Draw the page."""
    st.html(f"<style>{tables.CSS}{CSS}</style>")
    st.html(
        "<header><h1>Does it stay inside what is published?</h1><p>A written procedure or a weld "
        "log, beside published ranges and rules. Nothing you drop here is stored.</p></header>"
    )
    st.html(f'<div class="cautions">{fragments.reminder(NOT_APPROVAL)}</div>')
    on_procedures, on_logs = st.tabs(["Procedures (WPS, PQR)", "Weld logs"])
    with on_procedures:
        procedures.draw(store)
    with on_logs:
        logs.draw(store)
