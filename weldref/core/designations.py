"""How is "ASTM A572 Grade 50, DC (+)" written? The parts of what people write around a name.

Only the form of a text is read here; what a name means stands in the vocabulary.
"""

from __future__ import annotations

import re
from collections.abc import Callable

LONGEST = 200
"""Characters of a text that is taken apart; more is no name."""

_FORMS_OF_METAL = tuple(
    (re.compile(pattern), by)
    for pattern, by in (
        # Who publishes the standard is no part of the grade.
        (r"\b(?:astm|asme|(?:aisi|sae)(?:[/-](?:aisi|sae))?)\b[\s-]*", ""),
        (r"\b(?:(?:din|bs)\s+)?en[\s-]+10\d{3}(?:-\d)?(?::\d{4})?\b[\s:-]*", ""),
        (r"\b(?:(?:en[\s-]+)?aw|aa)[\s-]*(?=\d{4}\b)", ""),
        # The temper or the delivery condition is how a grade was treated.
        (r"(?<=\b[1-8]\d{3})[\s-]+(?:[of]|h\d{2,3}|t\d{1,4})\b", ""),
        (r"(?<=\b[sS]\d{3}\w\w)\s*\+\s*(?:ar|n|m)\b|(?<=\b[sS]\d{3})\s*\+\s*(?:ar|n|m)\b", ""),
        # One standard has an inch and a metric number: A36/A36M-19.
        (r"\b(a\d{2,4})\s*/\s*\1m\b(?:-\d{2}[a-z]?\b)?", r"\1"),
        (r"\b(?:a/)?sa[\s-]*(?=\d{2,4}\b)", "sa-"),
        (r"\ba[\s-]+(?=\d{2,4}\b)", "a"),
        (r"\b(s?a-?\d{2,4})-(?=\d)", r"\1 "),
        (r"\b(?:grade\b|gr\b\.?|gr(?=\d))\s*", " "),
        (r"\btp\s*(?=[34]\d\d)", "type "),
        (r"\s+", " "),
    )
)
# "3/8 in", "1 1/2 in" or "12 mm": how thick it is.
_LENGTH = re.compile(
    r"(?<![\w.])(?:(?:\d[\s-])?\d+/\d+|\d+(?:\.\d+)?)\s*(?:mm\b|in(?:ch(?:es)?)?\b\.?|\")",
    re.IGNORECASE,
)
_FLOW = re.compile(
    r"(?P<gas>.+?)[\s,;@]+(?:at\s+)?\d+(?:\.\d+)?(?:\s*(?:-|\N{EN DASH}|to)\s*\d+(?:\.\d+)?)?"
    r"\s*(?P<unit>[a-zA-Z][^,;()]*)"
)


def parted(text: str) -> tuple[str, str]:
    """Part a text into what stands outside its brackets and what stands inside.

    >>> parted("DC straight polarity (electrode negative)"), parted("flat")
    (('DC straight polarity', 'electrode negative'), ('flat', ''))
    """
    inside = " ".join(part.strip() for part in re.findall(r"\(([^()]*)\)", text))
    return re.sub(
        r"\s*\([^()]*\)\s*(?=([,;])?)", lambda m: "" if m[1] else " ", text
    ).strip(), inside


def words(text: str) -> list[str]:
    """List the words of a text; a sign at a word is part of it, a dash between two is not.

    >>> words("DC, electrode positive"), words("135 - MAG")
    (['DC', 'electrode', 'positive'], ['135', 'MAG'])
    """
    return [word for word in re.split(r"\s+[-\N{EN DASH}]\s+|[\s,;:]+", text) if word]


def metal(text: str) -> str:
    """Write the designation of a metal without what leaves the grade as it is.

    >>> metal("ASTM A572 Grade 50"), metal("SA 106 Gr. B"), metal("EN AW-5083-H111")
    ('a572 50', 'sa-106 b', '5083')
    """
    plain = text[:LONGEST].casefold()
    for pattern, by in _FORMS_OF_METAL:
        plain = pattern.sub(by, plain)
    return plain.strip()


def metals(text: str) -> list[str]:
    """List the designations that a text puts side by side, without their thickness.

    >>> metals("A36, 3/8 in to A572 Gr 50")
    ['a36,', 'a572 50']
    """
    return [
        part
        for part in re.split(r"\s*/\s*|\s+(?:to|and|or|on)\s+", metal(_LENGTH.sub("", text)))
        if part
    ]


def without_flow(text: str, is_unit: Callable[[str], bool]) -> str:
    """Leave out the flow behind a gas.

    >>> without_flow("argon, 15-25 CFH", lambda unit: unit == "CFH")
    'argon'
    """
    while len(text) <= LONGEST and (match := _FLOW.fullmatch(text.strip())):
        if not is_unit(re.sub(r"\s", "", match["unit"])):
            break
        text = match["gas"]
    return text


def group_by_pattern(compact: str) -> str | None:
    """Say what kind of consumable an unlisted class is, from the form of its designation.

    AWS A5.1 and A5.5: the last digit tells the covering; 5, 6 and 8 are low-hydrogen, as is
    the position-4 class. AWS A5.18: ER and C; AWS A5.20: T.

    >>> group_by_pattern("E9018-G"), group_by_pattern("ER80S-D2"), group_by_pattern("X1")
    ('low-hydrogen covered electrode', 'carbon steel wire or rod', None)
    """
    if match := re.fullmatch(r"E\d{2,3}[1234]([0-9])(?:[M-].*)?", compact):
        low = match[1] in "568"
        return f"{'low-hydrogen' if low else 'other than low-hydrogen'} covered electrode"
    if re.fullmatch(r"E\d{2}T\d?-.*", compact):
        return "flux cored wire"
    if re.fullmatch(r"E\d{2}C-.*", compact):
        return "metal cored wire"
    if re.fullmatch(r"ER\d{2,3}S-.*", compact):
        return "carbon steel wire or rod"
    return None
