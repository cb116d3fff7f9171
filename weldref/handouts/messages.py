"""List every text that can be printed, and add those that lack a translation.

``python -m weldref.handouts.messages`` adds what is missing to each catalogue, untranslated, and
leaves out what is gone.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

from weldref.core.check import NOT_APPROVAL
from weldref.core.setup import STRENGTHS
from weldref.core.situation import LABELS
from weldref.core.verdict import Word
from weldref.data.schemas.bases import COMMON_PRACTICE
from weldref.data.store import Store, open_store
from weldref.exchange.shop_chart.model import SIZE_OF
from weldref.grades import FULL, SHORT
from weldref.handouts.words import LANGUAGES, LOCALE, has_words
from weldref.text import MEANINGS

PACKAGE = Path(__file__).parent.parent
WHERE: dict[str, Any] = tomllib.loads(
    Path(__file__).with_name("messages.toml").read_text(encoding="utf-8")
)
COLUMNS: dict[str, list[str]] = WHERE.pop("columns")

SPOKEN: dict[str, tuple[str, ...]] = {
    "handouts": (
        *("minimum shade", "suggested shade", "no shielding gas", "single-pass welds only"),
        *LABELS.values(),
        *SIZE_OF.values(),
        NOT_APPROVAL,
        *SHORT.values(),
        *get_args(Word),
    ),
    "page": (*STRENGTHS, *LABELS.values(), *MEANINGS, *MEANINGS.values(), *FULL.values()),
}
"""Texts of other modules that are printed, or are on the student's page."""

_HEADER_NOISE = tuple(
    f'"{name}' for name in (
        "Report-Msgid", "POT-Creation", "PO-Revision", "Last-Translator", "Language-Team",
        "Generated-By", "Project-Id",
    )
)  # fmt: skip


def own_messages(catalogue: str = "handouts") -> Iterator[tuple[str, str]]:
    """Yield each message of our own code in a catalogue with its file."""
    from babel.messages.extract import extract_from_dir

    methods = {".html": "jinja2.ext:babel_extract", ".py": "python"}
    marked = [(pattern, methods[Path(pattern).suffix]) for pattern in WHERE[catalogue]["marked"]]
    keywords = {"say": None, "later": None}
    for file, _, message, *_ in extract_from_dir(str(PACKAGE), marked, keywords=keywords):
        yield str(message), Path(file).name
    yield from ((text, "said elsewhere") for text in SPOKEN[catalogue])


def _data_messages(store: Store) -> Iterator[tuple[str, str]]:
    """Yield each text of the data that may be printed and is not just a code, with its table."""
    ours = f"source_id = '{COMMON_PRACTICE}'"
    asked = [
        *((table, name, "true") for table, names in COLUMNS.items() for name in names),
        ("documents", "name", ours),
        ("windows", "locator", ours),
    ]
    for table, column, which in asked:
        rows = store.rows(
            f'SELECT DISTINCT {column} AS text FROM "{table}" '  # noqa: S608  tables of ours
            f"WHERE {column} IS NOT NULL AND {which} ORDER BY 1"
        )
        for row in rows:
            if which == ours or has_words(row["text"]):
                yield row["text"], f"table {'sources' if table == 'documents' else table}"


def messages_of(store: Store, catalogue: str) -> dict[str, str]:
    """Return every message of a catalogue once, with its file or table."""
    found: dict[str, str] = {}
    data = _data_messages(store) if catalogue == "handouts" else ()
    for text, place in (*own_messages(catalogue), *data):
        found.setdefault(text, place)
    others = {} if catalogue == "handouts" else messages_of(store, "handouts")
    return {text: place for text, place in found.items() if text not in others}


def update(store: Store, language: str, catalogue: str) -> int:
    """Update a catalogue: add the messages that are missing, remove those not used any more."""
    from babel.messages.catalog import Catalog
    from babel.messages.pofile import read_po, write_po

    path = LOCALE / language / "LC_MESSAGES" / f"{catalogue}.po"
    old = Catalog(locale=language)
    if path.exists():
        with path.open("rb") as file:
            old = read_po(file, locale=language)
    head = WHERE[catalogue]["head"]
    about = {"project": "weldref", "version": "1", "charset": "utf-8", "header_comment": head}
    new = Catalog(locale=language, fuzzy=False, **about)
    lacking = 0
    for text, place in messages_of(store, catalogue).items():
        known = old.get(text)
        translated = str(known.string) if known is not None and known.string else ""
        lacking += not translated
        new.add(text, translated, auto_comments=[place])
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as out:
        write_po(out, new, width=96, omit_header=False, no_location=True)
    # The header keeps only what a reader needs: no dates or placeholders for names and addresses.
    lines = path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(_HEADER_NOISE)]
    path.write_text("\n".join(kept).rstrip() + "\n", encoding="utf-8")
    return lacking


if __name__ == "__main__":
    left = {
        f"{language}, {catalogue}": update(open_store(), language, catalogue)
        for language in LANGUAGES[1:]
        for catalogue in WHERE
    }
    for name, count in left.items():
        print(f"{name}: {count} messages without a translation")
    sys.exit(any(left.values()))
