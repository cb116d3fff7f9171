"""Check that stated P-Numbers and F-numbers are those of the metal and the filler metal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import Case
from weldref.audit.covering_choices import f_number
from weldref.audit.finding import Finding, Rule, rule


@rule(
    "stated-numbers",
    "consistency",
    "Do the stated P-Numbers and F-numbers go with metal and filler metal?",
    "",
    "",
    "read",
)
def stated_numbers(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare a P-Number and an F-number with those that the tables give to metal and filler."""
    for metal in case.procedure.base_metals:
        if metal.p_number is None:
            continue
        names, _ = case.numbered(metal)
        known = {one.removeprefix("P-No.") for one in names}
        stated = re.sub(r"(?i)^p?-?\s*no\.?|\s", "", metal.p_number.text).strip("-.")
        if known and stated and stated not in known:
            yield this.finding(
                "contradiction",
                f"{metal.text or metal.spec} is stated to be of P-No. {stated}; the tables give "
                f"{' or '.join(sorted(names))}",
                place=metal.p_number.place,
                value=metal.p_number.text,
                expected=" or ".join(sorted(names)),
                next_step="correct the P-Number or the base metal",
            )
    for filler in case.procedure.fillers:
        text = filler.classification or filler.text
        digits = re.findall(r"\d+", filler.f_number.text) if filler.f_number else []
        numbers = {
            number
            for name in (case.classes_in(text.text) if text else ())
            if (number := f_number(case, name))
        }
        if filler.f_number and len(digits) == 1 and numbers and digits[0] not in numbers:
            right = " or ".join(f"F-{one}" for one in sorted(numbers))
            yield this.finding(
                "contradiction",
                f"{text} is stated to be of F-No. {digits[0]}; the tables give {right}",
                place=filler.f_number.place,
                value=filler.f_number.text,
                expected=right,
                source_id="iso-15614-1-2017",
                locator="Annex A",
                next_step="correct the F-number or the classification",
            )
