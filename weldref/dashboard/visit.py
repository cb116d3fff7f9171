"""Tell where a visitor sits, and hold what belongs to one visit, in memory only."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar
from urllib.parse import urlsplit

import streamlit as st

from weldref.core.units import UnitSystem

STAYED = "page-stayed"
T = TypeVar("T")
HERE = ("localhost", "127.0.0.1", "::1")


def per_visit(name: str, key: Hashable, make: Callable[[], T], most: int = 1) -> T:
    """Return what `make` gives for a key; make it only when the key is new to this visit.

    Each `name` has its own keys, and holds the last `most` results.
    """
    held: dict[Hashable, T] = st.session_state.setdefault(f"once-{name}", {})
    if key not in held:
        held[key] = make()
        while len(held) > most:
            del held[next(iter(held))]
    return held[key]


def units() -> UnitSystem:
    """Return the units that the frame is switched to."""
    chosen: UnitSystem = st.session_state.get("units", "us")
    return chosen


def new_address(page: str) -> dict[str, str] | None:
    """Return the address of the page; None while it is the one that was read or written last."""
    now = st.query_params.to_dict()
    if now == st.session_state.get(f"{page}.address", {}):
        return None
    st.session_state[f"{page}.address"] = now
    return now


def write_address(page: str, said: dict[str, str]) -> None:
    """Let the address of the page say what it shows."""
    if st.query_params.to_dict() != said:
        st.query_params.from_dict(said)
    st.session_state[f"{page}.address"] = said


def stayed() -> bool:
    """Tell whether the open page was open before, too."""
    return bool(st.session_state.get(STAYED, True))


def at_this_machine() -> bool:
    """Tell whether the visitor sits at the machine that runs the dashboard.

    Others may look and download, but not write into its folders: the dashboard knows no users.
    """
    headers = st.context.headers
    host = urlsplit(f"//{headers.get('Host') or HERE[0]}").hostname
    near = st.context.ip_address
    return near in (None, *HERE) and host in HERE and not headers.get("X-Forwarded-For")
