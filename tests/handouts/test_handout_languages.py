"""Spanish: no message is missing, no place is lost, nothing English is left on the page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.effort import ALL
from tests.handouts.pages import BRACKET, CLASS_DATE, POST, crowded, page_texts
from weldref.core.situation import describe
from weldref.core.units import parse_number
from weldref.data.store import Store
from weldref.handouts import make_handout
from weldref.handouts.handout import handout
from weldref.handouts.messages import WHERE, messages_of, own_messages
from weldref.handouts.output import pdf
from weldref.handouts.pocket import pocket_page
from weldref.handouts.practice import key_document, reference_document, sheet_document
from weldref.handouts.practice_draw import LEVELS, practice
from weldref.handouts.practice_results import is_right
from weldref.handouts.selection import select
from weldref.handouts.texts import note_text
from weldref.handouts.words import LANGUAGES, Words, has_words, words

NUMBER = re.compile(r"\d+(?:\.\d+)?")
NUMBERED = re.compile(r"[\d./,-]*\d")
METRIC = re.compile(r" \([\d.]+(?: (?:a|à) [\d.]+)? (?:mm|m|m³|C)\)|, [\d.]+ mm(?=\))")
"""What a translation may add behind inches, feet and degrees Fahrenheit."""

IMPERIAL = re.compile(
    r"([\d./,-]+(?: (?:a|à) [\d./-]+)?) (in|ft3|ft|pies cúbicos|pies|pieds cubes|pieds) \(([^)]*)\)"
)

OTHERS = [language for language in LANGUAGES if language != "en"]
SHEETS = ((POST, "bench-card"), (BRACKET, "booklet"), ({"process": "OFC"}, "wall-chart"))


def test_no_message_is_missing_or_left_over(store: Store) -> None:
    every = {text for catalogue in WHERE for text in messages_of(store, catalogue)}
    for language in OTHERS:
        known = set(words(language).messages)
        assert every <= known, "run python -m weldref.handouts.messages, translate what it adds"
        assert known <= every


def with_commas(text: str) -> str:
    """Write thousands with a comma, as in English; there 10,000 is ten."""
    return re.sub(r"(?<=\d)\u00a0(?=\d{3}\b)", ",", text)


@pytest.mark.parametrize("language", OTHERS)
def test_places_and_numbers_survive_translation(language: str) -> None:
    for english, written in words(language).messages.items():
        other = with_commas(written)
        assert set(re.findall(r"{\w+}", english)) == set(re.findall(r"{\w+}", other)), english
        # "nil" is said in words; every number of the data stays as it is.
        plain = METRIC.sub("", other) if METRIC.search(other) else other
        same = set(NUMBER.findall(english)) in (set(NUMBER.findall(t)) for t in (plain, other))
        assert same, english


@pytest.mark.parametrize("language", OTHERS)
def test_inches_and_feet_have_the_metric_beside_them(language: str) -> None:
    """A translator's conversion is right: 1 in is 25.4 mm (and 1 ft 0.3048 m) by definition."""
    scale = {"in": 25.4, "ft": 0.3048, "pies": 0.3048, "pieds": 0.3048}
    found = 0
    for other in map(with_commas, words(language).messages.values()):
        for amount, unit, metric in IMPERIAL.findall(other):
            if "{" in metric or not re.search(r"\d (mm|m|m³)$", metric):
                continue
            factor = scale.get(unit, 0.3048**3)
            wanted = [parse_number(n.replace(",", "")) or 0 for n in NUMBERED.findall(amount)]
            given = [float(n) for n in NUMBER.findall(metric)]
            for one, shown in zip(wanted, given, strict=True):
                assert shown == pytest.approx(one * factor, rel=0.06), other
            found += 1
    assert found > 15


def test_the_code_says_nothing_past_the_catalogue() -> None:
    """Every literal on paper goes through `say` or `later`: the catalogue knows over a hundred."""
    assert len(dict(own_messages())) > 100


@pytest.mark.parametrize("language", OTHERS)
def test_every_word_printed_was_translated_and_nothing_runs_over(
    store: Store, language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a change each document is drawn in one language, with ``--all`` in every one."""
    lost: set[str] = set()
    say, term = Words.say, Words.term

    def strict_say(self: Words, message: str, **values: object) -> str:
        if message not in self.messages and self.language != "en":
            lost.add(message)
        return say(self, message, **values)

    def strict_term(self: Words, text: str) -> str:
        if has_words(text) and text not in self.messages and self.language != "en":
            lost.add(text)
        return term(self, text)

    monkeypatch.setattr(Words, "say", strict_say)
    monkeypatch.setattr(Words, "term", strict_term)
    turn = OTHERS.index(language)
    for number, (conditions, kind) in enumerate(SHEETS):
        wide = {"also_seen": True, "quantity": "all"} if kind == "booklet" else {}
        document = handout(store, select(store, conditions, language=language, kind=kind, **wide))  # type: ignore[arg-type]
        if ALL or number % 2 == turn:
            assert crowded(pdf(document).content) == [], kind
    for number, level in enumerate(LEVELS):
        made = practice(level=level, language=language, seed=3)
        reference_document(made)
        sheet, key = sheet_document(made), key_document(made)
        if ALL or number % 2 == turn:
            drawn = pdf(sheet)
            assert crowded(drawn.content) + crowded(pdf(key).content) == [], level
            assert drawn.pages == 1, level
    for topic in ("symbols", "wps"):
        key_document(practice(topic=topic, language=language, seed=3))
    pocket_page(store, BRACKET, language=language)
    assert lost == set()


@pytest.mark.parametrize("language", OTHERS)
def test_an_answer_counts_in_any_language(language: str) -> None:
    for expected in ("right", "wrong", "ask"):
        assert is_right(words(language).say(expected), expected)


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
