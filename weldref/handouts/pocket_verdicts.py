"""Work out what is said of every value of a quantity, for a page that only looks it up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from weldref.core import setup
from weldref.core.cases import Ask, Word
from weldref.core.check import judge_in_set_up
from weldref.core.lookup import Match, find
from weldref.core.profile import edges, profile
from weldref.core.situation import LABELS, Situation, plausible_limits, quantity_row
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence
from weldref.data.store import Store
from weldref.handouts.facts import rule_text
from weldref.handouts.settings import stated_text
from weldref.handouts.words import Words, later
from weldref.text import verdict_word


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


Never = Sequence[setup.Band | None]
"""Bands of values that nothing passes; None stands for every value."""


class _Rows:
    """Rows of one kind (printed, recalled or own) and their verdict on every value."""

    def __init__(
        self, store: Store, matches: Iterable[Match], system: UnitSystem | None, never: Never
    ) -> None:
        ranges = [m for m in matches if m.gives_verdict and m.is_range]
        self.store = store
        self.alone = profile(store, ranges, system)
        self.profile = self.alone.held_back(never)
        self.evidence = Evidence(store, ranges, system)

    @property
    def cuts(self) -> set[float]:
        return {*edges(self.evidence), *(piece.begin for piece in self.profile.pieces)}

    def question(self, si: float, words: Words) -> str:
        """Write what has to be said before the value has a verdict; empty where it has one."""
        ask = self.evidence.settle(si).ask
        return question_text(self.store, ask, words) if ask else ""

    def recalled(self, si: float, words: Words) -> list[str]:
        """Say what recalled practice holds of a value, and the question where it depends."""
        word = self.profile.at(si).word
        ask = self.evidence.settle(si).ask if word == "depends" else None
        if ask and len(ask.answers) == 1:
            # All that is recalled holds for one value: no question leads further.
            (answer,) = ask.answers
            said = later(
                "Recalled trade practice, which passes and fails nothing, says for {case}: {word}."
            )
            case, verdict = words.term(answer.value), words.say(answer.verdict)
            return [words.say(said, case=case, word=verdict)]
        said = later("Recalled trade practice, which passes and fails nothing, says: {word}.")
        asked = [question_text(self.store, ask, words)] if ask else []
        return [words.say(said, word=words.say(word)), *asked]


def steps(
    store: Store,
    situation: Situation,
    quantity: str,
    system: UnitSystem | None,
    grade: str,
    words: Words,
) -> tuple[Step, ...]:
    """Say of every plausible value what `weldref.check` says of it alone."""
    matches = find(store, situation, quantity, grade)
    told = setup.of_value(store, situation, quantity)
    never: list[setup.Band | None] = [None] if _nothing_passes(store, situation) else []
    never += [band for found, band in told if found.holds_back]
    printed = _Rows(store, [m for m in matches if m.grade != "memory"], system, never)
    recalled = _Rows(store, [m for m in matches if m.grade == "memory"], system, never)
    own = _own(store, situation, quantity, system, grade, never)
    voices = [printed, recalled, *([own] if own else [])]
    cuts = {cut for rows in voices for cut in rows.cuts}
    cuts |= {edge for _, band in told for edge in band.edges}
    low, high = plausible_limits(store, quantity)
    made: list[Step] = []
    for begin in sorted({low, *(cut for cut in cuts if low < cut <= high)}):
        piece = printed.profile.at(begin)
        says = _says(begin, printed, recalled, words)
        says += _kinds(store, situation, quantity, begin, piece.word, grade, words)
        says += [rule_text(found, words) for found, band in told if band.holds(begin)]
        if own:
            word = words.say(verdict_word(own.profile.at(begin).word, own=True))
            says.append(words.say("Own rows, which change no verdict, say: {word}.", word=word))
        step = Step(begin, piece.word, piece.below, piece.above, tuple(says))
        if not made or replace(step, begin=made[-1].begin) != made[-1]:
            made.append(step)
    return tuple(made)


def _says(begin: float, printed: _Rows, recalled: _Rows, words: Words) -> list[str]:
    """Say the question of a verdict that depends, why there is none, and what is recalled."""
    word = printed.profile.at(begin).word
    if word != printed.alone.at(begin).word:
        return [words.say("No verdict: nothing passes in this set-up.")]
    if word == "depends":
        return [printed.question(begin, words)]
    told = recalled.evidence.deciding or recalled.profile.at(begin).word != "no published range"
    if word == "no published range" and told:
        return recalled.recalled(begin, words)
    return []


def _kinds(
    store: Store,
    situation: Situation,
    quantity: str,
    si: float,
    word: Word,
    grade: str,
    words: Words,
) -> list[str]:
    """Ask for the kind of metal where a code was named and nothing fits the metal."""
    if word != "no published range" or not {"scope", "material"} <= situation.terms.keys():
        return []
    row = quantity_row(store, quantity)
    unit = row["us_unit"]
    value = Value(Units(store).convert(si, unit), unit, si, "")
    ask = judge_in_set_up(store, situation, quantity, value, grade, ()).ask
    return [question_text(store, ask, words)] if ask else []


def _own(
    store: Store,
    situation: Situation,
    quantity: str,
    system: UnitSystem | None,
    grade: str,
    never: Never,
) -> _Rows | None:
    """Gather own rows beside the published ones; None where none applies."""
    matches = find(store, situation, quantity, grade, own=True) if store.beside else []
    printed = [m for m in matches if m.grade != "memory" and m.gives_verdict and m.is_range]
    return _Rows(store, printed or matches, system, never) if matches else None


def _nothing_passes(store: Store, situation: Situation) -> bool:
    found = (*setup.findings(store, situation), *setup.preheat_method(store, situation))
    return any(one.holds_back for one in found)


def question_text(store: Store, ask: Ask, words: Words) -> str:
    """Write a question with the word that each answer gives, without distances."""
    say, answers = words.say, []
    for one in ask.answers:
        name = words.term(one.value)
        if one.rows:
            name = stated_text(store, one.rows[0], ask.condition, one.value, words)
        answers.append(say("{name}: {value}", name=name, value=say(one.verdict)))
    answers.append(say("{name}: {value}", name=say("another"), value=say(ask.other.verdict)))
    asked, listed = say(LABELS[ask.condition]), words.listed(answers)
    return say("Which {condition}? {answers}.", condition=asked, answers=listed)
