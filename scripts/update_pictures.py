"""Draw the pictures of the README and of the tour, each from the command beside it.

``ramp.png`` is the first page of the ``ramp.pdf`` that a command of the README writes. Others are
not pages of a file: ``card.png`` and those of the tour are pages of the dashboard in Chromium, and
``ladder.png`` is the chart by thickness. Each picture carries a digest of what it shows as text (of
a page of the dashboard: of what a command prints that asks the same), so that a test can tell
whether it is current, without a browser.

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
from typing import Any
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
PAGES = ("README.md", "scripts/site/pages/tutorials/tour.md")
PICTURE = re.compile(r"\]\((?:scripts|\.\.)/pictures/(?P<name>[\w.-]+)\.png\)")
COMMAND = re.compile(r"^(?:\$ )?(weldref (?:.*\\\n)*.* -o [\w.]+\.pdf)$", re.MULTILINE)
CARD = {"process": "GMAW", "material": "mild steel", "thickness": "1/8 in"}
MARK = "text-sha256"
BAD_INPUT = 2


def main() -> int:
    check = "--check" in sys.argv
    found = stale(draw=not check)
    if check:
        for one in found:
            print(f"{one} is not current; run python scripts/update_pictures.py")
    return int(bool(found) and check)


def stale(*, draw: bool = False) -> list[str]:
    """Name each picture that is not current, or draw all of them again."""
    pages = [(ROOT / page).read_text(encoding="utf-8") for page in PAGES]
    found = []
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder)
        (made / "weldref").symlink_to(ROOT / "weldref")
        with contextlib.chdir(made):
            for command in COMMAND.findall(pages[0]):
                printed_by(shlex.split(command.replace("\\\n", " "))[1:])
        for name in dict.fromkeys(name for page in pages for name in PICTURE.findall(page)):
            target = ROOT / "scripts" / "pictures" / f"{name}.png"
            text, drawn = OTHERS[name]() if name in OTHERS else first_page(made / f"{name}.pdf")
            undated = re.sub(r"\d{4}-\d{2}-\d{2}", "", text)  # a report bears the day of its audit
            digest = hashlib.sha256(" ".join(undated.split()).encode()).hexdigest()
            if draw:
                save(drawn(), target, digest)
            elif mark_of(target) != digest:
                found.append(str(target.relative_to(ROOT)))
    return found


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
    return printed_by(["bench", *options]), lambda: photograph(urlencode(CARD))


def three_taps() -> Drawn:
    """The page Settings as a first visit shows it; it holds no number."""
    return "", lambda: photograph("", height=420)


def verdict() -> Drawn:
    """The card with a current that is too high."""
    asked = {"process": "SMAW", "material": "carbon steel", "thickness": "1/4 in",
             "electrode": "E7018", "diameter": "1/8 in", "current": "175 A"}  # fmt: skip
    printed = printed_by(["check", *(f"--{name}={value}" for name, value in asked.items())])
    return printed, lambda: photograph(urlencode(asked), act=_scroll, height=800)


def _scroll(page: Any) -> None:
    page.locator(".verdict").first.evaluate("one => one.scrollIntoView({block: 'end'})")


def findings() -> Drawn:
    """The page Audit with the invented procedure and its record."""
    files = [ROOT / "weldref/audit/examples" / name
             for name in ("posts-with-mistakes.json", "posts-record.json")]  # fmt: skip
    printed = printed_by(["audit", str(files[0]), "--pqr", str(files[1]), "--code", "AWS D1.1"])

    def drop(page: Any) -> None:
        page.locator("input[type=file]").first.set_input_files([str(file) for file in files])
        page.locator(".finding").first.wait_for(timeout=60_000)
        page.get_by_role("combobox", name="Code whose rules say what it covers").click()
        page.get_by_role("option", name="AWS D1.1").first.click()
        covered = page.locator(".finding.not-covered").first
        covered.wait_for(timeout=60_000)
        covered.evaluate("one => one.scrollIntoView({block: 'end'})")

    return printed.replace(str(ROOT), ""), lambda: photograph("", "audit", drop, height=900)


def own_chart() -> Drawn:
    """The page Our chart with an invented table that was pasted."""
    table = "Thickness\tElectrode size\tAmps\n1/8\t3/32\t75-90\n3/16\t1/8\t115-13S\n"

    def paste(page: Any) -> None:
        page.get_by_text("Paste a table with its headings").click()
        page.get_by_label("A table, its headings in the first line").fill(table)
        page.get_by_label("A table, its headings in the first line").press("Control+Enter")
        page.get_by_role("button", name="Use this table").click()
        page.locator(".checks").wait_for(timeout=60_000)

    return table, lambda: photograph("", "our-chart", paste, height=860)


def photograph(
    query: str, place: str = "", act: Callable[[Any], None] | None = None, height: int = 700
) -> Image.Image:
    """Start the dashboard, open a page, do something there, and take a picture of it."""
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
                page = browser.new_page(viewport={"width": 1000, "height": height})
                page.goto(f"http://127.0.0.1:{port}/{place}?{query}")
                page.locator(".foot").wait_for(timeout=60_000)
                if act:
                    act(page)
                page.wait_for_timeout(3_000)
                taken = page.screenshot()
                browser.close()
        finally:
            server.terminate()
            server.communicate()
    return Image.open(io.BytesIO(taken))


def mark_of(target: Path) -> str | None:
    """Return the digest that a picture carries."""
    if not target.exists():
        return None
    with Image.open(target) as picture:
        return picture.info.get(MARK)


def save(picture: Image.Image, target: Path, digest: str) -> None:
    """Write a picture with its digest, in few colours: enough for flat areas and text."""
    target.parent.mkdir(exist_ok=True)
    info = PngInfo()
    info.add_text(MARK, digest)
    flat = picture if picture.mode == "L" else picture.convert("RGB")
    flat.quantize(16 if flat.mode == "L" else 48).save(target, optimize=True, pnginfo=info)


OTHERS: dict[str, Callable[[], Drawn]] = {
    "card": card,
    "ladder": by_thickness,
    "tour-taps": three_taps,
    "tour-verdict": verdict,
    "tour-audit": findings,
    "tour-chart": own_chart,
}
"""The pictures that are not a page of a file."""

if __name__ == "__main__":
    sys.exit(main())
