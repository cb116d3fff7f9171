"""The site is built once, without a network, and read by every test."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass, field
from functools import cached_property
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# Only what goes to another machine is refused; a pipe or a socket of this one is none of that.
NO_NETWORK = """
import runpy, socket, sys
connect = socket.socket.connect
def refuse(self, address):
    if self.family in (socket.AF_INET, socket.AF_INET6):
        raise SystemExit(f"the build asks for {address}")
    return connect(self, address)
def unknown(host, *_, **__):
    raise SystemExit(f"the build looks up {host}")
socket.socket.connect = refuse
socket.getaddrinfo = unknown
sys.argv = sys.argv[1:]
runpy.run_path(sys.argv[0], run_name="__main__")
"""


@dataclass
class Html(HTMLParser):
    """What a page names: its anchors, its links, and what a browser loads for it."""

    text: str
    ids: set[str] = field(default_factory=set)
    links: list[str] = field(default_factory=list)
    loaded: list[str] = field(default_factory=list)
    in_navigation: list[str] = field(default_factory=list)
    _navs: int = 0

    def __post_init__(self) -> None:
        super().__init__()
        self.feed(self.text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._navs += tag == "nav"
        if "id" in given:
            self.ids.add(given["id"])
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
            if self._navs:
                self.in_navigation.append(given["href"])
        elif tag == "link" and given.get("rel") in ("prev", "next", "canonical"):
            self.links.append(given["href"])
        else:
            self.loaded += [
                given[name]
                for name in ("src", "srcset", "href", "action", "data", "poster")
                if given.get(name)
            ]

    def handle_endtag(self, tag: str) -> None:
        self._navs -= tag == "nav"


@dataclass
class Site:
    """The built site."""

    folder: Path

    @cached_property
    def pages(self) -> dict[str, Html]:
        """Every page by its path."""
        return {
            path.relative_to(self.folder).as_posix(): Html(path.read_text(encoding="utf-8"))
            for path in sorted(self.folder.rglob("*.html"))
        }

    def ids(self, folder: str) -> set[str]:
        """The anchors of all pages below a folder."""
        return {
            one for path, page in self.pages.items() if path.startswith(folder) for one in page.ids
        }


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [sys.executable, "-c", NO_NETWORK, ROOT / "scripts" / "build_site.py", folder],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return Site(folder)
