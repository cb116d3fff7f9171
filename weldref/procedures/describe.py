"""Find specification, class and numbers in a description such as "A5.17 EM12K, F-6, A-1".

Only what is written in the text is taken from it; the whole text is kept too.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from weldref.procedures.keys import PROCESS
from weldref.procedures.model import BaseMetal, Filler, Text

NOT_APPLICABLE = re.compile(
    r"(?:n\.?\s?/?\s?a\.?|none|nil|no|[-–—]+|not (?:applicable|used|required))(?:\s*\(.*\))?",
    re.IGNORECASE,
)
"""What forms write where there is no gas."""

LONGEST = 500
"""Characters of a text that are searched for names."""

_SPEC = re.compile(
    r"\b(?:AWS\s+)?(?:SFA[-\s]?5\.\d{1,2}|A5\.\d{1,2})M?(?:\s?/\s?(?:SFA[-\s]?|A)5\.\d{1,2}M?)?\b"
    r"|\b(?:EN\s+)?ISO\s+\d{4,5}(?:-[AB])?\b"
)
_CLASS = re.compile(
    r"\bE[A-Z]{0,3}\d{2,4}[A-Z0-9]*(?:-[A-Z0-9]+)*\b|\bR\d{2,3}(?:S-[A-Z0-9]+)?\b"
    r"|\bER?(?:Ni|Ti|Cu|Al|Zr|Co)[A-Za-z]*(?:-\d+[A-Z]*)?\b"
)
_FLUX = re.compile(r"\bF\d+[AP][Z\d]+(?:-[A-Z][A-Z0-9]*)+\b")
_F_NUMBER = re.compile(r"\bF(?:-?\s?No\.?)?\s?[-:]?\s?(\d{1,2})\b(?![A-Z])", re.IGNORECASE)
_A_NUMBER = re.compile(r"\bA(?:-?\s?No\.?\s?[-:]?\s?|-\s?)(\d{1,2})\b", re.IGNORECASE)
_PASSES = re.compile(
    r"(?:root|hot|fill(?:ing|er)?|cap(?:ping)?|stringer|tack|cover|all|other|pass(?:es)?|layers?|and"
    r"|remaining|balance|to|[\s,&/-]|\d)+:?",
    re.IGNORECASE,
)
_P_NUMBER = re.compile(
    r"\b[PSM](?:/S)?[-\s]?(?:No\.?|number)\s?[-:]?\s?(\d{1,2}[A-Z]?)\b", re.IGNORECASE
)
_GROUP_AFTER = re.compile(
    r"\s*,?\s*(?:Gr(?:oup|p)?\.?)\s*(?:-?No\.?)?\s?[-:]?\s?(\d)\b", re.IGNORECASE
)
_ISO_GROUP = re.compile(r"\bgroup\s+(\d{1,2}(?:\.\d)?)\b", re.IGNORECASE)
_GRADE = r"(?:[\s,-]+(?:gr(?:ade)?\.?|type|class|cl\.?)\s*[A-Z0-9]+(?:[-/]?[A-Z0-9]+)?\b)?"
_DESIGNATION = re.compile(
    rf"\b(?:ASTM\s+|ASME\s+|AISI\s+|AASHTO\s+)?(?:S?A-?\d{{2,4}}M?|S?B-?\d{{3}}M?|M\d{{3}}){_GRADE}"
    rf"|\bAPI\s5L{_GRADE}(?:\sX\d\d[A-Z]*)?|\bS\d{{3}}[A-Z]\w*|\bX\d{{2}}[A-Z]{{0,2}}\b|\bL\d{{3}}\b"
    r"|\b(?:AA\s?)?[1-7]\d{3}(?:-[HTOF]\d{0,4})?\b|\b(?:AISI\s|type\s)?3(?:04|09|10|16|17|21|47)[LH]?\b",
    re.IGNORECASE,
)
_BY_PROCESS = re.compile(rf"[;,\n]\s*(?=(?:{PROCESS.pattern})\b)", re.IGNORECASE)
_LEADING_PROCESS = re.compile(rf"(?P<process>{PROCESS.pattern})\b(?!-)\s*[:=-]?\s+(?P<rest>\S.*)")


def by_process(text: Text) -> tuple[Text, ...]:
    """Split a text that names several processes, each with its own part.

    >>> [(t.of, t.text) for t in by_process(Text("GTAW Ar 100 %; GMAW 80 % Ar 20 % CO2"))]
    [('GTAW', 'Ar 100 %'), ('GMAW', '80 % Ar 20 % CO2')]
    >>> [(t.of, t.text) for t in by_process(Text("argon"))]
    [('', 'argon')]
    """
    if text.of or len(text.text) > LONGEST:
        return (text,)
    parts = [_LEADING_PROCESS.fullmatch(part.strip()) for part in _BY_PROCESS.split(text.text)]
    if not all(parts):
        return (text,)
    return tuple(Text(part["rest"].strip(), part["process"], text.place) for part in parts if part)


def fillers_of(text: Text) -> tuple[Filler, ...]:
    """Read filler metals from a text; several follow one another, separated by semicolons.

    >>> first, second = fillers_of(Text("root E6010; fill E8018-C3"))
    >>> first.passes.text, first.classification.text, second.classification.text
    ('root', 'E6010', 'E8018-C3')
    >>> one, = fillers_of(Text("A5.17 EM12K, F7A2-EM12K, F-6, A-1"))
    >>> one.spec.text, one.classification.text, one.flux.text, one.f_number.text, one.a_number.text
    ('A5.17', 'EM12K', 'F7A2-EM12K', '6', '1')
    """
    parts = [part.strip() for part in text.text[:LONGEST].split(";") if part.strip()]
    if len(parts) < 2 or len(text.text) > LONGEST or not all(_CLASS.search(part) for part in parts):
        parts = [text.text]
    return tuple(filled_filler(Filler(text=Text(part, text.of, text.place))) for part in parts)


def filled_filler(filler: Filler) -> Filler:
    """Add what the text of a filler names and no field of its own states."""
    if filler.text is None:
        return filler
    said, of = filler.text.text[:LONGEST], filler.text.of
    process = _LEADING_PROCESS.fullmatch(said)
    rest = process["rest"] if process else said
    plain = _FLUX.sub(" ", rest)
    named = _CLASS.search(plain)
    before = plain[: named.start()].strip() if named else ""
    passes = before.rstrip(" :") if before and _PASSES.fullmatch(before) else ""
    of_process = PROCESS.fullmatch(of)
    found = {
        "process": process["process"] if process else of if of_process else "",
        "passes": passes or ("" if of_process else of),
        "spec": _first(_SPEC.search(rest)),
        "classification": _first(named),
        "f_number": _first(_F_NUMBER.search(plain), 1),
        "a_number": _first(_A_NUMBER.search(_SPEC.sub(" ", plain)), 1),
        "flux": _first(_FLUX.search(rest)),
    }
    alone = named is not None and said.strip() == named[0]
    # A text that is only a class says nothing more; what it is for has a field of its own.
    filled = replace(filler, text=None if alone else replace(filler.text, of=""))
    return replace(filled, **_unstated(filler, found))


def _first(match: re.Match[str] | None, group: int = 0) -> str:
    return match[group] if match else ""


def _unstated(part: Filler | BaseMetal, found: dict[str, str]) -> dict[str, Any]:
    """Return what was found in the text of a part, without the fields that the part states."""
    place = part.text.place if part.text else ""
    return {
        name: Text(said, place=place)
        for name, said in found.items()
        if said and getattr(part, name) is None
    }


def filled_metal(metal: BaseMetal) -> BaseMetal:
    """Add what the text of a base metal names and no field of its own states.

    >>> found = filled_metal(BaseMetal(text=Text("P-No. 1 Gr 1: API 5L Gr B / L245 or X42")))
    >>> found.p_number.text, found.group.text, [str(d) for d in found.designations]
    ('1', '1', ['API 5L Gr B', 'L245', 'X42'])
    """
    if metal.text is None:
        return metal
    said, place = metal.text.text[:LONGEST], metal.text.place
    number = _P_NUMBER.search(said)
    group = _GROUP_AFTER.match(said, number.end()) if number else _ISO_GROUP.search(said)
    named = (" ".join(name.split()) for name in _DESIGNATION.findall(_P_NUMBER.sub(" ", said)))
    return replace(
        metal,
        designations=metal.designations
        or tuple(Text(name, place=place) for name in dict.fromkeys(named)),
        **_unstated(metal, {"p_number": _first(number, 1), "group": _first(group, 1)}),
    )
