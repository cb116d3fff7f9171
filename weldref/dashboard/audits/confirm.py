"""Confirm what a machine read of a PDF or a picture: the paper, and beside it value after value.

The state of a reading is held in memory for the visit. It can be saved at any moment, and dropped
here again to go on.
"""

from __future__ import annotations

import base64
from dataclasses import replace
from functools import partial
from typing import Any

import streamlit as st

from weldref.audit.uploads import Read
from weldref.dashboard import widgets
from weldref.dashboard.audits.files import Dropped
from weldref.dashboard.markup import Markup, note, progress, tag, title
from weldref.dashboard.visit import per_visit
from weldref.handouts.words import sentence
from weldref.procedures.paper.draft import draft_xlsx, in_order
from weldref.procedures.paper.page import Box
from weldref.procedures.paper.reading import Reading, Value

TEXT, LABEL, SHOWN = "confirm-text", "confirm-label", "confirm-shown"
READINGS, SKIPPED = "paper-readings", "paper-skipped"
AS_READ, BEFORE = "paper-as-read", "paper-last"
LONGEST = 500


def settled(file: Dropped, read: Read) -> Read:
    """Return a file with its procedures as soon as it may be audited."""
    if read.reading is None:
        return read
    reading = _readings().setdefault(file.key, read.reading)
    if reading.unconfirmed and file.key not in _as_read():
        return replace(read, procedures=())
    return replace(read, procedures=reading.procedures())


def mark(file: Dropped) -> int:
    """Return a number that changes with every value that is confirmed."""
    reading = _readings().get(file.key)
    return 0 if reading is None else hash((reading.cells, file.key in _as_read()))


def draw(files: list[tuple[Dropped, Read]]) -> None:
    """Draw the values to confirm of the first file that is not settled."""
    read_here = [(file, _readings()[file.key]) for file, read in files if read.reading is not None]
    waiting = [one for one in read_here if one[1].unconfirmed]
    for file, reading in (one for one in read_here if not one[1].unconfirmed):
        with st.container(horizontal=True, gap="small", vertical_alignment="center"):
            st.html(note(f"every value of {reading.file} is confirmed"), width="content")
            _offer(file, reading)
    if not waiting:
        return
    st.html(widgets.style(__file__))
    file, reading = waiting[0]
    with st.container(key="confirm", gap="small"):
        _draw_one(file, reading, len(waiting))


def _draw_one(file: Dropped, reading: Reading, documents: int) -> None:
    values = reading.values()
    left = [value for value in in_order(values) if not value.cell.confirmed]
    skipped: list[str] = st.session_state.setdefault(SKIPPED, [])
    value = next((one for one in left if one.cell.place not in skipped), None)
    if value is None:
        skipped.clear()
        value = left[0]
    done = len(values) - len(left)
    more = f", the first of {documents} documents" if documents > 1 else ""
    said = f"{done} of {len(values)} values confirmed{more}"
    bar = progress(said, done, len(values), "values confirmed")
    st.html(title(f"Compare with the paper: {reading.file}") + bar)
    paper, form = st.columns([3, 2], gap="medium")
    with paper:
        st.html(_sheet(reading, values, value))
    with form:
        _form(file, reading, value)
        widgets.note(
            "Enter accepts what is in the field; correct it first where the paper says something "
            "else, and empty it where nothing is printed. Doubtful values come first"
        )
        _offer(file, reading)
        st.toggle(
            "Audit now, with what is not confirmed",
            value=file.key in _as_read(),
            key=f"as-read-{file.key}",
            on_change=partial(_turn, file.key),
            help="Each finding on such a value says: read by machine, not confirmed.",
        )


def _form(file: Dropped, reading: Reading, value: Value) -> None:
    state: Any = st.session_state
    if state.get(SHOWN) != value.cell.place:
        state[SHOWN] = value.cell.place
        state[TEXT] = value.cell.text[:LONGEST]
        state[LABEL] = value.label.text[:LONGEST] if value.label else ""
    listed = [tag("dt", "understood as"), tag("dd", value.said)] if value.said else []
    if value.doubt:
        listed += [tag("dt", "doubt"), tag("dd", value.doubt, look="doubt")]
    read_as = tag("dl", *listed, look="read-as")
    st.html(title(sentence(value.title), level=3) + _zoom(reading, value) + read_as)
    with st.form("confirm-form", border=False):
        st.text_input("The paper says", key=TEXT, max_chars=LONGEST)
        if value.label is not None:
            st.text_input("Label on the paper", key=LABEL, max_chars=LONGEST)
        with st.container(horizontal=True, gap="small"):
            st.form_submit_button(
                "Accept and next", type="primary", on_click=_accept, args=(file.key, value)
            )
            st.form_submit_button("Later", on_click=_skip, args=(value.cell.place,))
            if state.get(BEFORE, {}).get(file.key):
                st.form_submit_button("Back to the last one", on_click=_back, args=(file.key,))


def _offer(file: Dropped, reading: Reading) -> None:
    """Offer the reading as it is now: to go on with later, or for a spreadsheet."""
    stem = reading.file.rpartition(".")[0] or reading.file
    with st.container(horizontal=True, gap="small"):
        widgets.download(
            "Save the reading (JSON)", reading.as_json(), f"{stem}-reading.json",
            f"reading-json-{file.key}", help="With its pictures. Drop it here again to go on.",
        )  # fmt: skip
        make = partial(per_visit, "draft", (file.key, mark(file)), partial(draft_xlsx, reading))
        name, key = f"{stem}-reading.xlsx", f"reading-xlsx-{file.key}"
        widgets.download("Workbook (XLSX)", make, name, key)


def _sheet(reading: Reading, values: tuple[Value, ...], here: Value) -> Markup:
    """Show the page with a box around each value."""
    page = here.cell.page
    boxes = [
        _box(reading, page, value.cell.box,
             "done" if value.cell.confirmed else "doubt" if value.doubt else "")
        for value in values
        if value.cell.page == page and value != here
    ]  # fmt: skip
    boxes.append(_box(reading, page, here.cell.box, "here"))
    picture = tag("img", src=_source(reading, page), alt=f"page {page} of the paper")
    return tag("div", picture, *boxes, look="sheet")


def _box(reading: Reading, page: int, box: Box, kind: str) -> Markup:
    sheet = reading.sheets[page - 1]
    left, top, right, bottom = box
    style = (
        f"left:{(left - 3) / sheet.width:.2%};top:{(top - 3) / sheet.height:.2%};"
        f"width:{(right - left + 6) / sheet.width:.2%};"
        f"height:{(bottom - top + 6) / sheet.height:.2%}"
    )
    return tag("i", look=kind, style=style)


def _zoom(reading: Reading, value: Value) -> Markup:
    """Show the value large, with what is around it."""
    sheet = reading.sheets[value.cell.page - 1]
    if not sheet.picture:
        return note("this draft has no pictures; compare with the paper itself")
    left, top, right, bottom = value.cell.box
    tall = 83  # pixels of the frame
    scale = min(3.2, 400 / (right - left + 60), tall / (bottom - top + 8))
    style = (
        f"width:{sheet.width * scale:.0f}px;left:{-(left - 25) * scale:.0f}px;"
        f"top:{tall / 2 - (top + bottom) / 2 * scale:.0f}px"
    )
    source = _source(reading, value.cell.page)
    return tag(
        "div", tag("img", src=source, alt="the value on the paper", style=style), look="zoom"
    )


def _source(reading: Reading, page: int) -> str:
    picture = reading.sheets[page - 1].picture
    kind = "png" if picture.startswith(b"\x89PNG") else "jpeg"
    return f"data:image/{kind};base64,{base64.b64encode(picture).decode()}"


def _accept(key: str, value: Value) -> None:
    state: Any = st.session_state
    reading = _readings()[key].confirm(value.cell.place, state[TEXT].strip())
    if value.label is not None and state[LABEL].strip() != value.label.text:
        reading = reading.confirm(value.label.place, state[LABEL].strip())
    _readings()[key] = reading
    state.setdefault(BEFORE, {})[key] = value.cell.place


def _skip(place: str) -> None:
    st.session_state[SKIPPED].append(place)


def _back(key: str) -> None:
    """Ask again for the value that was confirmed last."""
    place = st.session_state[BEFORE].pop(key)
    reading = _readings()[key]
    _readings()[key] = reading.open_again(place)
    others = [one.cell.place for one in reading.values() if one.cell.place != place]
    st.session_state[SKIPPED] = others


def _turn(key: str) -> None:
    _as_read().symmetric_difference_update({key})


def _readings() -> dict[str, Reading]:
    found: dict[str, Reading] = st.session_state.setdefault(READINGS, {})
    return found


def _as_read() -> set[str]:
    found: set[str] = st.session_state.setdefault(AS_READ, set())
    return found
