"""Parts of the repository's own Markdown pages, put into the site instead of written twice."""

from __future__ import annotations

import posixpath
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOMES = {
    "README.md": "index.md",
    "DEVELOPERS.md": "how-to/add-code.md",
    "datasets/README.md": "reference/tables/index.md",
    "datasets/CHANGELOG.md": "reference/changes.md",
    "weldref/formulas/README.md": "reference/formulas/index.md",
}
"""Where a page of the repository is found on the site; a link to another file becomes text."""

LINK = re.compile(r"(?P<picture>!?)\[(?P<text>[^\]]*)\]\((?P<to>[^)\s]+)\)")
NOTE = re.compile(r"<!--.*?-->\n?", re.DOTALL)


def whole(file: str, page: str) -> str:
    """Return a file of the repository as the page `page` of the site."""
    return _moved((ROOT / file).read_text(encoding="utf-8"), file, page)


def part(asked: str, page: str) -> str:
    """Return what stands under a heading of a file, asked for as "FILE: HEADING".

    "FILE: HEADING, from WORDS" leaves out the paragraphs before the one that starts so.
    """
    file, _, wanted = asked.partition(": ")
    heading, _, start = wanted.partition(", from ")
    text = (ROOT / file).read_text(encoding="utf-8")
    found = re.search(
        rf"^(?P<marks>#+) {re.escape(heading)}\n(?P<body>.*)", text, re.DOTALL | re.MULTILINE
    )
    if not found:
        raise LookupError(f"{page}: {file} has no heading '{heading}'")
    level = len(found["marks"])
    body = re.split(rf"^#{{1,{level}}} ", found["body"], maxsplit=1, flags=re.MULTILINE)[0]
    if start:
        _, begun, rest = body.partition("\n\n" + start)
        if not begun:
            raise LookupError(f"{page}: no paragraph under '{heading}' starts with '{start}'")
        body = start + rest
    return _moved(body.strip() + "\n", file, page)


def _moved(text: str, file: str, page: str) -> str:
    """Turn links that are relative to `file` into links that are relative to `page`."""

    def moved(match: re.Match[str]) -> str:
        to = match["to"]
        if to.startswith(("http:", "https:", "#")):
            return match[0]
        place = posixpath.normpath(posixpath.join(posixpath.dirname(file), to.partition("#")[0]))
        if match["picture"]:
            home = f"pictures/{posixpath.basename(place)}"
        elif place in HOMES:
            home = HOMES[place]
        else:
            return match["text"]
        link = posixpath.relpath(home, posixpath.dirname(page) or ".")
        return f"{match['picture']}[{match['text']}]({link})"

    return LINK.sub(moved, NOTE.sub("", text))
