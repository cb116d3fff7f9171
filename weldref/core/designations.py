"""Remove what people write around a name, as in "ASTM A572 Grade 50" or "DC (+)".

Only the form of a text counts here; what a name means is in the vocabulary.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache

LONGEST = 200
"""Characters of the longest text that is taken for a name."""

# Standards of a product (plate, pipe, forging, bar) that name the grade of another: A240 304L.
_PRODUCTS = (
    r"a-?(?:167|182|213|240|249|269|270|276|312|314|351|358|376|403|409|473|479|484|511|554|555"
    r"|580|581|582|666|743|744|774|778|789|790|815|928|959)"
    r"|b-?(?:26|36|42|43|68|75|85|88|96|98|108|111|127|135|152|160|161|162|163|164|165|166|167|168|171"
    r"|187|188|209|210|211|221|234|241|247|280|308|313|359|366|370|407|408|409|423|424|425|429"
    r"|443|444|446|466|467|483|491|547|564|574|575|619|622|626|632|670|704|705|725|775|829|928)"
)
_TITANIUM = r"b-?(?:265|299|337|338|348|363|367|381|861|862|863)"
_YEAR = r"(?:[\s-]*\d{2}[a-z]?(?=[\s,])|:\d{4})?"
_FORMS_OF_METAL = (
    # The publisher of the standard is not part of the grade.
    (r"\b(?:astm|asme|(?:aisi|sae)(?:[/-](?:aisi|sae))?)\b[\s-]*", ""),
    (
        r"\b(?:(?:din|bs)\s+)?en[\s-]+(?:iso[\s-]+)?\d{3,5}(?:-\d+)?(?::\d{4})?\b[\s:,-]*(?=\w)",
        "",
    ),
    (r"\b(?:(?:en[\s-]+)?aw|aa)[\s-]*(?=\d{4}\b)", ""),
    (r"\bjis\s+(?=g\s?\d{4}|sus|ss)|\bg\s?\d{4}\b[\s:,-]+(?=\w)", ""),
    (r"\ben\s+(?=\d\.\d{4}\b)", ""),
    (r"\buns[\s-]+(?=[a-z]\d{5}\b)", ""),
    (r"\b(?:w\.?\s?nr|mat(?:erial)?\s*no)\b\.?\s*(?=\d\.\d{4}\b)", ""),
    # A temper or a delivery condition says how a grade was treated.
    (r"(?<=\b[1-8]\d{3})[\s-]+(?:[of]|h\d{2,3}|t\d{1,4})\b", ""),
    (r"(?<=\b[sS]\d{3}\w\w)\s*\+\s*(?:ar|n|m)\b|(?<=\b[sS]\d{3})\s*\+\s*(?:ar|n|m)\b", ""),
    # One standard has an inch and a metric number: A36/A36M-19.
    (r"\b([ab]\d{2,4})\s*/\s*\1m\b(?:-\d{2}[a-z]?\b)?", r"\1"),
    (r"\b[ab]/s([ab])[\s-]*(?=\d{2,4}\b)|\bs([ab])[\s-]*(?=\d{2,4}\b)", r"s\1\2-"),
    (r"\b([ab])[\s-]+(?=\d{2,4}\b)", r"\1"),
    (r"\b(s?[ab]-?\d{2,4})-(?=\d)", r"\1 "),
    (r"\b(?:grade\b|gr\b\.?|gr(?=\d))\s*", " "),
    (r"\b(?:tp|f|wp)-?\s*(?=3\d\d)|\btp\s*(?=4\d\d)", "type "),
    (r"\s+", " "),
    # A class after a grade says how it was treated; alone it is the grade.
    (r"(?<=\d[\s-])(\d{1,2}l?|[a-z])[\s,-]*(?:class|cl)\.?[\s-]*\d[a-z]?\b", r"\1"),
    (r"(?:class\b|cl\b\.?|cl(?=\d))[\s-]*(?=\d)", " "),
    (rf"\bs?(?:{_PRODUCTS})m?\b{_YEAR}[\s,-]+(?:type\s*)?(?=\w)", ""),
    (rf"\bs?(?:{_TITANIUM})\b{_YEAR}[\s,-]*(?=\d{{1,2}}\b)", "titanium "),
    # Nor is the shape: A36 plate.
    (r"(?<=\w)\s+(?:plate|sheet|strip|pipe|tube|tubing|bar|angle|channel|beam)s?$", ""),
    (r"\s+", " "),
)
_SIGNS = str.maketrans(
    dict.fromkeys("\u2010\u2011\u2012\u2013\u2212", "-")
    | dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba\uff02", '"')
    | dict.fromkeys("\u2018\u2019\u2032\u02b9", "'")
    | dict.fromkeys("\u00a0\u2002\u2003\u2007\u2008\u2009\u200a\u202f", " ")
    | {"\u2044": "/", "\u2215": "/", "\u00ba": "\u00b0"}
)
_FRACTION_SIGN = r"\s*[\u00bc-\u00be\u2150-\u215e]"
# "3/8 in", "1 1/2 in" or "12 mm": how thick it is.
_LENGTH = r"(?i)(?<![\w.])(?:(?:\d[\s-])?\d+/\d+|\d+(?:\.\d+)?)\s*(?:mm\b|in(?:ch(?:es)?)?\b\.?|\")"
_FLOW = (
    r"(?P<gas>.+?)[\s,;@]+(?:at\s+)?\d+(?:\.\d+)?(?:\s*(?:-|\N{EN DASH}|to)\s*\d+(?:\.\d+)?)?"
    r"\s*(?P<unit>[a-zA-Z][^,;()]*)"
)


@lru_cache
def _compiled(forms: tuple[tuple[str, str], ...]) -> list[tuple[re.Pattern[str], str]]:
    """Compile patterns when first used: most programs never read such a text."""
    return [(re.compile(pattern), said) for pattern, said in forms]


def plain(text: str) -> str:
    r"""Replace printed quotes, dashes, blanks and fractions by those of a keyboard.

    >>> plain("1\u00bd\u2033"), plain("\u215b\u201d"), plain("3.2\u2009mm")
    ('1-1/2"', '1/8"', '3.2 mm')
    """

    def written(sign: re.Match[str]) -> str:
        fraction = unicodedata.normalize("NFKC", sign[0].strip())
        behind = sign.start() > 0 and text[sign.start() - 1].isdigit()
        return f"-{fraction}" if behind else sign[0].replace(sign[0].strip(), fraction)

    return re.sub(_FRACTION_SIGN, written, text).translate(_SIGNS).replace("''", '"')


def without_brackets(text: str) -> tuple[str, str]:
    """Return the text outside brackets and the text inside.

    >>> without_brackets("DC straight polarity (electrode negative)"), without_brackets("flat")
    (('DC straight polarity', 'electrode negative'), ('flat', ''))
    """
    inside = " ".join(part.strip() for part in re.findall(r"\(([^()]*)\)", text))
    return re.sub(
        r"\s*\([^()]*\)\s*(?=([,;])?)", lambda m: "" if m[1] else " ", text
    ).strip(), inside


def words(text: str) -> list[str]:
    """List the words of a text; a dash between two words is left out.

    >>> words("DC, electrode positive"), words("135 - MAG")
    (['DC', 'electrode', 'positive'], ['135', 'MAG'])
    """
    return [word for word in re.split(r"\s+[-\N{EN DASH}]\s+|[\s,;:]+", text) if word]


def metal(text: str) -> str:
    """Reduce the designation of a metal to what decides its grade.

    >>> metal("ASTM A572 Grade 50"), metal("SA 106 Gr. B"), metal("EN AW-5083-H111")
    ('a572 50', 'sa-106 b', '5083')
    """
    left = plain(text[:LONGEST]).casefold()
    for pattern, by in _compiled(_FORMS_OF_METAL):
        left = pattern.sub(by, left)
    return left.strip()


def metals(text: str) -> list[str]:
    """List the designations in a text that names two metals, without their thickness.

    >>> metals("A36, 3/8 in to A572 Gr 50")
    ['a36,', 'a572 50']
    """
    return [
        part
        for part in re.split(r"\s*/\s*|\s+(?:to|and|or|on)\s+", metal(re.sub(_LENGTH, "", text)))
        if part
    ]


def without_flow(text: str, is_unit: Callable[[str], bool]) -> str:
    """Remove the flow after a gas.

    >>> without_flow("argon, 15-25 CFH", lambda unit: unit == "CFH")
    'argon'
    """
    while len(text) <= LONGEST and (match := re.fullmatch(_FLOW, text.strip())):
        if not is_unit(re.sub(r"\s", "", match["unit"])):
            break
        text = match["gas"]
    return text


def group_by_pattern(compact: str) -> str | None:
    """Return the kind of consumable of an unlisted class, from the form of its designation.

    AWS A5.1 and A5.5: the last digit is the covering; 5, 6 and 8 are low-hydrogen, as is every
    class for position 4. AWS A5.18: ER and C; AWS A5.20: T.

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


_OF_ISO = r"(?i)^(?:(?:DIN |BS )?EN )?ISO \d{4,5}(?:-[AB])?\s*[-:]?\s*"
_ISO_FORMS = (
        # ISO 2560-A: strength, impact, alloy, covering; B is the basic one.
        (r"E (?:35|38|42|46|50) ?[ZA0-6] (?:\S*(?:MO|NI) )?B(?: .*)?",
         "low-hydrogen covered electrode"),
        (r"E (?:35|38|42|46|50) ?[ZA0-6] (?:\S*(?:MO|NI) )?(?:A|C|R|RA|RB|RC|RR)(?: .*)?",
         "other than low-hydrogen covered electrode"),
        # ISO 17632-A: strength, impact, alloy, core; M is metal powder, V, W, Y and Z need no gas.
        (r"T (?:35|38|42|46|50) ?[ZA0-6] (?:\S*(?:MO|NI) )?M(?: .*)?", "metal cored wire"),
        (r"T (?:35|38|42|46|50) ?[ZA0-6] (?:\S*(?:MO|NI) )?[PRB](?: .*)?",
         "gas-shielded flux cored wire"),
        (r"T (?:35|38|42|46|50) ?[ZA0-6] (?:\S*(?:MO|NI) )?[VWY](?: .*)?",
         "self-shielded flux cored wire"),
        # ISO 3581-A, 14343-A: chromium, nickel, molybdenum.
        (r"E (?:1[2-9]|2\d) \d{1,2}(?: .*)?", "stainless covered electrode"),
        (r"[GWPS] (?:1[2-9]|2\d) \d{1,2}(?: .*)?", "stainless wire or rod"),
)  # fmt: skip


def group_by_iso(text: str) -> str | None:
    """Return the kind of consumable of a designation of the European ISO systems.

    >>> group_by_iso("EN ISO 2560-A E 42 5 B 42 H5"), group_by_iso("T 46 2 P M 1 H5")
    ('low-hydrogen covered electrode', 'gas-shielded flux cored wire')
    >>> group_by_iso("W 19 9 L"), group_by_iso("E7018")
    ('stainless wire or rod', None)
    """
    plain_text = re.sub(_OF_ISO, "", re.sub(r"\s+", " ", text.strip())).upper()
    return next((kind for form, kind in _compiled(_ISO_FORMS) if form.fullmatch(plain_text)), None)
