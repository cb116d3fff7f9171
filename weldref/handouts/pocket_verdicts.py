"""Work out what is said of every value of a quantity, for a page that only looks it up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from weldref.core import setup
from weldref.core.cases import Ask, Word
from weldref.core.lookup import Match, find
from weldref.core.profile import Profile, edges, profile
from weldref.core.situation import LABELS, Situation, plausible_limits
from weldref.core.units import UnitSystem
from weldref.core.verdict import Evidence
from weldref.data.store import Store
from weldref.handouts.words import Words


@dataclass(frozen=True, slots=True)
class Step:
    """From `begin` (SI) up to the next step: the word, its edges and what is said beside it.

    A value that is high or low is outside by its distance from the nearer of `below` and `above`.
    """

    begin: float
    word: Word
    below: float | None
    above: float | None
    says: tuple[str, ...]


class _Rows:
    """Rows of one kind (printed, recalled or own) and their verdict on every value."""

    def __init__(self, store: Store, matches: Iterable[Match], system: UnitSystem | None) -> None:
        ranges = [m for m in matches if m.gives_verdict and m.is_range]
        self.profile = profile(store, ranges, system)
        self.evidence = Evidence(store, ranges, system)

    @property
    def cuts(self) -> set[float]:
        return {*edges(self.evidence), *(piece.begin for piece in self.profile.pieces)}

    def question(self, si: float, words: Words) -> str:
        """Write what has to be said before the value has a verdict; empty where it has one."""
        ask = self.evidence.settle(si).ask
        return question_text(ask, words) if ask else ""


def steps(
    store: Store,
    situation: Situation,
    quantity: str,
    system: UnitSystem | None,
    grade: str,
    words: Words,
) -> tuple[Step, ...]:
    """Say of every plausible value what `weldref.check` says of it alone.

    Examples
    --------
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> from weldref.handouts.words import words
    >>> store = open_store()
    >>> post = describe(store, process="SMAW", electrode="E7018", diameter="1/8")
    >>> found = steps(store, post, "current", None, "read", words("en"))
    >>> list(dict.fromkeys(step.word for step in found))
    ['low', 'inside', 'high']
    """
    matches = find(store, situation, quantity, grade)
    printed = _Rows(store, [m for m in matches if m.grade != "memory"], system)
    recalled = _Rows(store, [m for m in matches if m.grade == "memory"], system)
    own = _own(store, situation, quantity, system, grade)
    told = setup.of_value(store, situation, quantity)
    never = [band for found, band in told if found.strength == "cannot be"]
    held = printed.profile.held_back([*never, *([None] if _impossible(store, situation) else [])])
    voices = [printed, recalled, *([own] if own else [])]
    cuts = {cut for rows in voices for cut in rows.cuts} | {p.begin for p in held.pieces}
    cuts |= {edge for _, band in told for edge in band.edges}
    low, high = plausible_limits(store, quantity)
    made: list[Step] = []
    for begin in sorted({low, *(cut for cut in cuts if low < cut <= high)}):
        piece = held.at(begin)
        says = _says(begin, held, printed, recalled, words)
        says += [finding_text(found, words) for found, band in told if band.holds(begin)]
        if own:
            word = words.say(own.profile.at(begin).word).replace("published", "own")
            says.append(words.say("Own rows, which change no verdict, say: {word}.", word=word))
        step = Step(begin, piece.word, piece.below, piece.above, tuple(says))
        if not made or replace(step, begin=made[-1].begin) != made[-1]:
            made.append(step)
    return tuple(made)


def _says(begin: float, held: Profile, printed: _Rows, recalled: _Rows, words: Words) -> list[str]:
    """Say the question of a verdict that depends, why there is none, and what is recalled."""
    word = held.at(begin).word
    if word != printed.profile.at(begin).word:
        return [words.say("No verdict while the set-up cannot be.")]
    if word == "depends":
        return [printed.question(begin, words)]
    if word == "no published range" and recalled.evidence.deciding:
        said = words.say(
            "Recalled trade practice, which passes and fails nothing, says: {word}.",
            word=words.say(recalled.profile.at(begin).word),
        )
        return [text for text in (said, recalled.question(begin, words)) if text]
    return []


def _own(
    store: Store,
    situation: Situation,
    quantity: str,
    system: UnitSystem | None,
    grade: str,
) -> _Rows | None:
    """Gather own rows beside the published ones; None where none applies."""
    matches = find(store, situation, quantity, grade, own=True) if store.beside else []
    printed = [m for m in matches if m.grade != "memory" and m.gives_verdict and m.is_range]
    return _Rows(store, printed or matches, system) if matches else None


def _impossible(store: Store, situation: Situation) -> bool:
    found = (*setup.findings(store, situation), *setup.preheat_method(store, situation))
    return any(one.strength == "cannot be" for one in found)


def question_text(ask: Ask, words: Words) -> str:
    """Write a question with the word that each answer gives, without distances.

    >>> from weldref.core.cases import Answer, Ask
    >>> from weldref.handouts.words import words
    >>> other = Answer("", "no published range", None)
    >>> ask = Ask("electrode_size", (Answer("3/32 in", "high", 20.0),), other)
    >>> question_text(ask, words("en"))
    'Which diameter? 3/32 in: high; another: no published range.'
    """
    say = words.say
    answers = [
        say("{name}: {value}", name=words.term(one.value) or say("another"), value=say(one.verdict))
        for one in (*ask.answers, ask.other)
    ]
    asked, listed = say(LABELS[ask.condition]), words.listed(answers)
    return say("Which {condition}? {answers}.", condition=asked, answers=listed)


def finding_text(found: setup.SetupFinding, words: Words) -> str:
    """Write what a set-up rule says, with its exception."""
    strength = words.say(found.strength)
    text = f"{strength[:1].upper()}{strength[1:]}: {found.what.rstrip('.')}."
    if found.exception:
        text += f" {words.say('Except')}: {found.exception.rstrip('.')}."
    return text
