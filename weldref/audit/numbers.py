"""Check that stated P-Numbers and F-numbers are those of the metal and the filler metal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.covering_choices import f_number
from weldref.audit.finding import Finding, Rule, rule

_GROUP = re.compile(r"(?i)\bgr(?:oup|\.)?[\s-]*(?:no\.?)?[\s-]*\d+")
_P_NUMBER = re.compile(r"(?i)(?:\bp[\s-]*(?:no\.?)?[\s-]*|\b)(\d{1,2}[a-k]?)\b")


def p_numbers(text: str) -> set[str]:
    """Read the P-Numbers that a procedure states, without their group numbers.

    >>> sorted(p_numbers("P1")), sorted(p_numbers("P-No. 5A Gr. 1 to P-No. 8")), p_numbers("1 Gr 1")
    (['1'], ['5A', '8'], {'1'})
    """
    return {number.upper() for number in _P_NUMBER.findall(_GROUP.sub(" ", text))}


@rule("stated-numbers")
def stated_numbers(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare a P-Number and an F-number with those that the tables give to metal and filler."""
    for metal in case.procedure.base_metals:
        if metal.p_number is None:
            continue
        names, _ = case.numbered(metal)
        known = {one.removeprefix("P-No.") for one in names}
        stated = p_numbers(metal.p_number.text)
        if known and stated and not stated & known:
            yield this.finding(
                "P", [metal.p_number.place], value=metal.p_number.text,
                stated=" and ".join(sorted(stated)),
                metal=metal.text or metal.spec, right=" or ".join(sorted(names)),
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
