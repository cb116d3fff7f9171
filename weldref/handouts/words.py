"""Translate our own texts and those of the data, from the catalogues of a language.

The messages are the English texts. Another language is a folder with gettext catalogues; a text of
the data that is a code (E7018, 75 Ar / 25 CO2) is the same in every language.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from weldref.errors import InputError

LOCALE = Path(__file__).parent / "locale"
LANGUAGES = ("en", *sorted(folder.name for folder in LOCALE.iterdir() if folder.is_dir()))
"""English, and each language that has a folder of catalogues."""

# A text of the data with a word in it; codes, formulas and units have none.
_WORD = re.compile(r"[a-zà-ÿ]{3,}|\b(?:or|to|of)\b")
_CODES = re.compile(r"[A-Z0-9][\w./+-]*[A-Z0-9]|\b(?:min|psi|deg|in|mm)\b")


def later(message: str) -> str:
    """Mark a message for the catalogue where it is written before it is said."""
    return message


@dataclass(frozen=True)
class Words:
    """The words of one language."""

    language: str
    messages: dict[str, str]

    def say(self, message: str, **values: object) -> str:
        """Say one of our own sentences; `values` fill its places."""
        text = self.messages.get(message, message)
        return text.format(**values) if values else text

    def term(self, text: str) -> str:
        """Say a text of the data: a term, a condition, a caution's wording.

        >>> words("es").term("carbon steel"), words("es").term("E7018")
        ('acero al carbono', 'E7018')
        """
        return self.messages.get(text, text)

    def listed(self, texts: Iterable[str]) -> str:
        """Write a list in one line; semicolons, because a term may hold a comma."""
        return "; ".join(texts)


def sentence(text: str) -> str:
    """Begin a text with a capital letter."""
    return text[:1].upper() + text[1:]


@cache
def words(language: str) -> Words:
    """Load the words of a language; refuse one that has no catalogue."""
    if language not in LANGUAGES:
        raise InputError(
            f"--language: '{language}' is not a language here; give {' or '.join(LANGUAGES)}"
        )
    if language == "en":
        return Words(language, {})
    folder = LOCALE / language / "LC_MESSAGES"
    return Words(language, {**_read(folder / "page.po"), **_read(folder / "handouts.po")})


def language_name(language: str) -> str:
    """Name a language in its own words."""
    return words(language).say(later("English"))


def _read(path: Path) -> dict[str, str]:
    """Read a catalogue as text: there is no compiled file that could be out of date."""
    from babel.messages.pofile import read_po

    with path.open("rb") as file:
        catalogue = read_po(file, locale=path.parent.parent.name)
    return {
        str(message.id): str(message.string)
        for message in catalogue
        if message.id and message.string and not message.fuzzy
    }


def has_words(text: str) -> bool:
    """Tell whether a text of the data must be translated, or is a code.

    >>> has_words("austenitic stainless steel"), has_words("AC or DCEP"), has_words("E308L-16")
    (True, True, False)
    """
    return bool(_WORD.search(_CODES.sub(" ", text)))
