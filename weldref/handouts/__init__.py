"""Handouts and practice sheets that an instructor prints, and a page for students' phones.

>>> from weldref.handouts import make_handout
>>> import tempfile, pathlib
>>> with tempfile.TemporaryDirectory() as folder:
...     made = make_handout(pathlib.Path(folder) / "post.csv", process="SMAW",
...                         electrode="E7018", diameter="1/8", quantity="current")
...     made[0].name
'post.csv'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from weldref.handouts.handout import make_handout
    from weldref.handouts.pocket import make_pocket
    from weldref.handouts.practice import make_practice

__all__ = ["make_handout", "make_pocket", "make_practice"]


def __getattr__(name: str) -> object:
    # Modules that make pages are imported on first use.
    if name in __all__:
        from importlib import import_module

        return getattr(import_module(f"weldref.handouts.{name.removeprefix('make_')}"), name)
    raise AttributeError(f"module 'weldref.handouts' has no attribute '{name}'")
