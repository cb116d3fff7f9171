"""Read small pictures of text with two engines, and say where they differ."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import cv2

from weldref.errors import InputError
from weldref.procedures.paper.labels import is_known, nearest_label
from weldref.procedures.paper.page import Box, Word, around
from weldref.procedures.paper.read import NEEDED

LANGUAGES = ("spa", "deu", "eng")
UNSURE = 60.0
"""Confidence in per cent below which the first engine is unsure."""
BORDER = 14
"""Pixels of paper around a text; without them the engine loses its edge."""
PIXELS_A_POINT = 4.2
"""300 dpi, for which the engine is made."""
ONE_ALONE = "one of two readers sees nothing"


@dataclass(frozen=True)
class Picture:
    """A page or a part of it in grey: pixels a point, and its upper left corner in points."""

    grey: Any
    scale: float
    left: float = 0.0
    top: float = 0.0

    def box(self, left: float, top: float, right: float, bottom: float) -> Box:
        """Return the place on the page, in points, of edges in pixels."""
        x, y, scale = self.left, self.top, self.scale
        return x + left / scale, y + top / scale, x + right / scale, y + bottom / scale


@dataclass(frozen=True)
class Line:
    """A line of one part as the first engine read it, with its box in pixels of the part."""

    part: int
    words: tuple[Word, ...]
    box: Box


def read_parts(parts: Sequence[Picture]) -> list[Word]:
    """Read each part; a text on which the engines differ is doubtful.

    If one of two readings is a label that forms have, it is taken.

    Raises `InputError` if an engine is not installed.
    """
    if not parts:
        return []
    words: list[Word] = []
    second = _second_engine()
    lines = _first_engine(parts)
    for index in set(range(len(parts))) - {line.part for line in lines}:
        # The first engine sometimes overlooks a lone digit.
        if said := second(parts[index].grey):
            tall, wide = parts[index].grey.shape
            words.append(Word(said, parts[index].box(0, 0, wide, tall), ONE_ALONE))
    for line in lines:
        part = parts[line.part]
        said = " ".join(word.text for word in line.words)
        read = list(line.words)
        if not is_known(said):
            read = agreed(read, second(_cut(part.grey, line.box)))
        words += [replace(word, box=part.box(*word.box)) for word in read]
    return words


def agreed(words: Sequence[Word], other: str) -> list[Word]:
    """Compare the words of a line with the other reading of it.

    A label is compared by itself: what is doubtful about it says nothing of its value.

    >>> word = Word("9O", (0, 0, 9, 9))
    >>> agreed([word], "90")[0].doubt
    "two readings: '9O' and '90'"
    >>> [one.text for one in agreed([Word("Currcnt", (0, 0, 9, 9))], "Current")]
    ['Current']
    """
    end = next((n for n, word in enumerate(words, 1) if word.text.endswith(":")), 0)
    head, colon, rest = other.partition(":")
    if end and colon and end < len(words):
        return [*_agreed(words[:end], f"{head}:"), *_agreed(words[end:], rest.strip())]
    return _agreed(words, other)


def _agreed(words: Sequence[Word], other: str) -> list[Word]:
    said = " ".join(word.text for word in words)
    box = around([word.box for word in words])
    if is_known(said):
        return list(words)
    if is_known(other):
        return [Word(other, box)]
    if label := nearest_label(said) or nearest_label(other):
        colon = ":" * said.endswith(":")
        return [Word(f"{label}{colon}", box, f"the label was read as '{said}'")]
    same = _plain(said) == _plain(other)
    if same and (other.isascii() or _without_blanks(said) == _without_blanks(other)):
        return list(words)
    doubt = f"two readings: '{said}' and '{other}'" if other else ONE_ALONE
    if same or _better(other, said):
        return [Word(other, box, doubt)]
    return [replace(word, doubt=word.doubt or doubt) for word in words]


_USUAL = re.compile(
    r"(?:[\d.,/]+\s*(?:-|–|to|bis|a)\s*)?\d[\d.,/]*\s*(?:[A-Za-z/%°]{1,6})?"  # a quantity
    r"|A?5\.\d{1,2}M?|E[RC]?\d{2,5}[A-Z0-9-]*|ER[A-Z]\w*-?\w*|DCE[PN]|AC|[1-6]F?G?"
)


def _usual(text: str) -> bool:
    """Whether a text is a quantity, a class or a position as procedures write them.

    >>> _usual("A5.1"), _usual("AS.1"), _usual("70 - 100"), _usual("7O-100")
    (True, False, True, False)
    """
    return _USUAL.fullmatch(text.strip()) is not None


_ALIKE = str.maketrans("–—ßº’", "--B°'")


def _plain(text: str) -> str:
    """Reduce a text to what both engines can tell apart: no blanks, no accents.

    >>> _plain("90 – 150 A") == _plain("90-150A")
    True
    """
    letters = unicodedata.normalize("NFD", text.translate(_ALIKE))
    return re.sub(r"[\s\u0300-\u036f]", "", letters)


def _better(other: str, said: str) -> bool:
    """Whether the second of two different readings is more likely.

    >>> _better("1.6 mm", "16 mm"), _better("Brücke", "Briicke"), _better("S355", "$355")
    (True, True, True)
    """
    more = len(re.findall("[.,]", other)) > len(re.findall("[.,]", said))
    lost_point = more and re.sub(r"[.,\s]", "", other) == re.sub(r"[.,\s]", "", said)
    lost_dots = _plain(said.replace("ii", "ü")) == _plain(other)
    lost_letter = "$" in said and "$" not in other
    return lost_point or lost_dots or lost_letter or (_usual(other) and not _usual(said))


def _without_blanks(text: str) -> str:
    return re.sub(r"\s", "", unicodedata.normalize("NFC", text))


def _cut(grey: Any, box: Box) -> Any:
    left, top, right, bottom = (round(edge) for edge in box)
    return grey[max(0, top - 3) : bottom + 3, max(0, left - 4) : right + 4]


def _first_engine(parts: Sequence[Picture]) -> list[Line]:
    """Run Tesseract over all parts at once, so that its models are loaded once."""
    engine = shutil.which("tesseract")
    if engine is None:
        raise InputError(NEEDED)
    with TemporaryDirectory(prefix="weldref-") as name:
        folder = Path(name)
        factors = []
        for index, part in enumerate(parts):
            factor = min(4.0, max(1.0, PIXELS_A_POINT / part.scale))
            large = cv2.resize(part.grey, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
            framed = cv2.copyMakeBorder(
                large, BORDER, BORDER, BORDER, BORDER, cv2.BORDER_CONSTANT, value=255
            )
            cv2.imwrite(str(folder / f"{index}.png"), framed, [cv2.IMWRITE_PNG_COMPRESSION, 1])
            factors.append(factor)
        halves = [range(start, len(parts), 2) for start in range(min(2, len(parts)))]
        running = [_start(engine, folder, half) for half in halves]
        found: list[Line] = []
        for half, child in zip(halves, running, strict=True):
            told, _ = child.communicate()
            if child.returncode:
                raise InputError(NEEDED)
            found += _lines(told, half, factors)
    return sorted(found, key=lambda line: line.part)


def _start(engine: str, folder: Path, numbers: range) -> subprocess.Popen[str]:
    listed = folder / f"list{numbers.start}.txt"
    listed.write_text("".join(f"{folder / f'{number}.png'}\n" for number in numbers))
    return subprocess.Popen(  # noqa: S603  a program that was looked up, with files of our own
        [engine, str(listed), "stdout", "-l", _languages(engine), "--psm", "6", "--oem", "1",
         "--dpi", "300", "tsv"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        errors="replace",
        env={**os.environ, "OMP_THREAD_LIMIT": "1"},
    )  # fmt: skip


def _languages(engine: str) -> str:
    done = subprocess.run(  # noqa: S603
        [engine, "--list-langs"], capture_output=True, text=True, check=False
    )
    there = [name for name in LANGUAGES if name in done.stdout.split()]
    if not there:
        raise InputError(NEEDED)
    return "+".join(there)


def _lines(told: str, numbers: range, factors: list[float]) -> list[Line]:
    """Read the engine's table: a line for each word, with its confidence."""
    words: dict[tuple[int, ...], list[Word]] = {}
    for row in told.splitlines():
        cells = row.split("\t")
        if len(cells) != 12 or cells[0] != "5" or not cells[11].strip():
            continue
        page, *of_line = (int(cell) for cell in cells[1:5])
        number = numbers[page - 1]
        left, top, wide, tall = (int(cell) for cell in cells[6:10])
        box = tuple(
            (edge - BORDER) / factors[number] for edge in (left, top, left + wide, top + tall)
        )
        doubt = "the reader is unsure" if float(cells[10]) < UNSURE else ""
        words.setdefault((number, *of_line), []).append(Word(cells[11].strip(), box, doubt))  # type: ignore[arg-type]
    return [
        Line(key[0], tuple(some), around([word.box for word in some]))
        for key, line in words.items()
        for some in _by_gaps(line)
    ]


def _by_gaps(line: list[Word]) -> list[list[Word]]:
    """Split the words of a line where there is room for a box to tick between them."""
    height = max(word.box[3] - word.box[1] for word in line)
    parts = [[line[0]]]
    for before, word in pairwise(line):
        if word.box[0] - before.box[2] > height:
            parts.append([])
        parts[-1].append(word)
    return parts


def _second_engine() -> Callable[[Any], str]:
    """Return a function that reads one line with a different engine."""
    from rapidocr import RapidOCR

    engine = RapidOCR(
        params={
            "Global.log_level": "critical",
            "Global.use_det": False,
            "Global.use_cls": False,
            "EngineConfig.onnxruntime.intra_op_num_threads": 2,
        }
    )

    def read(grey: Any) -> str:
        if min(grey.shape) < 3:
            return ""
        answer = engine(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), use_det=False, use_cls=False)
        return " ".join(getattr(answer, "txts", None) or ())

    return read
