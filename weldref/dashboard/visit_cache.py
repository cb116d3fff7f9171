"""Hold what was worked out during one visit, in memory only, to show it again."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

import streamlit as st

T = TypeVar("T")


def per_visit(name: str, key: Hashable, make: Callable[[], T], most: int = 1) -> T:
    """Return what `make` gives for a key; make it only when the key is new to this visit.

    Parameters
    ----------
    name
        What is held; each name has its own keys.
    key
        Everything that the result depends on.
    make
        Works the result out.
    most
        How many results of a name to hold; the oldest goes first.
    """
    held: dict[Hashable, T] = st.session_state.setdefault(f"once-{name}", {})
    if key not in held:
        held[key] = make()
        while len(held) > most:
            del held[next(iter(held))]
    return held[key]
