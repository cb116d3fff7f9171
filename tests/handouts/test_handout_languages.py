"""Spanish: no message is missing, no place is lost, nothing English is left on the page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.handouts.pages import BRACKET, CLASS_DATE, POST, RAMP, page_texts
from weldref.core.situation import describe
from weldref.data.store import Store
from weldref.handouts import make_handout, make_practice
from weldref.handouts.messages import all_messages, missing, own_messages
from weldref.handouts.titles import note_text
from weldref.handouts.words import LANGUAGES, Words, has_words, words

OTHERS = [language for language in LANGUAGES if language != "en"]


@pytest.mark.parametrize("language", OTHERS)
def test_no_message_is_missing(store: Store, language: str) -> None:
    lacking = missing(store, language)
    assert not lacking, "run python -m weldref.handouts.messages and translate what it adds"


@pytest.mark.parametrize("language", OTHERS)
def test_no_message_is_left_over(store: Store, language: str) -> None:
    assert set(words(language).messages) <= set(all_messages(store))


@pytest.mark.parametrize("language", OTHERS)
def test_places_and_numbers_survive_translation(language: str) -> None:
    for english, other in words(language).messages.items():
        assert set(re.findall(r"{\w+}", english)) == set(re.findall(r"{\w+}", other)), english
        # "nil" is said in words; every number of the data stays as it is.
        assert set(re.findall(r"\d+(?:\.\d+)?", english)) == set(
            re.findall(r"\d+(?:\.\d+)?", other)
        ), english


def test_the_code_says_nothing_past_the_catalogue() -> None:
    """Every literal on paper goes through `say` or `later`: the catalogue knows over a hundred."""
    assert len(dict(own_messages())) > 100


@pytest.mark.parametrize("ending", ["pdf", "html", "csv"])
def test_every_word_printed_in_spanish_was_translated(
    tmp_path: Path, ending: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    lost: set[str] = set()
    say, term = Words.say, Words.term

    def strict_say(self: Words, message: str, **values: object) -> str:
        if message not in self.messages:
            lost.add(message)
        return say(self, message, **values)

    def strict_term(self: Words, text: str) -> str:
        if has_words(text) and text not in self.messages:
            lost.add(text)
        return term(self, text)

    monkeypatch.setattr(Words, "say", strict_say)
    monkeypatch.setattr(Words, "term", strict_term)
    for number, conditions in enumerate((POST, BRACKET, RAMP, {"process": "OFC"})):
        make_handout(
            tmp_path / f"{number}.{ending}", **conditions, quantity="all", also_seen=True,
            language="es", kind="booklet" if number else "bench-card",
        )  # fmt: skip
    for level in ("first-week", "bench", "inspector"):
        make_practice(tmp_path / f"{level}.{ending}", level=level, language="es", seed=3)
    assert lost == set()


def test_spanish_page_names_its_language_and_defers(tmp_path: Path) -> None:
    import pikepdf

    (made,) = make_handout(
        tmp_path / "es.pdf", **POST, language="es", date=CLASS_DATE, kind="booklet"
    )
    with pikepdf.open(made) as document:
        assert str(document.Root.Lang) == "es"
    # Documents are cited in their own words.
    text, _ = " ".join(page_texts(made.read_bytes())).split("Fuentes", 1)
    assert "una persona calificada" in text
    assert "Los rayos del arco queman" in text
    assert "sin intervalo publicado" in text
    assert "from memory" not in text
    assert "no published range" not in text


@pytest.mark.parametrize(
    "conditions",
    [
        {"electrode": "E7018-1-H4R"},
        {"electrode": "E71T-12M-JH8"},
        {"diameter": "0.777 in"},
        {"thickness": "11 ga"},
    ],
)
def test_notes_of_the_engine_are_said_in_spanish(store: Store, conditions: dict[str, str]) -> None:
    notes = describe(store, **conditions).notes  # type: ignore[arg-type]
    for note in notes:
        assert note_text(note, words("en")) == f"note: {note}"
        assert note_text(note, words("es")) != f"nota: {note}", note
    if "electrode" not in conditions:
        assert notes
