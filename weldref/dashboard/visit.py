"""Tell where a visitor sits, and hold what belongs to one visit, in memory only."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import Any, TypeVar
from urllib.parse import urlsplit

import streamlit as st

T = TypeVar("T")
HERE = ("localhost", "127.0.0.1", "::1")


def per_visit(name: str, key: Hashable, make: Callable[[], T], most: int = 1) -> T:
    """Return what `make` gives for a key; make it only when the key is new to this visit.

    Each `name` has its own keys, and holds the results of the `most` that came last.
    """
    held: dict[Hashable, T] = st.session_state.setdefault(f"once-{name}", {})
    if key not in held:
        held[key] = make()
        while len(held) > most:
            del held[next(iter(held))]
    return held[key]


def bring_back(page: str, keys: Iterable[str]) -> None:
    """Fill the fields that Streamlit forgot when their page was left; before they are drawn."""
    kept: dict[str, Any] = st.session_state.get(f"kept.{page}", {})
    for key in keys:
        if key not in st.session_state and key in kept:
            st.session_state[key] = kept[key]


def keep(page: str, keys: Iterable[str]) -> None:
    """Remember under a key of our own what the fields hold; after they are drawn."""
    kept: dict[str, Any] = st.session_state.get(f"kept.{page}", {})
    held = {key: st.session_state[key] for key in keys if key in st.session_state}
    st.session_state[f"kept.{page}"] = kept | held


def at_this_machine() -> bool:
    """Tell whether the visitor sits at the machine that runs the dashboard.

    Others may look and take along, not write into its folders: the dashboard knows no users.
    """
    headers = st.context.headers
    host = urlsplit(f"//{headers.get('Host') or HERE[0]}").hostname
    near = st.context.ip_address
    return near in (None, *HERE) and host in HERE and not headers.get("X-Forwarded-For")
