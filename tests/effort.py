"""How much the tests try: a change is tested in minutes, everything by ``scripts/test --all``."""

from __future__ import annotations

import os

ALL = os.environ.get("WELDREF_TESTS") == "all"


def times(usual: int, everything: int) -> int:
    """Choose how often something is tried."""
    return everything if ALL else usual
