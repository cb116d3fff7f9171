"""How much the tests try: a change is tested in minutes, everything by ``scripts/test --all``."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TypeVar

T = TypeVar("T")
ALL = os.environ.get("WELDREF_TESTS") == "all"


def times(usual: int, everything: int) -> int:
    """Choose how often something is tried."""
    return everything if ALL else usual


def some(things: Iterable[T], one_in: int) -> list[T]:
    """Choose the things that are tried: all of them, or one in so many on a change."""
    return [*things][:: times(one_in, 1)]
