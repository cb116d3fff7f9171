"""Audit weld logs on the page: counts by verdict, the readings farthest outside, drift."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

import streamlit as st

from weldref.audit import examples
from weldref.audit.cited import printed_rows
from weldref.audit.uploads import (
    Upload,
    audit_log_upload,
    log_against,
    log_verdicts,
    plain_name,
    read_upload,
)
from weldref.audit.welded_log import with_joint
from weldref.charts.ranges import unit_sign
from weldref.dashboard import fragments, tables
from weldref.dashboard.audits.files import ask_for_files
from weldref.dashboard.said import number
from weldref.dashboard.settings.entries import GRADES
from weldref.dashboard.visit_cache import per_visit
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.logs.audit import Counts, LogAudit
from weldref.logs.text import asks_line
from weldref.procedures.model import Procedure
from weldref.text import clean, pairs

UNITS = {"us": "inch, °F", "metric": "metric"}
MOST_LOGS = 20
MOST_LISTED = 10
MOST_RANGES = 3


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key="logs-entries", gap="small"):
        files = ask_for_files("logs", "Weld logs", "CSV or Parquet", examples.logs())
        if len(files) > MOST_LOGS:
            st.html(fragments.problem(f"Files: {len(files)} are too many; give {MOST_LOGS}"))
            return
        asked = _ask()
        procedure = _welded_to()
    if asked is None:
        return
    if not files:
        st.html(
            '<p class="empty">Drop a log above: a record of a weld in each row, with columns such '
            "as process, electrode, diameter, current. Or switch the invented example on.</p>"
        )
    for place, file in enumerate(files):
        key = (file.key, repr(asked))
        with st.spinner(f"Auditing {plain_name(file.upload.name)}"):
            found = per_visit("logs", key, partial(_audited, file.upload, asked), MOST_LOGS)
        if isinstance(found, str):
            st.html(
                fragments.problem(
                    f"File {plain_name(file.upload.name)}: {found.removeprefix('log: ')}"
                )
            )
        else:
            if procedure is not None:
                _draw_against(file.upload, procedure, asked)
            _draw_log(store, found, file.upload, asked, place)


def _welded_to() -> Procedure | None:
    """Take the procedure that the logs were welded to, if there is one."""
    sent = st.file_uploader(
        "Procedure they were welded to (WPS), if any",
        key="logs-wps",
        help="JSON, YAML, CSV or XLSX. Each reading is then compared with its pass too; the column "
        "that names the pass is called weld or joint.",
    )
    if sent is None:
        return None
    read = read_upload(Upload(sent.name, sent.getvalue()))
    if len(read.procedures) != 1:
        several = f"it holds {len(read.procedures)} procedures; give one"
        st.html(fragments.problem(f"Procedure {read.name}: {read.problem or several}"))
        return None
    return read.procedures[0]


def _draw_against(upload: Upload, procedure: Procedure, asked: dict[str, Any]) -> None:
    """Draw the readings beside the windows of the procedure's passes."""
    wanted = {name: asked[name] for name in ("columns", "unit_of", "units")}
    try:
        found = log_against(upload, procedure, **wanted)
    except InputError as error:
        st.html(fragments.problem(f"Against the procedure: {str(error).removeprefix('log: ')}"))
        return
    rows = [
        (clean(one.label), _words(one.quantity), one.window or "none stated", one.readings,
         one.inside, one.low, one.high,
         "" if one.farthest is None else f"record {one.farthest:,} by {one.by:.3g}")
        for one in found.counts
    ]  # fmt: skip
    header = ("pass", "quantity", "window", "readings", "inside", "low", "high", "farthest")
    left = "".join(
        f'<p class="note">Not compared: {number:,} record{"s" if number != 1 else ""}: '
        f"{escape(clean(why))}.</p>"
        for why, number in found.unplaced.items()
    )
    title = "Readings by the windows of the procedure's passes"
    st.html(f"<h2>Against {escape(clean(found.procedure))}: {found.verdict}</h2>"
            + tables.table(title, header, rows, numbers=range(3, 7)) + left)  # fmt: skip


def _audited(upload: Upload, asked: dict[str, Any]) -> LogAudit | str:
    try:
        return audit_log_upload(upload, most=MOST_LISTED, **asked)
    except InputError as error:
        return str(error)


def _ask() -> dict[str, Any] | None:
    """Draw how the logs are to be read; None while an entry is refused."""
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        units = st.radio(
            "Columns without a unit are in",
            list(UNITS),
            key="logs-units",
            persist_state="session",
            format_func=lambda name: UNITS[name],
            horizontal=True,
        )
        grade = st.selectbox(
            "Evidence to accept",
            list(GRADES),
            key="logs-grade",
            persist_state="session",
            format_func=lambda name: GRADES[name],
            width=280,
        )
        under_water = st.checkbox("Under water", key="logs-under-water", persist_state="session")
    with (
        st.expander("A heading is not understood, or names no unit"),
        st.container(horizontal=True, gap="small"),
    ):
        columns = st.text_input(
            "Field=heading, commas between",
            key="logs-columns",
            persist_state="session",
            max_chars=400,
            width=360,
            placeholder="current=ch1, joint=seam",
        )
        unit_of = st.text_input(
            "Field=unit, commas between",
            key="logs-unit-of",
            persist_state="session",
            max_chars=400,
            width=360,
            placeholder="travel_speed=mm/s",
        )
    try:
        return {
            "units": units,
            "grade": grade,
            "under_water": under_water,
            "columns": with_joint(pairs("heading", _parts(columns))),
            "unit_of": pairs("unit", _parts(unit_of)),
        }
    except InputError as error:
        st.html(fragments.problem(str(error)))
        return None


def _parts(text: str) -> list[str]:
    """Split at commas.

    >>> _parts("current=ch1, joint = seam,")
    ['current=ch1', 'joint=seam']
    """
    parts = ("=".join(side.strip() for side in part.split("=", 1)) for part in text.split(","))
    return [part for part in parts if part]


def _draw_log(
    store: Store, found: LogAudit, upload: Upload, asked: dict[str, Any], place: int
) -> None:
    st.html(
        f"<h2>{escape(clean(found.log))} <span>{found.records:,} records, {found.conditions:,} "
        f"different situation{'s' if found.conditions != 1 else ''}, {found.rows:,} published rows "
        "that could apply</span></h2>" + _counts(found.counts) + _reasons(found.counts)
    )
    if found.worst:
        st.html("<h3>Farthest outside</h3>" + _worst(store, found))
    if found.drifts:
        st.html(
            "<h3>Drift</h3>"
            '<p class="asks">The mean of the first and of the second half of a joint\'s time, and '
            "the slope of a straight line. It describes, and judges nothing.</p>" + _drifts(found)
        )
    st.html(_columns(found))
    st.download_button(
        "Download every verdict (Parquet)",
        partial(log_verdicts, upload, **asked),
        file_name=f"{plain_name(upload.name).rpartition('.')[0] or 'log'}-verdicts.parquet",
        key=f"logs-download-{place}",
        on_click="ignore",
    )


def _words(name: str) -> str:
    return name.replace("_", " ")


def _counts(counts: tuple[Counts, ...]) -> str:
    rows = [
        (
            _words(one.quantity),
            one.readings,
            one.inside,
            one.low,
            one.high,
            one.sources_differ,
            one.depends,
            one.no_published_range,
            sum(one.reasons.values()),
        )
        for one in counts
    ]
    header = ("quantity", "readings", "inside", "low", "high", "sources differ", "depends",
              "no published range", "no verdict")  # fmt: skip
    asked = "".join(
        f'<p class="note">{escape(asks_line(one).capitalize())}.</p>' for one in counts if one.asks
    )
    return tables.table("Readings by verdict", header, rows, numbers=range(1, 9)) + asked


def _reasons(counts: tuple[Counts, ...]) -> str:
    return "".join(
        f'<p class="note">No verdict on {escape(_words(one.quantity))}: '
        + escape(", ".join(f"{number:,} {clean(why)}" for why, number in one.reasons.items()))
        + ".</p>"
        for one in counts
        if one.reasons
    )


def _worst(store: Store, found: LogAudit) -> str:
    """Write the readings farthest outside, and below them the ranges that they are outside of."""
    numbers: dict[str, int] = {}
    rows = []
    for one in found.worst:
        marks = [numbers.setdefault(key, len(numbers) + 1) for key in one.windows[:MOST_RANGES]]
        left = len(one.windows) - len(marks)
        rows.append(
            (
                f"{one.record:,}",
                clean(one.joint or ""),
                clean(one.welder or ""),
                _words(one.quantity),
                number(one.value, one.unit),
                f"{one.verdict} by {number(one.by, one.unit)}"
                + (f" ({one.share:.0%})" if one.share is not None else ""),
                fragments.GRADES[one.grade],
                ", ".join(map(str, marks)) + (f" and {left} more" if left else ""),
            )
        )
    header = (
        "record",
        "joint",
        "welder",
        "quantity",
        "reading",
        "verdict (share of the end)",
        "how read",
        "range below",
    )
    # Key by key: two keys that print the same would otherwise share a number.
    printed = [row for key in numbers for row in printed_rows(store, (key,))]
    ranges = fragments.row_list(printed, 1)
    return (
        tables.table(f"The {len(rows)} readings farthest outside", header, rows)
        + fragments.heading("The published ranges they are outside of")
        + ranges
    )


def _drifts(found: LogAudit) -> str:
    rows = [
        (
            clean(one.joint),
            f"{_words(one.quantity)}, {unit_sign(one.unit)}",
            f"{one.first_mean:.4g}",
            f"{one.second_mean:.4g}",
            f"{one.change:+.1%}",
            f"{one.slope:+.3g}",
            one.readings,
        )
        for one in found.drifts
    ]
    header = ("joint", "quantity", "first half", "second half", "change", "per hour", "readings")
    return tables.table("Joints that moved most", header, rows, numbers=range(2, 7))


def _columns(found: LogAudit) -> str:
    rows = []
    for column in found.columns.used:
        unit = unit_sign(column.unit) if column.unit else ""
        if unit and column.unit_from == "bare":
            unit += " (not stated in the log)"
        rows.append((clean(column.heading), _words(column.field), unit))
    body = tables.table("Columns that were used", ("heading", "read as", "unit"), rows)
    if found.columns.unknown:
        left = ", ".join(clean(heading) for heading in found.columns.unknown)
        body += f'<p class="note">Not used: {escape(left)}.</p>'
    return fragments.aside("How the columns were read", body)
