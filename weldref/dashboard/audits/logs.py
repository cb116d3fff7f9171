"""Audit weld logs on the page: counts by verdict, the readings farthest outside, drift."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
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
from weldref.dashboard import fragments, tables, widgets
from weldref.dashboard.audits.files import ask_for_files, refusal
from weldref.dashboard.markup import Markup, aside, joined, note, p, title
from weldref.dashboard.said import many, number, spaced
from weldref.dashboard.visit import per_visit
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import FULL
from weldref.logs.audit import Counts, LogAudit, Offender
from weldref.logs.columns import Column
from weldref.logs.text import asks_line
from weldref.procedures.model import Procedure
from weldref.text import clean, pairs

MOST_LOGS = 20
MOST_LISTED = 10
MOST_RANGES = 3


def draw(store: Store) -> None:
    """Draw the tab."""
    with st.container(key="logs-entries", gap="small"):
        files = ask_for_files("logs", "Weld logs", "CSV or Parquet", examples.logs())
        if len(files) > MOST_LOGS:
            widgets.problem(f"Files: {len(files)} are too many; give {MOST_LOGS}")
            return
        asked = _ask()
        procedure = _welded_to()
    if asked is None:
        return
    if not files:
        st.html(
            p(
                "empty",
                "Drop a log above: a record of a weld in each row, with columns such as process, "
                "electrode, diameter, current. Or switch the invented example on.",
            )
        )
    for place, file in enumerate(files):
        key = (file.key, repr(asked))
        with st.spinner(f"Auditing {plain_name(file.upload.name)}"):
            found = per_visit("logs", key, partial(_audited, file.upload, asked), MOST_LOGS)
        if isinstance(found, str):
            st.html(refusal(file.upload.name, found))
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
        widgets.problem(f"Procedure {read.name}: {read.problem or several}")
        return None
    return read.procedures[0]


def _draw_against(upload: Upload, procedure: Procedure, asked: dict[str, Any]) -> None:
    """Draw the readings beside the windows of the procedure's passes."""
    wanted = {name: asked[name] for name in ("columns", "unit_of", "units")}
    try:
        found = log_against(upload, procedure, **wanted)
    except InputError as error:
        widgets.problem(f"Against the procedure: {str(error).removeprefix('log: ')}")
        return
    compared = tables.of(
        "Readings by the windows of the procedure's passes",
        found.counts,
        {
            "pass": lambda one: clean(one.label),
            "quantity": lambda one: spaced(one.quantity),
            "window": lambda one: one.window or "none stated",
            "readings": lambda one: one.readings,
            "inside": lambda one: one.inside,
            "low": lambda one: one.low,
            "high": lambda one: one.high,
            "farthest": lambda one: (
                "" if one.farthest is None else f"record {one.farthest:,} by {one.by:.3g}"
            ),
        },
        numbers=range(3, 7),
    )
    left = (
        note(f"Not compared: {many(n, 'record')}: {clean(why)}")
        for why, n in found.unplaced.items()
    )
    head = title(f"Against {clean(found.procedure)}: {found.verdict}")
    st.html(joined([head, compared, *left]))


def _audited(upload: Upload, asked: dict[str, Any]) -> LogAudit | str:
    try:
        return audit_log_upload(upload, most=MOST_LISTED, **asked)
    except InputError as error:
        return str(error)


def _ask() -> dict[str, Any] | None:
    """Draw how the logs are to be read; None while an entry is refused."""
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        units = widgets.radio("Columns without a unit are in", widgets.UNITS, "logs-units")
        grade = widgets.grade("logs", 280)
        under_water = st.checkbox("Under water", key="logs-under-water", persist_state="session")
    with (
        st.expander("A heading is not understood, or names no unit"),
        st.container(horizontal=True, gap="small"),
    ):
        columns, unit_of = (
            widgets.line(f"Field={what}, commas between", f"logs-{key}", hint, "", 400, 360)
            for what, key, hint in (
                ("heading", "columns", "current=ch1, joint=seam"),
                ("unit", "unit-of", "travel_speed=mm/s"),
            )
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
        widgets.problem(error)
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
    situations = many(found.conditions, "different situation")
    rows = f"{found.rows:,} published rows that could apply"
    about = f"{found.records:,} records, {situations}, {rows}"
    st.html(joined([title(clean(found.log), about), _counts(found.counts)]))
    if found.worst:
        st.html(title("Farthest outside", level=3) + _worst(store, found))
    if found.drifts:
        about = (
            "The mean of the first and of the second half of a joint's time, and the slope of a "
            "straight line. It describes, and judges nothing."
        )
        st.html(title("Drift", level=3) + p("asks", about) + _drifts(found))
    st.html(_columns(found))
    name = f"{plain_name(upload.name).rpartition('.')[0] or 'log'}-verdicts.parquet"
    every = partial(log_verdicts, upload, **asked)
    widgets.download("Download every verdict (Parquet)", every, name, f"logs-download-{place}")


def _counts(counts: tuple[Counts, ...]) -> Markup:
    columns: dict[str, Callable[[Counts], object]] = {
        "quantity": lambda one: spaced(one.quantity),
        "readings": lambda one: one.readings,
        "inside": lambda one: one.inside,
        "low": lambda one: one.low,
        "high": lambda one: one.high,
        "sources differ": lambda one: one.sources_differ,
        "depends": lambda one: one.depends,
        "no published range": lambda one: one.no_published_range,
        "no verdict": lambda one: sum(one.reasons.values()),
    }
    made = tables.of("Readings by verdict", counts, columns, numbers=range(1, 9))
    asked = (note(asks_line(one).capitalize()) for one in counts if one.asks)
    reasons = (
        note(
            f"No verdict on {spaced(one.quantity)}: "
            + ", ".join(f"{number:,} {clean(why)}" for why, number in one.reasons.items())
        )
        for one in counts
        if one.reasons
    )
    return joined([made, *asked, *reasons])


def _worst(store: Store, found: LogAudit) -> Markup:
    """Write the readings farthest outside, and below them the ranges that they are outside of."""
    numbers: dict[str, int] = {}

    def ranges(one: Offender) -> str:
        marks = [numbers.setdefault(key, len(numbers) + 1) for key in one.windows[:MOST_RANGES]]
        left = len(one.windows) - len(marks)
        return ", ".join(map(str, marks)) + (f" and {left} more" if left else "")

    def verdict(one: Offender) -> str:
        share = f" ({one.share:.0%})" if one.share is not None else ""
        return f"{one.verdict} by {number(one.by, one.unit)}{share}"

    listed = tables.of(
        f"The {len(found.worst)} readings farthest outside",
        found.worst,
        {
            "record": lambda one: f"{one.record:,}",
            "joint": lambda one: clean(one.joint or ""),
            "welder": lambda one: clean(one.welder or ""),
            "quantity": lambda one: spaced(one.quantity),
            "reading": lambda one: number(one.value, one.unit),
            "verdict (share of the end)": verdict,
            "how read": lambda one: FULL[one.grade],
            "range below": ranges,
        },
    )
    # Key by key: two keys that print the same would otherwise share a number.
    printed = [row for key in numbers for row in printed_rows(store, (key,))]
    heading = p("heading", "The published ranges they are outside of")
    return listed + heading + fragments.row_list(printed, 1)


def _drifts(found: LogAudit) -> Markup:
    return tables.of(
        "Joints that moved most",
        found.drifts,
        {
            "joint": lambda one: clean(one.joint),
            "quantity": lambda one: f"{spaced(one.quantity)}, {unit_sign(one.unit)}",
            "first half": lambda one: f"{one.first_mean:.4g}",
            "second half": lambda one: f"{one.second_mean:.4g}",
            "change": lambda one: f"{one.change:+.1%}",
            "per hour": lambda one: f"{one.slope:+.3g}",
            "readings": lambda one: one.readings,
        },
        numbers=range(2, 7),
    )


def _columns(found: LogAudit) -> Markup:
    def unit(column: Column) -> str:
        bare = " (not stated in the log)" if column.unit_from == "bare" else ""
        return f"{unit_sign(column.unit)}{bare}" if column.unit else ""

    body = tables.of(
        "Columns that were used",
        found.columns.used,
        {
            "heading": lambda one: clean(one.heading),
            "read as": lambda one: spaced(one.field),
            "unit": unit,
        },
    )
    if found.columns.unknown:
        left = ", ".join(clean(heading) for heading in found.columns.unknown)
        body += note(f"Not used: {left}")
    return aside("How the columns were read", body)
