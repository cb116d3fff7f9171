"""Enter the school's header, see it, and save it in the config file."""

from __future__ import annotations

import streamlit as st

from weldref.dashboard import widgets
from weldref.dashboard.visit import at_this_machine
from weldref.errors import InputError
from weldref.handouts.output import school_html
from weldref.handouts.school import (
    BLACK,
    LARGEST_LOGO,
    LONGEST,
    WHITE,
    School,
    kind_of_logo,
    save_school,
    school,
    school_of,
)  # fmt: skip

TAB = "school"
LABELS = {"name": "Name of the school", "course": "Course", "instructor": "Instructor's line"}


def draw() -> None:
    """Draw the form: what it shows is printed on every handout once it is saved."""
    with st.expander("The school's header on every handout", key=f"{TAB}-open"):
        try:
            saved = school()
        except InputError as error:
            saved = None
            widgets.problem(error)
        saved = saved or School("", colour=WHITE, ink=BLACK)
        with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
            texts = {
                key: widgets.line(label, f"{TAB}-{key}", "none", getattr(saved, key), LONGEST[key])
                for key, label in LABELS.items()
            }
            texts["colour"] = st.color_picker("Colour", saved.colour, key=f"{TAB}-colour")
        sent = st.file_uploader(
            f"Logo: PNG or SVG, up to {LARGEST_LOGO // 1024} KB", type=["png", "svg"],
            key=f"{TAB}-logo", max_upload_size=1,
        )  # fmt: skip
        logo, kind = bytes(saved.logo), saved.kind
        try:
            if sent is not None:
                logo = sent.getvalue()
                kind = kind_of_logo(logo, sent.name)
            shown = school_of(texts, logo, kind)
        except InputError as error:
            widgets.problem(error)
            return
        if not shown.name:
            widgets.note("A header needs the name of the school")
            return
        st.html(school_html(shown))
        if not at_this_machine():
            widgets.note("It is saved at the machine that runs this page")
        elif shown == saved:
            widgets.note("This header is saved, and printed on every handout")
        elif st.button("Save the header", key=f"{TAB}-save"):
            try:
                widgets.note(f"Saved in {save_school(shown)}")
            except InputError as error:
                widgets.problem(error)
