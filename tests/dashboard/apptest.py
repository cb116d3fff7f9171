"""Open pages without a browser, and read what they say."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

APP = Path(__file__).parents[2] / "app.py"
SCRIPT = """
from weldref.dashboard.{folder}.page import draw
from weldref.data.store import {tables}

draw({tables}())
"""


def opened(folder: str = "", state: dict[str, Any] | None = None, /, **address: str) -> AppTest:
    """Open the whole dashboard, or the page of a folder, at an address."""
    # The chart is among own tables; every other page is asked of the published ones alone.
    tables = "open_tables" if folder == "chart_editor" else "open_store"
    page = (
        AppTest.from_string(SCRIPT.format(folder=folder, tables=tables), default_timeout=120)
        if folder
        else AppTest.from_file(str(APP), default_timeout=120)
    )
    for name, text in address.items():
        page.query_params[name] = text
    for name, value in (state or {}).items():
        page.session_state[name] = value
    return ran(page)


def ran(page: AppTest) -> AppTest:
    """Run a page again."""
    page.run()
    assert not page.exception
    return page


def pieces(page: AppTest, part: str = "") -> list[str]:
    """Return the pieces of HTML that are drawn, or those that hold a text."""
    bodies = [element.proto.body for element in page.get("html")]
    return [body for body in bodies if "<style>" not in body and part in body]


def drawn(page: AppTest, part: str = "") -> str:
    """Return what is drawn as HTML, or the pieces of it that hold a text."""
    return " ".join(pieces(page, part))


def words(page: AppTest, part: str = "") -> str:
    """Return the words that are drawn, or those of the pieces that hold a text."""
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", drawn(page, part)))).strip()


def problems(page: AppTest) -> list[str]:
    """Return each sentence that says why something is not accepted."""
    found = re.findall(r'<p class="problem"[^>]*>(.*?)</p>', drawn(page), re.DOTALL)
    return [unescape(text) for text in found]


def press(page: AppTest, key: str) -> AppTest:
    """Press a button, by its key or its label."""
    (button,) = (one for one in page.button if key in (one.key, one.label))
    button.click()
    return ran(page)


def downloads(page: AppTest) -> list[str]:
    """Return the labels of the files that are offered."""
    return [button.proto.label for button in page.get("download_button")]


def bench(page: AppTest) -> str:
    """Return the line that says what is on the bench, as it is read."""
    return page.expander[0].label.replace("\\", "")
