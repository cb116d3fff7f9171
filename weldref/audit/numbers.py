"""Check that stated P-Numbers and F-numbers are those of the metal and the filler metal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.covering_choices import f_number
from weldref.audit.finding import Finding, Rule, rule
from weldref.procedures.model import BaseMetal, Text

_GROUP = re.compile(r"(?i)\bgr(?:oup|\.)?[\s-]*(?:no\.?)?[\s-]*\d+")
_P_NUMBER = re.compile(r"(?i)(?:\bp[\s-]*(?:no\.?)?[\s-]*|\b)(\d{1,2}[a-k]?)\b")


def p_numbers(text: str) -> set[str]:
    """Read the P-Numbers that a procedure states, without their group numbers.

    >>> sorted(p_numbers("P1")), sorted(p_numbers("P-No. 5A Gr. 1 to P-No. 8")), p_numbers("1 Gr 1")
    (['1'], ['5A', '8'], {'1'})
    """
    return {number.upper() for number in _P_NUMBER.findall(_GROUP.sub(" ", text))}


def other_p_numbers(case: Case) -> Iterator[tuple[BaseMetal, set[str], frozenset[str]]]:
    """Yield the metals whose stated P-Numbers are not those of the tables, with both."""
    for metal in case.procedure.base_metals:
        stated = p_numbers(metal.p_number.text) if metal.p_number else set()
        known = case.numbered(metal)
        if known and stated and not stated & {one.removeprefix("P-No.") for one in known}:
            yield metal, stated, known


@rule("stated-numbers")
def stated_numbers(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare a P-Number and an F-number with those that the tables give to metal and filler."""
    for metal, other, known in other_p_numbers(case):
        said = metal.p_number or Text("")
        yield this.finding(
            "P", [said.place], value=said.text, stated=" and ".join(sorted(other)),
            metal=metal.text or metal.spec, right=" or ".join(sorted(known)),
        )  # fmt: skip
    for filler in case.procedure.fillers:
        text = filler.classification or filler.text
        digits = re.findall(r"\d+", filler.f_number.text) if filler.f_number else []
        numbers = {
            number
            for name in (case.classes_in(text.text) if text else ())
            if (number := f_number(case, name))
        }
        if filler.f_number and len(digits) == 1 and numbers and digits[0] not in numbers:
            yield this.finding(
                "F", [filler.f_number.place], source=("iso-15614-1-2017", "Annex A", "read"),
                value=filler.f_number.text, filler=text, stated=digits[0],
                right=" or ".join(f"F-{one}" for one in sorted(numbers)),
            )  # fmt: skip
