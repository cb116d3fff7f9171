"""Measure how well documents are read: recall, precision, silent errors, by field.

``python -m tests.procedures.paper.measure text`` reads all documents as PDFs with text, and
``scan`` as pictures (``scan 12`` the first twelve).
"""

from __future__ import annotations

import sys
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field

from tests.procedures.paper.documents import COUNT, LAYOUTS, document, expected, printed, said
from weldref.errors import InputError
from weldref.procedures.model import values
from weldref.procedures.paper.read import read_paper
from weldref.procedures.paper.reading import Reading


@dataclass
class Score:
    """Counts of values: wanted, found, right, and wrong without any doubt."""

    counts: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)

    def line(self) -> str:
        c = self.counts
        recall, precision = c["right"] / max(c["wanted"], 1), c["right"] / max(c["found"], 1)
        silent = c["silent"] / max(c["found"], 1)
        return f"{c['wanted']:>6} {recall:>8.1%} {precision:>9.1%} {silent:>8.2%} {c['doubted']:>7}"


def same(wanted: str, found: str) -> bool:
    """Whether two values say the same; blanks say nothing."""
    return "".join(wanted.split()) == "".join(found.split())


def compare(reading: Reading | None, number: int, by: dict[str, Score]) -> None:
    """Compare what was read with what was printed, into the scores by field, layout and all."""
    layout = document(number).layout
    wanted = expected(number)
    found: dict[str, str] = {}
    doubts: dict[str, str] = {}
    if reading is not None:
        for procedure in reading.procedures()[:1]:
            found = said(procedure)
            for name, value in values(procedure):
                read = procedure.machine_read.get(value.place)
                doubts[name] = read.doubt if read else ""
    for name in {*wanted, *found}:
        short = name.partition(".")[2] or name
        for key in ("all", layout, short.partition("[")[0]):
            c = by[key].counts
            right = name in wanted and name in found and same(wanted[name], found[name])
            c["wanted"] += name in wanted
            c["found"] += name in found
            c["right"] += right
            c["doubted"] += bool(doubts.get(name))
            c["silent"] += name in found and not right and not doubts.get(name)
        if not right:
            by["all"].failures.append(
                f"{number} {layout} {name}: wanted {wanted.get(name)!r} read {found.get(name)!r}"
                f" [{doubts.get(name, '')}]"
            )


def measure(kind: str, numbers: range) -> tuple[dict[str, Score], list[float]]:
    """Read documents and score them; also the seconds that each page took."""
    by: dict[str, Score] = defaultdict(Score)
    seconds = []
    for number in numbers:
        data = printed(number)
        if kind == "scan":
            from tests.procedures.paper.scans import scanned

            data = scanned(data, number)
        began = time.perf_counter()
        try:
            reading = read_paper(data, f"{number}")
        except InputError as error:
            print(number, error)
            reading = None
        pages = len(reading.sheets) if reading else 1
        seconds.append((time.perf_counter() - began) / pages)
        compare(reading, number, by)
    return by, seconds


def main() -> None:
    """Print the table."""
    kind = sys.argv[1]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else COUNT
    by, seconds = measure(kind, range(count))
    print(*by["all"].failures, sep="\n")
    print(f"{'':<24} wanted   recall precision   silent doubted")
    for name in ("all", *LAYOUTS, *sorted(set(by) - {"all", *LAYOUTS})):
        print(f"{name:<24} {by[name].line()}")
    print(f"seconds a page: mean {sum(seconds) / len(seconds):.2f}, most {max(seconds):.2f}")


if __name__ == "__main__":
    main()
