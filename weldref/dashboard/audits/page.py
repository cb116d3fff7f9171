"""The page that audits written procedures and weld logs."""

from __future__ import annotations

import streamlit as st

from weldref.core.check import NOT_APPROVAL
from weldref.dashboard import fragments, tables
from weldref.dashboard.audits import logs, procedures
from weldref.data.store import Store

CSS = """
.stHtml .asks { margin: .2rem 0 0; color: #4a5764; }
.finding { border: 1px solid #c3ccd3; border-left: 6px solid #7b8794; padding: .55rem .9rem .6rem;
  margin: .6rem 0; break-inside: avoid; }
.finding.contradiction, .finding.outside, .finding.not-covered { border-left-color: #9a3412; }
.finding.missing, .finding.question { border-left-color: #5b3a8a; }
.stHtml .finding + h2 { margin-top: 1.6rem; }
.stHtml .finding p { margin: 0; line-height: 1.45; overflow-wrap: anywhere; }
.stHtml .finding .what { font-weight: 650; }
.finding .recalled { border: 1px dotted #1f2933; padding: 0 .35rem; font-weight: 650;
  white-space: nowrap; }
.finding.not-checked { border-left-style: dashed; border-left-color: #1f2933; }
.stHtml .matrix td, .stHtml .matrix th { white-space: normal; overflow-wrap: anywhere;
  min-width: 7rem; }
.stHtml .matrix td:first-of-type { font-weight: 650; min-width: 5.5rem; overflow-wrap: normal; }
.stHtml .matrix td.long { min-width: 16rem; }
.stHtml dl { margin: 0; padding: 0; }
.stHtml .finding dl { display: grid; grid-template-columns: 5.5rem 1fr; gap: .1rem .8rem;
  margin: .3rem 0 0; }
.stHtml dt, .stHtml dd { margin: 0; padding: 0; }
.finding dt { color: #4a5764; font-weight: 400; }
.finding dd { overflow-wrap: anywhere; }
.finding .paper { max-width: 100%; max-height: 4rem;
  border: 1px solid #8a97a3; margin: .3rem .3rem 0 0; }
.finding details { margin: .35rem 0 0; }
.finding summary { cursor: pointer; padding: .35rem 0; color: #1d4f6b; font-weight: 650; }
.stHtml .cells { margin: .3rem 0 0; padding: 0 0 0 1.4rem; overflow-wrap: anywhere; }
.stHtml .cells li { margin: .3rem 0; padding: 0; line-height: 1.45; }
.cells span { color: #4a5764; }
.stHtml .words { padding: .3rem 0; display: grid; grid-template-columns: 8rem 1fr;
  gap: .3rem 1rem; }
.words dt { font-weight: 650; }
@media (max-width: 40rem) {
  .stHtml .finding dl { grid-template-columns: 4.6rem 1fr; }
  .stHtml .words { grid-template-columns: 1fr; gap: 0; }
  .stHtml .words dd { margin-bottom: .4rem; }
}
@media print {
  [data-testid="stFileUploader"], .st-key-audits-entries, .st-key-audits-filter,
  .st-key-audits-report, .st-key-audits-compare, .st-key-logs-entries { display: none !important; }
}
"""


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
