"""Type a procedure in on the page, or change one: a list of fields and a grid of passes."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

import streamlit as st

from weldref.audit.uploads import Upload
from weldref.core.units import UnitSystem
from weldref.dashboard import widgets
from weldref.dashboard.audits.files import Dropped
from weldref.dashboard.markup import title
from weldref.errors import InputError
from weldref.procedures.form import Form, form_of, procedure_from
from weldref.procedures.model import Procedure
from weldref.procedures.template import template

EMPTY = "an empty form"
BLANK_ROWS = 3
SAVED_AS = {".json": "JSON", ".xlsx": "XLSX"}


def draw(offered: Mapping[str, Procedure], units: UnitSystem) -> list[Dropped]:
    """Draw the form; return what is typed in as a file among the others, if it says anything."""
    with st.expander("Type a procedure in, or change one", key="audits-typed"):
        start = st.selectbox(
            "Start from", [EMPTY, *offered], key="audits-typed-start", persist_state="session"
        )
        form = form_of(offered.get(start), units)
        lines, rows = _edited(form, f"{start} {units}")
        try:
            made = procedure_from(lines, form.headings, rows)
        except InputError as error:
            if any(value for _, value in lines) or any(map(any, rows)):
                widgets.problem(error)
            else:
                widgets.note("Nothing is typed in yet")
            return []
        with st.container(horizontal=True, gap="small", vertical_alignment="center"):
            for ending, name in SAVED_AS.items():
                data = template(ending, units=units, procedure=made)
                key = f"audits-typed-save{ending}"
                widgets.download(f"Save as {name}", data, f"procedure{ending}", key)
            wanted = st.toggle("Audit what is typed in", True, key="audits-typed-audit")
    data = template(".json", units=units, procedure=made)
    upload = Upload("typed-in.json", data)
    return [Dropped(f"typed {sha256(data).hexdigest()}", upload)] if wanted else []


def _edited(form: Form, key: str) -> tuple[list[tuple[str, str]], list[list[str]]]:
    """Draw the two grids; an edit stays in its cell while the same start and units are chosen."""
    lines = st.data_editor(
        [{"Part": o.section, "Field": o.label, "As the procedure states it": o.value,
          "How to write it": o.note} for o in form.lines],
        disabled=["Part", "Field", "How to write it"],
        hide_index=True,
        height=420,
        key=f"audits-typed-lines {key}",
    )  # fmt: skip
    blank = [[""] * len(form.headings)] * BLANK_ROWS
    grid = [*form.passes, *([] if form.passes else blank)]
    st.html(title("Passes, a row for each pass and electrode size", level=3))
    passes = st.data_editor(
        [dict(zip(form.headings, one, strict=True)) for one in grid],
        num_rows="dynamic",
        hide_index=True,
        column_config={
            name: st.column_config.TextColumn(help=note)
            for name, note in zip(form.headings, form.notes, strict=True)
        },
        key=f"audits-typed-passes {key}",
    )
    told = [(one["Field"], _text(one["As the procedure states it"])) for one in lines]
    return told, [[_text(one.get(name)) for name in form.headings] for one in passes]


def _text(cell: object) -> str:
    return str(cell).strip() if isinstance(cell, str) else ""
