"""Take the files to audit: uploaded ones, or the invented examples.

The place to drop files at forgets them when another page is opened; they are held beside it, in
memory, until they are removed or the visit ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import streamlit as st

from weldref.audit.uploads import Upload, plain_name
from weldref.dashboard.markup import Markup, note, problem
from weldref.dashboard.said import many


@dataclass(frozen=True, slots=True)
class Dropped:
    """A file of this visit: `key` is the same as long as its content is."""

    key: str
    upload: Upload


def ask_for_files(name: str, label: str, kinds: str, examples: Sequence[Upload]) -> list[Dropped]:
    """Draw the place to drop files at and the switch for the invented ones; return all files."""
    # No list of endings: the reader says of a wrong file what it is and what to do instead.
    sent = st.file_uploader(
        label,
        accept_multiple_files=True,
        key=f"{name}-files",
        on_change=partial(_follow, name),
        help=f"{kinds}. Several at once are fine. They are read in memory and not stored.",
    )
    st.session_state[f"{name}-shown"] = [one.file_id for one in sent]
    held: dict[str, Upload] = st.session_state.get(f"{name}-held", {})
    earlier = [
        upload for key, upload in held.items() if key not in st.session_state[f"{name}-shown"]
    ]
    if earlier:
        names = ", ".join(plain_name(upload.name) for upload in earlier)
        with st.container(horizontal=True, gap="small", vertical_alignment="center"):
            st.html(note(f"Still here: {names}"), width="content")
            st.button("Remove them", key=f"{name}-forget", on_click=partial(_forget, name))
    invented = st.toggle(
        f"Use the invented example ({many(len(examples), 'file')})",
        key=f"{name}-example",
        persist_state="session",
        help="Made up for a class that builds handrails and a ramp for a footbridge.",
    )
    files = [Dropped(key, upload) for key, upload in held.items()]
    if invented:
        files += [Dropped(f"example {one.name}", one) for one in examples]
    return files


def _follow(name: str) -> None:
    """Hold what was dropped now; release what was removed at the place itself."""
    state: Any = st.session_state
    sent = {one.file_id: one for one in state[f"{name}-files"]}
    held: dict[str, Upload] = dict(state.get(f"{name}-held", {}))
    for key in state.get(f"{name}-shown", ()):
        if key not in sent:
            held.pop(key, None)
    for key, one in sent.items():
        if key not in held:
            held[key] = Upload(one.name, one.getvalue())
    state[f"{name}-held"] = held


def _forget(name: str) -> None:
    state: Any = st.session_state
    shown = state[f"{name}-shown"]
    state[f"{name}-held"] = {k: one for k, one in state[f"{name}-held"].items() if k in shown}


def refusal(name: str, sentence: str) -> Markup:
    """Say why a file was not accepted; what is refused need not be named twice.

    >>> refusal("a.pdf", "procedure: the file is a PDF")[-34:]
    Markup('>File a.pdf: the file is a PDF</p>')
    """
    plain = sentence.removeprefix("procedure: ").removeprefix("log: ")
    return problem(f"File {plain_name(name)}: {plain}")
