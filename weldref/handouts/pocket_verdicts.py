"""Work out the verdict on every value of a quantity, for a page that only looks it up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from weldref.core import setup
from weldref.core.cases import Ask, Word
from weldref.core.check import judge_in_set_up
from weldref.core.lookup import Match, find
from weldref.core.profile import edges, profile
from weldref.core.situation import LABELS, Situation, plausible_limits, quantity_row
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import Evidence
from weldref.data.store import Store
from weldref.handouts.settings import stated_text
from weldref.handouts.texts import rule_text
from weldref.handouts.words import Words, later
from weldref.text import verdict_word


class Step(NamedTuple):
    """From `begin` (SI) up to the next step: the word, its edges and further sentences.

    A value that is high or low is outside by its distance from the nearer of `below` and `above`.
    """

    begin: float
    word: Word
    below: float | None
    above: float | None
    says: tuple[str, ...]


Never = Sequence[setup.Band | None]
"""Bands of values that nothing passes; None means every value."""


class _Rows:
    """Rows of one kind (printed, recalled or own) and their verdict on every value."""

    def __init__(
        self, store: Store, matches: Iterable[Match], system: UnitSystem | None, never: Never
    ) -> None:
        ranges = [m for m in matches if m.gives_verdict and m.is_range]
        self.alone = profile(store, ranges, system)
        self.profile = self.alone.held_back(never)
        self.evidence = Evidence(store, ranges, system)
        self.cuts = {*edges(self.evidence), *(piece.begin for piece in self.profile.pieces)}


@dataclass(frozen=True, slots=True)
class Asked:
    """The quantity whose values are judged; `system` is that of their unit."""

    store: Store
    situation: Situation
    quantity: str
    system: UnitSystem | None
    grade: str
    words: Words

    def steps(self) -> tuple[Step, ...]:
        """Return what `weldref.check` says of every plausible value, as steps."""
        store, situation, say = self.store, self.situation, self.words.say
        matches = find(store, situation, self.quantity, self.grade)
        told = setup.of_value(store, situation, self.quantity)
        found = (*setup.findings(store, situation), *setup.preheat_method(store, situation))
        never: list[setup.Band | None] = [None] if any(f.holds_back for f in found) else []
        never += [band for rule, band in told if rule.holds_back]

        def rows(matches: Iterable[Match]) -> _Rows:
            return _Rows(store, matches, self.system, never)

        printed = rows(m for m in matches if m.grade != "memory")
        recalled = rows(m for m in matches if m.grade == "memory")
        cuts = printed.cuts | recalled.cuts | {edge for _, band in told for edge in band.edges}
        own = None
        if store.beside and (beside := find(store, situation, self.quantity, self.grade, own=True)):
            seen = [m for m in beside if m.grade != "memory" and m.gives_verdict and m.is_range]
            own = rows(seen or beside)
            cuts |= own.cuts
        low, high = plausible_limits(store, self.quantity)
        made: list[Step] = []
        for begin in sorted({low, *(cut for cut in cuts if low < cut <= high)}):
            piece = printed.profile.at(begin)
            says = [*self._says(begin, printed, recalled), *self._kinds(begin, piece.word)]
            says += [rule_text(rule, self.words) for rule, band in told if band.holds(begin)]
            if own:
                word = say(verdict_word(own.profile.at(begin).word, own=True))
                says.append(say("Own rows, which change no verdict, say: {word}.", word=word))
            step = Step(begin, piece.word, piece.below, piece.above, tuple(says))
            if not made or step[1:] != made[-1][1:]:
                made.append(step)
        return tuple(made)

    def _says(self, si: float, printed: _Rows, recalled: _Rows) -> list[str]:
        """Say what a verdict depends on, or why there is none, and what is recalled."""
        say, word = self.words.say, printed.profile.at(si).word
        if word != printed.alone.at(si).word:
            return [say("No verdict: nothing passes in this set-up.")]
        if word == "depends":
            ask = printed.evidence.settle(si).ask
            return [self._question(ask) if ask else ""]
        said = recalled.profile.at(si).word
        if word != "no published range" or not (recalled.evidence.deciding or said != word):
            return []
        ask = recalled.evidence.settle(si).ask if said == "depends" else None
        if ask and len(ask.answers) == 1:
            # All recalled rows hold for one value: a question would not help.
            message = later(
                "Recalled trade practice, which passes and fails nothing, says for {case}: {word}."
            )
            (answer,) = ask.answers
            return [say(message, case=self.words.term(answer.value), word=say(answer.verdict))]
        message = later("Recalled trade practice, which passes and fails nothing, says: {word}.")
        return [say(message, word=say(said)), *([self._question(ask)] if ask else [])]

    def _kinds(self, si: float, word: Word) -> list[str]:
        """Ask for the kind of metal if a code was named and none of its rows fits the metal."""
        if word != "no published range" or not {"scope", "material"} <= self.situation.terms.keys():
            return []
        unit = quantity_row(self.store, self.quantity)["us_unit"]
        value = Value(Units(self.store).convert(si, unit), unit, si, "")
        asked = (self.store, self.situation, self.quantity, value, self.grade, ())
        ask = judge_in_set_up(*asked).ask
        return [self._question(ask)] if ask else []

    def _question(self, ask: Ask) -> str:
        """Write a question with the word that each answer gives, without distances."""
        say, answers = self.words.say, []
        for one in ask.answers:
            name = self.words.term(one.value)
            if one.rows:
                name = stated_text(self.store, one.rows[0], ask.condition, one.value, self.words)
            answers.append(say("{name}: {value}", name=name, value=say(one.verdict)))
        answers.append(say("{name}: {value}", name=say("another"), value=say(ask.other.verdict)))
        asked, listed = say(LABELS[ask.condition]), self.words.listed(answers)
        return say("Which {condition}? {answers}.", condition=asked, answers=listed)
