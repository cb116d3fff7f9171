"""Tell where a visitor sits."""

from __future__ import annotations

from urllib.parse import urlsplit

import streamlit as st

HERE = ("localhost", "127.0.0.1", "::1")


def at_this_machine() -> bool:
    """Tell whether the visitor sits at the machine that runs the dashboard.

    Others may look and take along, not write into its folders: the dashboard knows no users.
    """
    headers = st.context.headers
    host = urlsplit(f"//{headers.get('Host') or HERE[0]}").hostname
    near = st.context.ip_address
    return near in (None, *HERE) and host in HERE and not headers.get("X-Forwarded-For")
