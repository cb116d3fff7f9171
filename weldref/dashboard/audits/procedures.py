"""Audit written procedures on the page: files, options, findings, reports."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

import streamlit as st

from weldref.audit import examples
from weldref.audit.codes import CODES
from weldref.audit.completeness import STANDARDS
from weldref.audit.dossier import Reply
from weldref.audit.dossier_xlsx import replies_from
from weldref.audit.finding import SEVERITIES
from weldref.audit.procedure_audit import Report
from weldref.audit.report import FORMATS
from weldref.audit.uploads import (
    Read,
    Upload,
    audit_read,
    new_since,
    packed_reports,
    plain_name,
    read_upload,
)
from weldref.audit.welder import is_certificate
from weldref.dashboard import widgets
from weldref.dashboard.audits import confirm, findings, typed
from weldref.dashboard.audits.files import Dropped, ask_for_files, refusal
from weldref.dashboard.markup import p
from weldref.dashboard.visit import per_visit, units
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.procedures.model import Procedure
from weldref.procedures.template import template

MOST_FILES = 60
FORMAT_WORDS = {
    "pdf": "PDF",
    "xlsx": "workbook for replies (XLSX)",
    "html": "HTML page",
    "text": "plain text",
    "json": "JSON",
}
LONGEST_AUDITOR = 80


class Document(NamedTuple):
    """A document in one of the files; its key holds its place, for a file may hold several."""

    key: str
    procedure: Procedure

    @property
    def is_record(self) -> bool:
        """Whether it says that it is a test record."""
        kind = self.procedure.kind
        return kind is not None and "PQR" in kind.text.upper()


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key="audits-entries", gap="small"):
        files = ask_for_files(
            "audits",
            "Procedures, test records and welders' certificates",
            "JSON, YAML, CSV, XLSX, PDF or a scan (PNG, JPEG, TIFF)",
            examples.procedures(),
        )
        if len(files) > MOST_FILES:
            widgets.problem(f"Files: {len(files)} are too many; give {MOST_FILES}")
            return
        with st.spinner("Reading"):
            read = [(file, confirm.settled(file, _read(file))) for file in files]
        named = {name: one.procedure for name, one in _named(read)}
        read += [(file, _read(file)) for file in typed.draw(named, units())]
        record, code, standards, grade = _ask(read)
        welders = _welders(read)
    for _, one in read:
        if one.problem:
            st.html(refusal(one.name, one.problem))
    confirm.draw(read)
    readable = [(file, one) for file, one in read if one.procedures]
    if not readable and any(one.reading for _, one in read):
        return
    if not readable:
        st.html(
            p(
                "empty",
                "Drop a procedure above, or switch the invented example on. A PDF or a scan is "
                "read by machine and confirmed by you, value by value; what cannot be read can be "
                "written into the empty form.",
            )
        )
        form = partial(template, ".xlsx", units=units())
        label = "Empty form to fill in (XLSX)"
        widgets.download(label, form, "procedure.xlsx", "audits-form")
        return
    keys = [tuple(one.key for one in some) for some in (record, welders)]
    asked = (*keys, code, standards, grade)
    with st.spinner("Auditing"):
        reports = [
            report
            for file, one in readable
            for report in per_visit(
                "audits", (file.key, confirm.mark(file), *asked),
                partial(
                    audit_read, one, record=[one.procedure for one in record], code=code,
                    standards=standards, grade=grade, welders=[one.procedure for one in welders],
                ),
                MOST_FILES,
            )
        ]  # fmt: skip
    shown = tuple((file.key, confirm.mark(file)) for file, _ in readable)
    _draw_reports(store, reports, (shown, *asked))


def _read(file: Dropped) -> Read:
    return per_visit("read", file.key, partial(read_upload, file.upload), MOST_FILES)


def _ask(
    read: Sequence[tuple[Dropped, Read]],
) -> tuple[Sequence[Document], str | None, tuple[str, ...], str]:
    """Draw what may be asked: test records, code, standards and the lowest grade."""
    every = _named(read)
    # Those that say that they are records, else every one.
    offered = dict([(name, one) for name, one in every if one.is_record] or every)
    _choose_the_only_record(offered)
    with st.container(horizontal=True, gap="small", key="audits-asked"):
        chosen = widgets.several_of(
            "Test records (PQR) that should cover them", list(offered), "audits-record",
            placeholder="none" if offered else "none: drop its file above", width=360,
        )  # fmt: skip
        code: str | None = widgets.one_of(
            "Code whose rules say what it covers", list(CODES), "audits-code",
            index=None, placeholder="none", width=280,
        )  # fmt: skip
        standards = widgets.several_of(
            "Standards whose contents it should have", list(STANDARDS), "audits-standards",
            placeholder="none", width=360,
        )  # fmt: skip
        grade = widgets.grade("audits", 280)
    record = [offered[name] for name in chosen if name in offered]
    if code and not record:
        widgets.note("Without a test record the matrix shows what the code wants stated")
    elif any(one.is_record for one in record) and not code:
        widgets.note("The test record is not used yet: choose the code too")
    return record if code else [], code, tuple(standards), grade


def _welders(read: Sequence[tuple[Dropped, Read]]) -> list[Document]:
    """Draw which welders' certificates count, where any was dropped."""
    offered = {name: one for name, one in _named(read) if is_certificate(one.procedure)}
    if not offered:
        return []
    label, key = "Welders' certificates (ISO 9606, ISO 14732)", f"audits-welders {sorted(offered)}"
    chosen = st.multiselect(label, list(offered), list(offered), key=key, width=360)
    return [offered[name] for name in chosen]


def _named(read: Sequence[tuple[Dropped, Read]]) -> list[tuple[str, Document]]:
    return [
        (f"{one.number or 'without a number'} ({file.name})",
         Document(f"{dropped.key} {place}", one))
        for dropped, file in read
        for place, one in enumerate(file.procedures)
    ]  # fmt: skip


def _choose_the_only_record(offered: dict[str, Document]) -> None:
    """When files come or go, choose the record if there is only one."""
    if st.session_state.get("audits-offered") == list(offered):
        return
    st.session_state["audits-offered"] = list(offered)
    kept = [name for name in st.session_state.get("audits-record") or () if name in offered]
    records = [name for name, one in offered.items() if one.is_record]
    st.session_state["audits-record"] = kept or (records if len(records) == 1 else [])


def _compared(
    reports: Sequence[Report], key: tuple[object, ...]
) -> tuple[Sequence[Report], dict[str, Reply], tuple[object, ...]]:
    """Draw the place for an earlier round: a report in JSON, or a workbook with replies."""
    with st.expander("Compare with an earlier round", key="audits-compare"):
        sent = st.file_uploader(
            "Earlier report (JSON), or the answered workbook (XLSX)",
            key="audits-earlier",
            help="New, open and closed findings are then told apart; of a workbook the numbers and "
            "replies are carried over into the dossier.",
        )
        if sent is None:
            return reports, {}, key
        key = (*key, sent.file_id)
        earlier = Upload(sent.name, sent.getvalue())
        try:
            if sent.name.lower().endswith(".xlsx"):
                replies = per_visit(
                    "replies", key, partial(replies_from, earlier.data, plain_name(sent.name))
                )
                said = sum(bool(one.reply) for one in replies.values())
                widgets.note(f"{len(replies)} findings, {said} of them answered")
                return reports, replies, key
            fresh = per_visit("compared", key, partial(new_since, reports, earlier))
        except InputError as error:
            widgets.problem(f"Earlier round: {str(error).partition(': ')[2]}")
            return reports, {}, key
    for one in fresh:
        if one.changes is not None:
            widgets.note(f"Since the earlier report: {one.changes}")
    return fresh, {}, key


def _draw_reports(store: Store, reports: Sequence[Report], key: tuple[object, ...]) -> None:
    reports, replies, key = _compared(reports, key)
    st.html(findings.summary(reports) + findings.meanings())
    with st.container(
        horizontal=True, gap="small", key="audits-report", vertical_alignment="bottom"
    ):
        forms = {name: words for name, words in FORMAT_WORDS.items() if name in FORMATS}
        form: str = widgets.one_of("Report as", forms, "audits-format", width=180)
        auditor = st.text_input(
            "Auditor, as the dossier names it", key="audits-auditor", max_chars=LONGEST_AUDITOR,
            width=240,
        )  # fmt: skip
        try:
            name, content = per_visit(
                "report",
                (*key, form, auditor),
                lambda: packed_reports(reports, form, auditor=auditor, replies=replies),
            )
        except InputError as error:
            widgets.problem(error)
        else:
            what = "the report" if len(reports) == 1 else f"{len(reports)} reports and a summary"
            widgets.download(f"Download {what}", content, name, "audits-download")
    if matrix := findings.matrices(reports):
        with st.expander("Coverage matrix", key="audits-matrix", expanded=True):
            st.html(matrix)
    wanted = _filter(reports)
    shown, count = findings.listed(store, reports, wanted)
    total = sum(len(report.findings) for report in reports)
    if count:
        st.html(shown)
    elif total:
        notes = sum(report.counts["note"] for report in reports)
        text = f"No finding fits what is chosen here; {total} in all, {notes} of them notes."
        st.html(p("empty", text))
    else:
        st.html(p("empty", "Nothing was found, which is not an approval."))


def _filter(reports: Sequence[Report]) -> findings.Wanted:
    """Draw the choice of findings; what was not compared is shown whatever is chosen."""
    with st.container(key="audits-filter", gap="small"):
        severities = st.pills(
            "Show", list(SEVERITIES), selection_mode="multi", default=list(SEVERITIES),
            key="audits-severity", persist_state="session", format_func=str.capitalize,
        )  # fmt: skip
        with st.container(horizontal=True, gap="small"):
            named = dict.fromkeys(f.rule for report in reports for f in report.findings)
            rules = st.multiselect(
                "Rules", list(named), key="audits-rules", placeholder="all", width=300,
                format_func=lambda name: name.replace("-", " "),
            )  # fmt: skip
            chosen = st.multiselect(
                "Documents", findings.titles(reports), key="audits-documents", placeholder="all",
                width=300,
            )  # fmt: skip
            hint = "for example preheat"
            text = widgets.line("Words", "audits-text", hint, longest=60, width=240)
    return findings.Wanted(tuple(severities), tuple(rules), tuple(chosen), text)
