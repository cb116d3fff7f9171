"""Draw the pictures of the README anew from the commands printed beside them.

A picture's name says which file it shows: ``pictures/ramp.png`` is the first page of the
``ramp.pdf`` that a command of the README writes. The picture carries a digest of the page's text,
so that a test can tell whether it still shows what the command prints.

    python scripts/update_pictures.py            writes
    python scripts/update_pictures.py --check    exits 1 when a picture is not current
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import re
import shlex
import sys
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from weldref.cli import main as weldref

ROOT = Path(__file__).parent.parent
PICTURE = re.compile(r"\]\((?P<path>[\w/]+/pictures/(?P<name>[\w.]+)\.png)\)")
COMMAND = re.compile(r"^weldref (?:handout|practice) (?:.*\\\n)*.*$", re.MULTILINE)
MARK = "text-sha256"


def main() -> int:
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    stale = []
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder)
        with contextlib.chdir(made), contextlib.redirect_stdout(io.StringIO()):
            for command in COMMAND.findall(page):
                if weldref(shlex.split(command.replace("\\\n", " "))[1:]):
                    raise SystemExit(f"failed: {command}")
        for match in PICTURE.finditer(page):
            target = ROOT / match["path"]
            document = pypdfium2.PdfDocument(made / f"{match['name']}.pdf")
            words = " ".join(document[0].get_textpage().get_text_range().split())
            digest = hashlib.sha256(words.encode()).hexdigest()
            if "--check" not in sys.argv:
                draw(document[0], target, digest)
            elif not target.exists() or Image.open(target).info.get(MARK) != digest:
                stale.append(str(target.relative_to(ROOT)))
    for name in stale:
        print(f"{name} is not current; run python scripts/update_pictures.py")
    return 1 if stale else 0


def draw(sheet: pypdfium2.PdfPage, target: Path, digest: str) -> None:
    target.parent.mkdir(exist_ok=True)
    info = PngInfo()
    info.add_text(MARK, digest)
    # Sixteen greys are plenty for a page in black on white, and a fifth of the size.
    picture = sheet.render(scale=1.3, grayscale=True).to_pil().quantize(16)
    picture.save(target, optimize=True, pnginfo=info)


if __name__ == "__main__":
    sys.exit(main())
