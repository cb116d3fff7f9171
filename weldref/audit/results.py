"""Read the results of a record's tests: the kind, the numbers, and the verdict stated."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from weldref.audit.strengths import UNITS
from weldref.core.units import parse_number
from weldref.procedures.model import Procedure

KINDS = {
    "all-weld-metal tensile": r"all[- ]?weld",
    "tensile": r"tensile|tension|\bUTS\b|\bRm\b",
    "bend": r"\bbend",
    "macro section": r"\bmacro",
    "hardness": r"hardness|\bHV ?\d*\b|vickers|\bHB\b|\bHRC\b",
    "impact": r"impact|charpy|\bCVN\b|toughness",
    "fracture": r"fillet break|nick[- ]?break|fracture test",
    "visual": r"visual|\bVT\b",
    "surface crack": r"penetrant|magnetic particle|surface crack|\bPT\b|\bMT\b",
    "radiographic or ultrasonic": r"radiograph|ultrasonic|\bRT\b|\bUT\b|x-ray",
}
"""The kinds of test, and the words of forms and of the tables for each."""

_BAD = re.compile(
    r"\bfail(?:ed|ure|s)?\b|\breject(?:ed|ion|able)?\b|\bunacceptable\b|\bunsatisfactory\b"
    r"|\bnot (?:acceptable|accepted|satisfactory|passed|conform\w*|met)\b"
    r"|\bdoes not (?:meet|comply|conform|pass)\b|\bnon-?conform\w*",
    re.IGNORECASE,
)
_GOOD = re.compile(
    r"\b(?:accept(?:able|ed)|satisfactory|pass(?:ed|es)?|ok|conform\w*|no|none|nil|without"
    r"|free of|free from)\b",
    re.IGNORECASE,
)
_DEFECT = re.compile(
    r"\bcrack(?:s|ed|ing)?\b|\black of (?:\w+ ){0,2}(?:fusion|penetration)\b"
    r"|\bincomplete (?:\w+ ){0,2}(?:fusion|penetration)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"\b(?:no(?!\.?\s*\d)|without|free (?:of|from)|zero)\b.*?(?=\bbut\b|\bexcept\b|[.;]|$)"
    r"|[^,.;:]*:?\s*\b(?:none|nil)\b",
    re.IGNORECASE,
)
_REQUIRED = re.compile(
    r"[(\[]?[^,;()\[\]]*\b(?:required|requirement|permitted|allowed|specified|limit|acceptance"
    r"|yield|ReH|Rp0[.,]2)\b[^,;()\[\]]*[)\]]?",
    re.IGNORECASE,
)
"""A requirement, or another property: not a result of the test."""

_NUMBER = r"\d+\s\d+/\d+|\d+/\d+|\d*\.\d+|\d+,\d{1,2}(?!\d)|\d+"
_GROUPED = re.compile(r"(?<![\w.,])(\d{1,3})[ ,](\d{3})(?=\s*(?:[,/&-]|and|to|psi)|\s*$)")
"""Grouped thousands, as in a strength in psi."""
_LIST = rf"(?<![\w.])(?:{_NUMBER})(?:\s*(?:[,/&-]|and|to)\s*(?:{_NUMBER}))*"
_STRESS = re.compile(rf"(?P<list>{_LIST})\s*(?P<unit>ksi|psi|MPa|N/mm[2²])", re.IGNORECASE)
_JOULES = re.compile(rf"(?P<list>{_LIST})\s*J(?:oules?)?\b")
_DEGREES = re.compile(r"(?P<minus>[-−–]|minus\s)?\s?(?P<number>\d+)\s?(?:°\s?|deg\.?\s?)?C\b")
_SIZE = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>mm|in\b|inch|\")", re.IGNORECASE)
_FLAW = re.compile(
    r"open|defect|flaw|crack|imperfection|tear|discontinuit|indication", re.IGNORECASE
)
_NO_FLAW = re.compile(r"former|mandrel|plunger|radius|diameter|thick|wide|width", re.IGNORECASE)
_SCALE = re.compile(r"\bHV\s?\d*\b|\bVickers(?:\s+\d+)?\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Result:
    """One test of a record: its kind, what the record calls it and says of it, and the place."""

    kind: str
    name: str
    text: str
    place: str = ""

    @property
    def said(self) -> str:
        """Name and text, as one."""
        return f"{self.name}: {self.text}".strip(": ")

    @property
    def says_bad(self) -> str:
        """The word that says that the test failed; empty if there is none.

        >>> Result("bend", "Bend 2", "opened 5 mm, failed").says_bad
        'failed'
        >>> Result("tensile", "T1", "481 MPa, failed in base metal").says_bad
        ''
        """
        found = _BAD.search(self._asserted)
        where = self.kind == "tensile" and not re.fullmatch(
            r"\W*fail(ed)?\W*", self.text, re.IGNORECASE
        )
        if not found or (where and found[0].casefold().startswith("fail")):
            return ""  # a tensile test is said to have failed where it broke
        return found[0]

    @property
    def says_good(self) -> bool:
        """Whether the record says that the test was passed, or that nothing was found."""
        return bool(_GOOD.search(self.text)) and not self.says_bad

    @property
    def defect(self) -> str:
        """The defect that the record reports; empty if there is none.

        >>> Result("macro section", "Macro", "no cracks, complete fusion").defect
        ''
        >>> Result("macro section", "Macro", "lack of side wall fusion in run 3").defect
        'lack of side wall fusion'
        """
        found = _DEFECT.search(self._asserted)
        return found[0] if found else ""

    @property
    def _asserted(self) -> str:
        return _DENIED.sub(" ", self.text)

    def stresses(self) -> tuple[list[float], str]:
        """Read the strengths with the unit in which they are compared.

        >>> Result("tensile", "Tension", "T1 71,200 psi, T2 70 900 psi").stresses()
        ([71.2, 70.9], 'ksi')
        >>> Result("tensile", "Tensile (MPa)", "481; 478").stresses()
        ([481.0, 478.0], 'MPa')
        """
        text = _REQUIRED.sub(" ", self.text)
        if re.search(r"\bpsi\b|_psi", self.said, re.IGNORECASE):
            text = _GROUPED.sub(r"\1\2", text)
        found = [(m["list"], m["unit"].casefold()) for m in _STRESS.finditer(text)]
        named = re.search(r"ksi|psi|mpa|n/mm[2²]", self.name, re.IGNORECASE)
        if not found and named and not re.search(r"[A-Za-z]", text):
            found = [(text, named[0].casefold())]
        units = {UNITS[unit] for _, unit in found}
        if len(units) != 1:  # of two units the first one printed counts
            found = [(ones, unit) for ones, unit in found if UNITS[unit] == UNITS[found[0][1]]]
        numbers = [
            number / (1000 if unit == "psi" else 1) for ones, unit in found for number in _all(ones)
        ]
        return numbers, UNITS[found[0][1]] if found else ""

    def vickers(self) -> tuple[list[float], str]:
        """Read hardness values and their scale, "HV10"; empty if no single scale is stated.

        >>> Result("hardness", "Hardness HV10", "base 165, HAZ 248, weld 201").vickers()
        ([165.0, 248.0, 201.0], 'HV10')
        """
        scales = {m.replace(" ", "").upper() for m in _SCALE.findall(self.said)}
        text = _SCALE.sub(" ", _REQUIRED.sub(" ", self.text))
        numbers = [float(one) for one in re.findall(r"(?<![\w.])\d{3}(?:\.\d+)?(?![\w.])", text)]
        return numbers, scales.pop() if len(scales) == 1 else ""

    def energies(self) -> Iterator[tuple[list[float], float | None]]:
        """Read the sets of impact energies in J, each with its temperature in degrees C.

        >>> list(Result("impact", "CVN", "weld 82, 90, 77 J; HAZ 45, 51, 60 J at -20 C").energies())
        [([82.0, 90.0, 77.0], -20.0), ([45.0, 51.0, 60.0], -20.0)]
        """
        text = _REQUIRED.sub(" ", self.text)
        degrees = [
            float(m["number"]) * (-1 if m["minus"] else 1) for m in _DEGREES.finditer(self.said)
        ]
        one = degrees[0] if len(set(degrees)) == 1 else None
        for part in re.split(r";|\n", text):
            own = [float(m["number"]) * (-1 if m["minus"] else 1) for m in _DEGREES.finditer(part)]
            for found in _JOULES.finditer(part):
                yield _all(found["list"]), own[0] if len(own) == 1 else one

    def flaws(self) -> Iterator[tuple[float, str]]:
        """Read the sizes of imperfections, each with its unit; sizes of the specimen are left out.

        >>> list(Result("bend", "Side bend", "4t former, 40 mm; open defect 4.5 mm").flaws())
        [(4.5, 'mm')]
        """
        for part in re.split(r"[;,]", self._asserted):
            if _FLAW.search(part) and not _NO_FLAW.search(part):
                for found in _SIZE.finditer(part):
                    number = parse_number(found["number"])
                    if number is not None:
                        yield number, "mm" if found["unit"].casefold() == "mm" else "in"


def _all(text: str) -> list[float]:
    found = (parse_number(one) for one in re.findall(_NUMBER, text))
    return [one for one in found if one is not None]


def kinds_in(text: str) -> list[str]:
    """Find the kinds of test that a text names.

    >>> kinds_in("Guided bend tests"), kinds_in("All-weld-metal tension"), kinds_in("T1")
    (['bend'], ['all-weld-metal tensile'], [])
    """
    found = [kind for kind, words in KINDS.items() if re.search(words, text, re.IGNORECASE)]
    return [kind for kind in found if kind != "tensile" or "all-weld-metal tensile" not in found]


def results(record: Procedure) -> Iterator[Result]:
    """Walk the results of a record; the kind is empty if it is not known."""
    for entry in record.tests:
        named = kinds_in(entry.name)
        if named:
            for kind in named:
                yield Result(kind, entry.name, entry.text, entry.place)
            continue
        last: list[str] = []
        for part in re.split(r"[;\n]", entry.text):
            last = kinds_in(part) or last
            for kind in last or [""]:
                yield Result(kind, entry.name, part.strip(), entry.place)
