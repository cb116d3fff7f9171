"""Keep entries while other pages are open.

Streamlit forgets a field's value when its page is left; a copy under a key of our own stays.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import streamlit as st


def bring_back(page: str, keys: Iterable[str]) -> None:
    """Fill the fields that were forgotten; call it before they are drawn."""
    kept: dict[str, Any] = st.session_state.get(f"kept.{page}", {})
    for key in keys:
        if key not in st.session_state and key in kept:
            st.session_state[key] = kept[key]


def keep(page: str, keys: Iterable[str]) -> None:
    """Remember what the fields hold; call it after they are drawn."""
    kept: dict[str, Any] = dict(st.session_state.get(f"kept.{page}", {}))
    kept |= {key: st.session_state[key] for key in keys if key in st.session_state}
    st.session_state[f"kept.{page}"] = kept
