"""The figures of the page "Measured answers": how right the answers are on our own test sets."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from weldref.calculate.by_name import all_formulas
from weldref.calculate.checked import checked_against
from weldref.data.store import open_store
from weldref.errors import InputError
from weldref.grades import GRADE_WORDS

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.advice.test_card import COMMON, made
from tests.audit.constructed.bases import BASES, a_copy, read
from tests.audit.constructed.test_pairs import COVERED, GAPS, audited, refused
from tests.audit.constructed.test_single_faults import FAULTS, loud, spoken
from tests.core import test_bench_values as bench
from tests.core.test_setup import cases, judged
from tests.procedures.paper.measure import Score, measure

PAGES = 6
"""Documents that are read again whenever the page is written: one of each layout."""


@dataclass(frozen=True, slots=True)
class Figure:
    """How often something was so, of how many, and what has to hold of it."""

    what: str
    count: int
    of: int
    at_least: float = 0.0
    at_most: float = 1.0

    def row(self) -> str:
        """Write it as a row of a table, or stop where it has fallen."""
        share = self.count / self.of
        if not self.at_least <= share <= self.at_most:
            raise SystemExit(f"{self.what}: {self.count} of {self.of} is not accepted any more")
        goal = (
            f"at most {self.at_most:.1%}" if self.at_most < 1 else f"at least {self.at_least:.1%}"
        )
        goal = goal.replace(".0%", " %").replace("%", " %").replace("  ", " ")
        goal = "none" if self.at_most == 0 else "all" if self.at_least == 1 else goal
        return f"| {self.what} | {self.count} of {self.of} | {goal} |"


def settings() -> Iterator[Figure]:
    """Ask about bench settings, sound ones and wrong ones."""
    words: dict[str, Counter[str]] = {"sound": Counter(), "wrong": Counter()}
    for case in bench.CASES:
        for kind, counted in words.items():
            if case[kind]:
                (reading,) = bench.asked(case, case[kind]).readings
                counted[reading.verdict] += 1
    sound, wrong = words["sound"], words["wrong"]
    yield Figure("Wrong settings called inside", wrong["inside"], wrong.total(), at_most=0)
    named = wrong["low"] + wrong["high"]
    yield Figure("Wrong settings called low or high", named, wrong.total(), 0.1)
    refused_ = sound["low"] + sound["high"]
    what = "Sound settings called low or high, each by a printed row that is shown"
    yield Figure(what, refused_, sound.total(), at_most=0.01)
    yield Figure("Sound settings called inside", sound["inside"], sound.total(), 0.1)
    heard, right = bench.recalled()
    what = "Where nothing printed fits: recalled practice that judges rightly"
    yield Figure(what, right, heard, 0.95)


def starts() -> Iterator[Figure]:
    """Ask for a card in common situations."""
    store = open_store()
    leading = [found.lines[0].grade for said in COMMON if (found := made(store, said)).lines]
    yield Figure("Common situations with a start", len(leading), len(COMMON), 0.95)
    printed = sum(grade != "memory" for grade in leading)
    yield Figure("of these, with a printed source", printed, len(leading), 0.15)


def set_ups() -> Iterator[Figure]:
    """Ask about set-ups that cannot be or are unusual, and about odd ones that are right."""
    store = open_store()

    def strongest(name: str) -> list[str]:
        found = []
        for case in cases(name, f"more_{name}"):
            try:
                said = judged(store, case.values[0])
            except InputError:
                found.append("refused")  # a word that is not known is said, too
            else:
                found.append(said[0].strength if said else "")
        return found

    wrong, right = strongest("impossible"), strongest("sensible")
    named = sum(bool(said) and said != "worth knowing" for said in wrong)
    yield Figure("Wrong set-ups that are named", named, len(wrong), 1)
    what = "Odd but right set-ups called impossible"
    yield Figure(what, right.count("cannot be"), len(right), at_most=0)


def audits() -> Iterator[Figure]:
    """Audit constructed procedures."""
    found = sum(map(spoken, FAULTS))
    yield Figure("Planted faults that are found", found, len(FAULTS), 0.9)
    clean = sum(bool(loud(read(a_copy(name)))) for name in BASES)
    yield Figure(
        "Clean procedures with a finding that asks for action", clean, len(BASES), at_most=0
    )
    gaps = sum({line.variable for line in refused(audited(pair))} == {pair.gap} for pair in GAPS)
    yield Figure("Gaps between procedure and test record, found alone", gaps, len(GAPS), 1)
    held = sum(bool(refused(audited(pair))) for pair in COVERED)
    yield Figure("Covered pairs of which something is refused", held, len(COVERED), at_most=0)


def paper() -> Iterator[Figure]:
    """Read procedures printed as PDF."""
    by, _ = measure("text", range(PAGES))
    score: Score = by["all"]
    counts = score.counts
    yield Figure("Values of a PDF that are read", counts["right"], counts["wanted"], 0.95)
    what = "Values read from a PDF that are wrong and not marked doubtful"
    yield Figure(what, counts["silent"], counts["found"], at_most=0.005)


def formulas() -> Iterator[Figure]:
    """Count what the formulas were checked against."""
    checks = [checked_against(name) for name in all_formulas()]
    yield Figure(
        "Formulas checked against something outside", sum(map(bool, checks)), len(checks), 0.5
    )


def rows() -> Iterator[Figure]:
    """Count the published ranges by how they were read."""
    found = open_store().rows("SELECT how_read, count(*) AS n FROM windows GROUP BY how_read")
    count = {row["how_read"]: row["n"] for row in found}
    for grade, floor in (("read", 0.5), ("secondary", 0.0), ("memory", 0.0)):
        what = f"Published ranges graded {GRADE_WORDS[grade]}"
        yield Figure(what, count[grade], sum(count.values()), floor)


SECTIONS: dict[str, Callable[[], Iterator[Figure]]] = {
    "settings": settings,
    "starts": starts,
    "set-ups": set_ups,
    "audits": audits,
    "paper": paper,
    "formulas": formulas,
    "rows": rows,
}


def figures(section: str) -> str:
    """Write the table of a section.

    Raises
    ------
    SystemExit
        If a figure is worse than what has to hold.
    """
    lines = ["| what | counted | has to be |", "|---|--:|---|"]
    return "\n".join([*lines, *(one.row() for one in SECTIONS[section]())]) + "\n"
