"""Plant something in a procedure: in its pass, its filler metal or the whole document."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.audit.constructed.bases import Plain

Plant = Callable[[Plain], None]


def in_pass(**values: Any) -> Plant:
    return lambda plain: plain["passes"][0].update(values)


def in_joint(**values: Any) -> Plant:
    return lambda plain: plain["joint"].update(values)


def of_all(**values: Any) -> Plant:
    return lambda plain: plain.update(values)


def both(*plants: Plant) -> Plant:
    def plant(plain: Plain) -> None:
        for each in plants:
            each(plain)

    return plant


def also(key: str, value: Any, **values: Any) -> Plant:
    """Set a value of the document, and the same or others in its pass."""
    return both(of_all(**{key: value}), in_pass(**values))


def without(*keys: str) -> Plant:
    def plant(plain: Plain) -> None:
        for key in keys:
            plain.pop(key, None)
            plain["passes"][0].pop(key, None)

    return plant


def filler(name: str) -> Plant:
    return both(
        in_pass(filler_class=name), lambda plain: plain["fillers"][0].update(classification=name)
    )


def size(text: str) -> Plant:
    return both(in_pass(sizes=[text]), lambda plain: plain["fillers"][0].update(sizes=[text]))


def gas(mixture: str) -> Plant:
    return both(in_pass(gas=mixture), lambda plain: plain["gases"][0].update(composition=mixture))


def metal(text: str, **more: str) -> Plant:
    return of_all(base_metals=[{"text": text, "form": "plate", **more}] * 2)


def polarity(word: str) -> Plant:
    return also("polarities", [word], polarity=word)


def position(word: str) -> Plant:
    return also("positions", [word], position=word)


def mode(word: str) -> Plant:
    return also("transfer_modes", [word], transfer_mode=word)
