"""Draw the pictures of the README, each from the command beside it.

``ramp.png`` is the first page of the ``ramp.pdf`` that a command of the README writes. Two are not
pages of a file: ``card.png`` is the page Settings in Chromium at the situation of the command
``weldref bench``, and ``ladder.png`` the chart by thickness of the same situation. Each picture
carries a digest of what it shows as text (the card: of what the command prints), so that a test
can tell whether it is current, without a browser.

    python scripts/update_pictures.py            writes
    python scripts/update_pictures.py --check    exits 1 when a picture is not current
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import re
import shlex
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

import pypdfium2
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from weldref.advice.ladder import ladder
from weldref.charts.ladder import ladder_chart
from weldref.cli import main as weldref
from weldref.core.situation import describe
from weldref.data.store import open_store

ROOT = Path(__file__).parent.parent
PICTURE = re.compile(r"\]\((?P<path>scripts/pictures/(?P<name>[\w.]+)\.png)\)")
COMMAND = re.compile(r"^(?:\$ )?(weldref (?:.*\\\n)*.* -o [\w.]+\.pdf)$", re.MULTILINE)
CARD = {"process": "GMAW", "material": "mild steel", "thickness": "1/8 in"}
MARK = "text-sha256"
BAD_INPUT = 2


def main() -> int:
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    stale = []
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder)
        (made / "weldref").symlink_to(ROOT / "weldref")
        with contextlib.chdir(made):
            for command in COMMAND.findall(page):
                printed_by(shlex.split(command.replace("\\\n", " "))[1:])
        for match in PICTURE.finditer(page):
            target = ROOT / match["path"]
            name = match["name"]
            text, draw = OTHERS[name]() if name in OTHERS else first_page(made / f"{name}.pdf")
            digest = hashlib.sha256(" ".join(text.split()).encode()).hexdigest()
            if "--check" not in sys.argv:
                save(draw(), target, digest)
            elif not target.exists() or Image.open(target).info.get(MARK) != digest:
                stale.append(str(target.relative_to(ROOT)))
    for one in stale:
        print(f"{one} is not current; run python scripts/update_pictures.py")
    return 1 if stale else 0


Drawn = tuple[str, Callable[[], Image.Image]]
"""What a picture shows as text, and what draws it."""


def printed_by(arguments: list[str]) -> str:
    """Run a weldref command and return what it prints."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        if weldref(arguments) == BAD_INPUT:
            raise SystemExit(f"failed: weldref {shlex.join(arguments)}")
    return out.getvalue()


def first_page(file: Path) -> Drawn:
    """The first page of a PDF."""
    sheet = pypdfium2.PdfDocument(file)[0]
    return sheet.get_textpage().get_text_range(), lambda: sheet.render(
        scale=1.3, grayscale=True
    ).to_pil()


def by_thickness() -> Drawn:
    """The chart by thickness of the current."""
    import vl_convert

    store = open_store()
    situation = describe(store, **CARD)
    at = situation.thickness.si if situation.thickness else None
    rungs = ladder(store, situation, "current", "A", "memory")
    chart = ladder_chart(rungs, "current", "in", thickness=at, width=620)
    text = chart.to_json()
    return text, lambda: Image.open(io.BytesIO(vl_convert.vegalite_to_png(text, scale=1.5)))


def card() -> Drawn:
    """The page Settings with a card, in a browser."""
    options = [f"--{name}={value}" for name, value in CARD.items()]
    return printed_by(["bench", *options]), photograph


def photograph() -> Image.Image:
    """Start the dashboard, open the card and take a picture of the page."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "weldref", "dashboard", "--port", str(port)]
    with subprocess.Popen(
        command, env={**os.environ, "CI": "true"}, stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            if server.stdout is not None:
                server.stdout.readline()  # it says where it is once it can be asked
            with sync_playwright() as play:
                browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
                page = browser.new_page(viewport={"width": 1000, "height": 700})
                page.goto(f"http://127.0.0.1:{port}/?{urlencode(CARD)}")
                page.locator(".tiles").wait_for(timeout=60_000)
                page.wait_for_timeout(3_000)
                taken = page.screenshot()
                browser.close()
        finally:
            server.terminate()
            server.communicate()
    return Image.open(io.BytesIO(taken))


def save(picture: Image.Image, target: Path, digest: str) -> None:
    """Write a picture with its digest, in few colours: enough for flat areas and text."""
    target.parent.mkdir(exist_ok=True)
    info = PngInfo()
    info.add_text(MARK, digest)
    flat = picture if picture.mode == "L" else picture.convert("RGB")
    flat.quantize(16 if flat.mode == "L" else 48).save(target, optimize=True, pnginfo=info)


OTHERS: dict[str, Callable[[], Drawn]] = {"card": card, "ladder": by_thickness}
"""The pictures that are not a page of a file."""

if __name__ == "__main__":
    sys.exit(main())
