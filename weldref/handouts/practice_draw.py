"""Draw practice sheets from a seed; no sheet shares anything with its neighbours."""

from __future__ import annotations

import base64
import datetime
import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass

from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.handouts.arithmetic import QUESTIONS, Question
from weldref.handouts.mistakes import ticket
from weldref.handouts.practice_pool import Draw, Pool
from weldref.handouts.selection import LONGEST_TITLE, Given, day, line, one_of, several, sheet_paper
from weldref.handouts.tickets import Finding, Ticket
from weldref.handouts.words import Words, later, words

Slot = tuple[str, str]
Judged = tuple[Ticket, tuple[Finding, ...]]

MOST_SHEETS = 60
LONGEST_SEED = 80
SHORT_SEED = 12
"""A seed with fewer characters may be guessed."""

NEIGHBOURS = 2
"""How many sheets before a sheet share no ticket or question with it."""

TOPICS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    later("settings"): (("setting", "unit"), ("start", "wire", "gauge")),
    later("set-up"): (("set-up",), ()),
    later("gas"): (("gas",), ()),
    later("polarity"): (("polarity",), ()),
    later("preheat"): (("preheat", "depends"), ("carbon",)),
    later("symbols"): ((), ("gap", "symbol throat", "fillet")),
    later("heat-input"): (("heat",), ("heat",)),
    later("shade"): ((), ("shade",)),
    later("wps"): (("procedure", "written"), ()),
}
"""What a sheet may be about: families of tickets and kinds of questions."""

# What a sheet holds: tickets with or without a planted mistake ("?" leaves it to chance), then
# questions.
LEVELS: dict[str, tuple[tuple[Slot, ...], tuple[str, ...]]] = {
    later("first-week"): (
        (
            ("setting", "yes"), ("setting", "no"), ("setting", "?"), ("polarity", "?"),
            ("unit", "?"), ("set-up", "?"),
        ),
        ("wire", "throat"),
    ),
    later("bench"): (
        (
            ("setting", "?"), ("polarity", "?"), ("gas", "?"),
            ("unit", "?"), ("heat", "?"), ("procedure", "?"), ("set-up", "?"),
        ),
        ("heat", "shade"),
    ),
    later("inspector"): (
        (
            ("setting", "?"), ("preheat", "?"), ("depends", "yes"),
            ("gas", "yes"), ("heat", "?"), ("procedure", "?"), ("written", "?"),
        ),
        ("heat", "carbon"),
    ),
}  # fmt: skip
TICKETS, ASKED = 6, 2
"""Tickets and questions of a sheet on chosen topics."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One practice sheet: its tickets with the findings of each, and its questions."""

    number: int
    tickets: tuple[Judged, ...]
    questions: tuple[Question, ...]

    @property
    def asked(self) -> tuple[tuple[Ticket | Question, tuple[Finding, ...]], ...]:
        """Tickets, then questions, in the order of their numbers."""
        return (*self.tickets, *((question, ()) for question in self.questions))


@dataclass(frozen=True, slots=True)
class Practice:
    """Sheets and what they were drawn from; topics in `left_out` have nothing for this class."""

    store: Store
    words: Words
    title: str
    level: str
    seed: str
    code: str
    about: str
    left_out: tuple[str, ...]
    sheets: tuple[Sheet, ...]
    paper: str
    date: str


def practice(
    *,
    seed: str | int | None = None,
    sheets: int = 1,
    level: str = "bench",
    process: Given = None,
    metal: Given = None,
    thickness: Given = None,
    topic: Given = None,
    language: str = "en",
    paper: str = "letter",
    title: str = "",
    date: datetime.date | str | None = None,
) -> Practice:
    """Draw practice sheets.

    Parameters
    ----------
    seed
        The seed of a key, to draw its sheets again; random when left out.
    sheets
        How many different sheets.
    level
        "first-week", "bench" or "inspector".
    process, metal, thickness
        What the class welds, one or several; anything when left out.
    topic
        One or several of `TOPICS`; those of the level when left out.
    language, paper, title, date
        As for `weldref.handouts.make_handout`.
    """
    one_of("--level", level, tuple(LEVELS))
    printed_on, topics = sheet_paper(paper), several(topic)
    for one in topics:
        one_of("--topic", one, tuple(TOPICS))
    if not 1 <= sheets <= MOST_SHEETS:
        raise InputError(f"--sheets: {sheets} is not accepted; give 1 to {MOST_SHEETS}")
    say, store = words(language), open_store()
    named = line("--title", title, LONGEST_TITLE) or say.say("Practice sheet")
    pool = Pool(store, several(process), several(metal), several(thickness))
    text = line("--seed", "" if seed is None else str(seed), LONGEST_SEED)
    text = text or secrets.token_hex(10)
    about = "; ".join(filter(None, (pool.narrowed, ", ".join(topics))))
    drawn, left_out = draw_sheets(pool, f"{text} {about}", sheets, level, topics)
    return Practice(
        store, say, named, level, text, code_of(f"{text} {about} {level}"), about, left_out,
        drawn, printed_on, day(date),
    )  # fmt: skip


def code_of(secret: str) -> str:
    """Make the code of a set of sheets, from which its secret cannot be computed."""
    digest = hashlib.sha256(f"practice sheet {secret}".encode()).digest()
    return base64.b32encode(digest).decode()[:8]


def draw_sheets(
    pool: Pool, seed: str, sheets: int, level: str, topics: Sequence[str] = ()
) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
    """Draw sheets that share nothing with their neighbours.

    Return with them the topics for which the tables have nothing for this class.
    """
    planned, asked = _plan(level, topics)
    ways = {"yes": (True,), "no": (False,), "?": (True, False)}
    families = {family for family, _ in planned} | (set() if topics else set(FILLING))
    can = {
        (family, planted)
        for family in families
        for planted in (True, False)
        if ticket(pool, Draw(f"probe {family}"), family, planted=planted, tries=PROBES)
    }
    slots = [slot for slot in planned if any((slot[0], way) in can for way in ways[slot[1]])]
    known = {kind for kind in QUESTIONS if QUESTIONS[kind](pool, Draw("probe"))}
    questions = [kind for kind in asked if kind in known]
    if not topics:
        _fill(slots, questions, len(planned) + len(asked), can, known)
    wanted = {*(family for family, _ in planned), *asked}
    had = {*(family for family, _ in slots), *questions}
    left_out = tuple(
        topic
        for topic, (tickets, kinds) in TOPICS.items()
        if {*tickets, *kinds} & wanted and not {*tickets, *kinds} & had
    )
    if not slots and not questions:
        what = pool.narrowed or "this class"
        raise InputError(
            f"practice: the tables hold nothing to draw these topics from for {what}; choose "
            f"other topics, processes or metals"
        )
    found: list[Sheet] = []
    for number in range(1, sheets + 1):
        draw = Draw(f"{level} {seed} {number}")
        taken = {_key(one) for sheet in found[-NEIGHBOURS:] for one, _ in sheet.asked}
        found.append(_draw_sheet(pool, draw, number, slots, questions, taken, can))
    return tuple(found), left_out


def _fill(
    slots: list[Slot],
    questions: list[str],
    wanted: int,
    can: set[tuple[str, bool]],
    known: set[str],
) -> None:
    """Fill up a sheet if its class lacks printed ranges: with set-ups, procedures, questions."""
    for planted in (True, False):
        for family in FILLING:
            both = (family, not planted) in can
            if len(slots) + len(questions) < wanted and (family, planted) in can and both:
                slots.append((family, "yes" if planted else "no"))
    if not slots and ("set-up", True) in can:
        slots.append(("set-up", "yes"))
    more = [kind for kind in QUESTIONS if kind in known and kind not in questions] * 3
    questions += more[: max(0, wanted - len(slots) - len(questions))]


FILLING = ("set-up", "written")
PROBES = 40


def _plan(level: str, topics: Sequence[str]) -> tuple[list[Slot], list[str]]:
    """List the tickets and questions of a sheet."""
    slots, questions = LEVELS[level]
    if not topics:
        return list(slots), list(questions)
    families = [family for topic in topics for family in TOPICS[topic][0]]
    kinds = [kind for topic in topics for kind in TOPICS[topic][1]]
    tickets = TICKETS if families else 0
    wanted = ("yes", "no", "?")
    chosen = [(families[n % len(families)], wanted[n // len(families) % 3]) for n in range(tickets)]
    count = ASKED if families else TICKETS
    return chosen, [kinds[n % len(kinds)] for n in range(count)] if kinds else []


def _key(one: Ticket | Question) -> str:
    """Return what must differ between neighbours."""
    if isinstance(one, Question):
        return str((one.message, one.values))
    return str((one.conditions, one.readings, one.shown, one.recorded_heat, one.numbers))


def _draw_sheet(
    pool: Pool,
    draw: Draw,
    number: int,
    slots: Sequence[Slot],
    kinds: Sequence[str],
    taken: set[str],
    can: set[tuple[str, bool]],
) -> Sheet:
    tickets: list[Judged] = []
    for family, wanted in slots:
        planted = wanted == "yes" or (wanted == "?" and draw.between(0, 1) < 0.5)
        planted = planted if (family, planted) in can else not planted
        met = [other.conditions for other, _ in tickets]
        for attempt in range(MOST_TRIES):
            drawn = ticket(pool, draw, family, planted=planted)
            if drawn is None or _key(drawn[0]) in taken:
                continue
            # A job that the sheet does not have yet, if possible.
            if drawn[0].conditions not in met or attempt > MOST_TRIES // 4:
                break
        else:
            raise InputError(TOO_LITTLE)
        taken.add(_key(drawn[0]))
        tickets.append(drawn)
    mixed = tuple(draw.mixed(tickets))
    questions: list[Question] = []
    for kind in kinds:
        for _ in range(MOST_TRIES):
            asked = QUESTIONS[kind](pool, draw)
            if asked is not None and _key(asked) not in taken:
                break
        else:
            raise InputError(TOO_LITTLE)
        taken.add(_key(asked))
        questions.append(asked)
    return Sheet(number, mixed, tuple(questions))


MOST_TRIES = 80
TOO_LITTLE = (
    "practice: too little is published for so many different tickets; choose more topics, "
    "processes or metals, or fewer sheets"
)
