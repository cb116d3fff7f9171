"""List every text that can be on paper, and add those that lack a translation.

``python -m weldref.handouts.messages`` adds what is missing to each catalogue, untranslated, and
leaves out what is gone.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from weldref.core.check import NOT_APPROVAL
from weldref.core.setup import STRENGTHS
from weldref.core.situation import LABELS
from weldref.core.verdict import Word
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.data.store import Store, open_store
from weldref.exchange.shop_chart.model import SIZE_OF
from weldref.handouts.words import LANGUAGES, LOCALE, has_words
from weldref.text import MEANINGS

# Columns of the tables whose texts may stand on paper, or what is made of one in SQL.
COLUMNS: dict[str, tuple[str, ...]] = {
    "quantities": ("name",),
    "units": ("dimension",),
    "processes": ("term", "name"),
    "materials": ("term", "name"),
    "transfer_modes": ("term",),
    "joints": ("term",),
    "positions": ("term", "name"),
    "polarities": ("term", "name"),
    "electrode_classes": ("term",),
    "gases": ("term",),
    "tungsten_terms": ("term",),
    "windows": ("technique", '"pass"', "other_condition", "joint_detail", "thickness_unit",
                "environment", "status"),
    "specifications": ("term",),
    "polarity": ("material", "current_type", "advice", "as_printed", "condition"),
    "smaw_classes": ("current", "covering", "positions", "'vertical ' || progression"),
    "tungsten_classes": ("tip_colour", "edition"),
    "fcaw_usability": ("polarity", "external_gas"),
    "fcaw_classes": ("polarity", "external_gas"),
    "shielding_gas_selection": ("material", "shielding_gas", "note", "as_printed"),
    "matching_fillers": (
        "as_printed", "condition", "'except ' || excluded", "'AWS D1.1 Group ' || base_group",
    ),
    "cautions": ("wording",),
    "setup_rules": ("what", "why", "exception"),
}  # fmt: skip

SPOKEN = (
    *("minimum shade", "suggested shade", "no shielding gas", "single-pass welds only"),
    *LABELS.values(),
    *SIZE_OF.values(),
    NOT_APPROVAL,
)
"""What other modules say that stands on paper too."""

ON_THE_PAGE = (*STRENGTHS, *LABELS.values(), *MEANINGS, *MEANINGS.values())
"""What other modules say that stands on the student's page too."""

PACKAGE = Path(__file__).parent.parent
CATALOGUES = {
    "handouts": ("handouts/**.py", "handouts/templates/**.html"),
    "page": (
        "dashboard/said.py",
        "dashboard/fragments.py",
        "dashboard/settings/**.py",
        "text.py",
        "core/wording.py",
    ),
}
"""Where the words of each catalogue are marked: those on paper, those on the student's page."""

HEADS = {
    "handouts": "# What the handouts and practice sheets print.",
    "page": "# What the student's page says beyond what the handouts print.",
}
"""The first line of each catalogue."""


def own_messages(catalogue: str = "handouts") -> Iterator[tuple[str, str]]:
    """Yield each message of our own code in a catalogue with the file it stands in."""
    from babel.messages.extract import extract_from_dir

    found = extract_from_dir(
        str(PACKAGE),
        method_map=[
            (pattern, "jinja2.ext:babel_extract" if pattern.endswith(".html") else "python")
            for pattern in CATALOGUES[catalogue]
        ],
        keywords={"say": None, "later": None},
    )
    for file, _, message, _, _ in found:
        yield str(message), Path(file).name
    elsewhere = (*SPOKEN, *get_args(Word)) if catalogue == "handouts" else ON_THE_PAGE
    for text in elsewhere:
        yield text, "said elsewhere"


def data_messages(store: Store) -> Iterator[tuple[str, str]]:
    """Yield each text of the data that may stand on paper and is no mere code, with its table."""
    for table, columns in COLUMNS.items():
        for column in columns:
            rows = store.rows(
                f'SELECT DISTINCT {column} AS text FROM "{table}" '  # noqa: S608  tables of ours
                f"WHERE {column} IS NOT NULL ORDER BY 1"
            )
            for row in rows:
                if has_words(row["text"]):
                    yield row["text"], f"table {table}"
    rows = store.rows(
        "SELECT name AS text FROM documents WHERE source_id = $id", {"id": COMMON_PRACTICE}
    )
    yield from ((row["text"], "table sources") for row in rows)
    rows = store.rows(
        "SELECT DISTINCT locator AS text FROM windows WHERE source_id = $id AND locator IS NOT "
        "NULL",
        {"id": COMMON_PRACTICE},
    )
    yield from ((row["text"], "table windows") for row in rows)


def messages_of(store: Store, catalogue: str) -> dict[str, str]:
    """Return every message of a catalogue with where it stands, each once."""
    found: dict[str, str] = {}
    data = data_messages(store) if catalogue == "handouts" else ()
    for text, place in (*own_messages(catalogue), *data):
        found.setdefault(text, place)
    if catalogue != "handouts":
        handouts = messages_of(store, "handouts")
        return {text: place for text, place in found.items() if text not in handouts}
    return found


def all_messages(store: Store) -> dict[str, str]:
    """Return every message with where it stands, each once."""
    return {t: place for name in CATALOGUES for t, place in messages_of(store, name).items()}


def missing(store: Store, language: str) -> list[str]:
    """List the messages that a language lacks."""
    from weldref.handouts.words import words

    known = words(language).messages
    return [text for text in all_messages(store) if text not in known]


def update(store: Store, language: str, catalogue: str) -> int:
    """Write a catalogue anew: what it holds, plus what is missing, less what is gone."""
    from babel.messages.catalog import Catalog
    from babel.messages.pofile import read_po, write_po

    path = LOCALE / language / "LC_MESSAGES" / f"{catalogue}.po"
    old = Catalog(locale=language)
    if path.exists():
        with path.open("rb") as file:
            old = read_po(file, locale=language)
    new = Catalog(
        locale=language,
        project="weldref",
        version="1",
        charset="utf-8",
        header_comment=HEADS[catalogue],
        fuzzy=False,
    )
    lacking = 0
    for text, place in messages_of(store, catalogue).items():
        known = old.get(text)
        translated = str(known.string) if known is not None and known.string else ""
        lacking += not translated
        new.add(text, translated, auto_comments=[place])
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as out:
        write_po(out, new, width=96, omit_header=False, no_location=True)
    # Of the header only what a reader needs: no dates, no placeholders for names and addresses.
    text = path.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(_HEADER_NOISE)]
    path.write_text("\n".join(kept).rstrip() + "\n", encoding="utf-8")
    return lacking


_HEADER_NOISE = tuple(
    f'"{field}' for field in (
        "Report-Msgid", "POT-Creation", "PO-Revision", "Last-Translator", "Language-Team",
        "Generated-By", "Project-Id",
    )
)  # fmt: skip


if __name__ == "__main__":
    left = {
        (name, catalogue): update(open_store(), name, catalogue)
        for name in LANGUAGES
        if name != "en"
        for catalogue in CATALOGUES
    }
    for (name, catalogue), count in left.items():
        print(f"{name}, {catalogue}: {count} messages without a translation")
    sys.exit(any(left.values()))
