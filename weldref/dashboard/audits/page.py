"""The page that audits written procedures and weld logs."""

from __future__ import annotations

import streamlit as st

from weldref.core.check import NOT_APPROVAL
from weldref.dashboard import widgets
from weldref.dashboard.audits import logs, procedures
from weldref.dashboard.markup import p, tag
from weldref.data.store import Store


def draw(store: Store) -> None:
    """Draw the page."""
    widgets.begin(
        __file__,
        "Does it stay inside what is published?",
        "A written procedure or a weld log, beside published ranges and rules. Nothing you drop "
        "here is stored.",
    )
    st.html(tag("div", p("reminder", NOT_APPROVAL), look="cautions"))
    on_procedures, on_logs = st.tabs(["Procedures (WPS, PQR)", "Weld logs"])
    with on_procedures:
        procedures.draw(store)
    with on_logs:
        logs.draw(store)
