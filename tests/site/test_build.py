"""The site builds strictly without a network, asks for nothing elsewhere, and has no dead end."""

from __future__ import annotations

import posixpath
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urldefrag

import pytest

from tests.effort import some
from tests.site.conftest import ROOT, Html, Site

PAGES = ROOT / "scripts" / "site" / "pages"
ELSEWHERE = re.compile(r"^(?:[a-z][a-z0-9+.-]*:)?//", re.IGNORECASE)


def target(page: str, link: str) -> tuple[str, str]:
    """Return the path below the site and the anchor that a link on a page leads to."""
    path, anchor = urldefrag(unquote(link))
    return posixpath.normpath(
        posixpath.join(posixpath.dirname(page), path)
    ) if path else page, anchor


def test_pages_load_nothing_from_elsewhere(site: Site) -> None:
    for path, page in site.pages.items():
        assert not [one for one in page.loaded if ELSEWHERE.match(one)], path


def test_a_page_that_loads_from_elsewhere_is_found() -> None:
    page = Html('<script src="https://example.org/a.js"></script><img src="//example.org/b.png">')
    assert [bool(ELSEWHERE.match(one)) for one in page.loaded] == [True, True]


def test_style_sheets_load_nothing_from_elsewhere(site: Site) -> None:
    sheets = list(site.folder.rglob("*.css"))
    assert sheets
    for sheet in sheets:
        text = sheet.read_text(encoding="utf-8")
        found = re.findall(r"(?:url\(|@import)\s*['\"]?([^'\")\s;]+)", text)
        assert not [one for one in found if ELSEWHERE.match(one)], sheet


def test_what_pages_load_is_there(site: Site) -> None:
    for path, page in site.pages.items():
        if path != "404.html":  # a server shows it at any path: its own are absolute
            for one in page.loaded:
                if not one.startswith("data:"):
                    assert (site.folder / target(path, one)[0]).is_file(), (path, one)


def test_no_link_is_dead(site: Site) -> None:
    followed = 0
    for path, page in site.pages.items():
        for link in page.links:
            if ELSEWHERE.match(link) or path == "404.html":
                continue
            to, anchor = target(path, link)
            assert to in site.pages, f"{path}: {link}"
            assert not anchor or anchor in site.pages[to].ids, f"{path}: {link}"
            followed += 1
    assert followed > len(site.pages)


def test_every_page_is_reached_from_the_navigation(site: Site) -> None:
    reached: set[str] = set()
    waiting = ["index.html"]
    while waiting:
        path = waiting.pop()
        if path not in reached:
            reached.add(path)
            waiting += [
                target(path, link)[0]
                for link in site.pages[path].in_navigation
                if not ELSEWHERE.match(link)
            ]
    assert set(site.pages) - reached == {"404.html"}


def test_no_place_was_left_unfilled(site: Site) -> None:
    for path, page in site.pages.items():
        assert "{{" not in page.text, path


def fences(text: str) -> Iterator[str]:
    """Yield what the fenced blocks of a page are marked with."""
    for opened, mark in enumerate(re.findall(r"^ *```(.*)$", text, re.MULTILINE)):
        if opened % 2 == 0:
            yield mark


@pytest.mark.parametrize("page", sorted(PAGES.rglob("*.md")), ids=lambda path: path.stem)
def test_blocks_are_examples_that_are_run(page: Path) -> None:
    """Each is run by scripts/update_docs.py, but ``sh``, which opens a server or a window, and
    ``toml``, a part of weldref.toml."""
    text = page.read_text(encoding="utf-8")
    for mark in fences(text):
        assert re.fullmatch(r'console|python|text|[a-z]+ title="[\w.-]+"|sh|toml', mark), mark
    assert len(re.findall(r"^```text$", text, re.MULTILINE)) == len(
        re.findall(r"^```\n\n```text$", text, re.MULTILINE)
    ), "a text block stands right after the Python block that prints it"


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder on this machine alone."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder))) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


WIDTHS = (390, 1280)


@pytest.mark.browser
@pytest.mark.parametrize("width", some(WIDTHS, len(WIDTHS)))
def test_a_browser_asks_for_nothing_elsewhere_and_finds(
    site: Site, browser: Any, width: int
) -> None:
    asked: list[str] = []
    with served(site.folder) as address:
        page = browser.new_page()
        page.on("request", lambda request: asked.append(request.url))
        for path in ("index.html", "reference/tables/windows.html", "tutorials/student.html"):
            for wide in sorted(WIDTHS, key=width.__eq__):  # that of the search comes last
                page.set_viewport_size({"width": wide, "height": 900})
                page.goto(f"{address}{path}")
                assert page.evaluate("document.documentElement.scrollWidth") <= wide, path
        page.keyboard.press("/")
        page.keyboard.type("interpass")
        page.locator(".md-search-result__link").first.wait_for()
        page.close()
    assert asked
    assert not [url for url in asked if not url.startswith((address, "data:", "blob:"))]
