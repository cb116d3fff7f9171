"""Resolve the repeated options of a handout to its situations and quantities."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import prod
from pathlib import Path
from typing import Any, Literal, get_args

from weldref.advice.choices import is_cutting
from weldref.core.situation import Situation, describe
from weldref.core.terms import Vocabulary
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import GRADES
from weldref.handouts.conversion import Shown
from weldref.handouts.words import Words, words

Paper = Literal["letter", "a4", "tabloid", "a3", "a2"]
Kind = Literal["bench-card", "half-card", "wall-chart", "booklet"]
Given = str | float | Sequence[str | float] | None

CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "diameter",
    "thickness", "joint", "position", "polarity", "gas", "tungsten", "code",
)  # fmt: skip
"""What may be given once or several times; every combination is a situation of the sheet."""

SIZES = ("thickness", "diameter")
"""Conditions that are lengths: a bare fraction of one is of an inch."""

MOST_SITUATIONS = 60
LONGEST_TITLE = 120
MOST_PAGES = 6
"""Pages over which a wall chart is split."""

BENCH = (
    "current", "voltage", "wire_feed_speed", "travel_speed", "gas_flow", "plasma_gas_flow",
    "fuel_pressure", "oxygen_pressure", "contact_tip_distance", "electrode_extension",
    "arc_length", "standoff", "electrode_diameter", "tip_orifice", "preheat", "interpass",
    "heat_input",
)  # fmt: skip
"""What is set, measured or chosen at the bench: what a sheet shows when no quantity is named."""

FOR_A_FILLET = ("minimum_fillet_size",)
FOR_WELDING_ONLY = ("preheat", "interpass", "heat_input")
EVERYTHING = "all"


@dataclass(frozen=True, slots=True)
class Selection:
    """What a sheet shows and how."""

    situations: tuple[Situation, ...]
    """Every combination of what was given; a wall chart makes its own, row by row."""

    given: dict[str, list[str]]
    """What was given of each condition, as it was typed."""

    quantities: tuple[str, ...] | None
    """Stored names; None stands for what is set at the bench, () for every published one."""

    shown: Shown
    grade: str
    also_seen: bool
    kind: Kind
    paper: Paper
    landscape: bool
    pages: int
    title: str
    address: str | None
    date: datetime.date
    words: Words
    school: Mapping[str, str | None]
    """What is given of the school's header for this sheet alone."""

    @property
    def typed(self) -> UnitSystem:
        """The unit system in which bare numbers are read, and in which a chart is printed."""
        return "metric" if self.shown == "metric" else "us"


def select(
    store: Store,
    conditions: Mapping[str, Given],
    *,
    quantity: Given = None,
    units: str = "both",
    grade: str = "memory",
    also_seen: bool = False,
    kind: str = "bench-card",
    paper: str = "letter",
    landscape: bool = False,
    pages: int = 1,
    language: str = "en",
    title: str = "",
    address: str | None = None,
    date: datetime.date | str | None = None,
    school: str | None = None,
    course: str | None = None,
    instructor: str | None = None,
    logo: str | None = None,
    colour: str | None = None,
) -> Selection:
    """Resolve what was asked for; a refusal is one sentence that names the option.

    The school's header from its name to its colour comes last.
    """
    one_of("--units", units, ("us", "metric", "both"))
    one_of("--grade", grade, GRADES)
    one_of("--kind", kind, get_args(Kind))
    one_of("--paper", paper, get_args(Paper))
    if not 1 <= pages <= MOST_PAGES:
        raise InputError(f"--pages: {pages} is not accepted; give 1 to {MOST_PAGES}")
    shown: Any = units
    typed: UnitSystem = "metric" if units == "metric" else "us"
    given = chosen(conditions)
    return Selection(
        situations=() if kind == "wall-chart" else situations(store, given, typed),
        given=given,
        quantities=_quantities(store, several(quantity)),
        shown=shown,
        grade=grade,
        also_seen=also_seen,
        kind=kind,  # type: ignore[arg-type]
        paper=paper,  # type: ignore[arg-type]
        landscape=landscape,
        pages=pages,
        title=line("--title", title, LONGEST_TITLE),
        address=web_address(address) if address else None,
        date=day(date),
        words=words(language),
        school={"name": school, "course": course, "instructor": instructor, "logo": logo,
                "colour": colour},
    )  # fmt: skip


def chosen(conditions: Mapping[str, Given]) -> dict[str, list[str]]:
    """Read what was given of each condition; refuse nothing at all."""
    given = {name: several(conditions.get(name)) for name in CONDITIONS}
    for name in SIZES:
        given[name] = [inch_fraction(text) for text in given[name]]
    found = {name: texts for name, texts in given.items() if texts}
    if not found:
        raise InputError(
            "handout: nothing is chosen; give at least one of --process, --material, "
            "--electrode, --thickness"
        )
    return found


def situations(
    store: Store, given: Mapping[str, Sequence[str]], units: UnitSystem
) -> tuple[Situation, ...]:
    """Resolve every combination of the conditions, each once; refuse too many."""
    count = prod(len(texts) for texts in given.values())
    if count > MOST_SITUATIONS:
        raise InputError(
            f"handout: the options make {count} situations; choose at most {MOST_SITUATIONS}"
        )
    found: dict[str, Situation] = {}
    for combination in product(*given.values()):
        keywords: dict[str, Any] = dict(zip(given, combination, strict=True))
        situation = describe(store, **keywords, units=units)
        found.setdefault(str(situation.given()), situation)
    return tuple(found.values())


def several(given: Given) -> list[str]:
    """Read an option that may be given once, several times or not at all.

    >>> several(None), several("1/8"), several(["1/8", " ", "1/8", "1/4"])
    ([], ['1/8'], ['1/8', '1/4'])
    """
    values = [given] if isinstance(given, (str, int, float)) else given or ()
    texts = [f"{v:g}" if isinstance(v, (int, float)) else str(v).strip() for v in values]
    return list(dict.fromkeys(text for text in texts if text))


def inch_fraction(text: str) -> str:
    """Read a bare fraction as inches, whatever the sheet's units: nobody writes 1/4 mm.

    >>> inch_fraction("1/4"), inch_fraction("6"), inch_fraction("1-1/2 in")
    ('1/4 in', '6', '1-1/2 in')
    """
    return f"{text} in" if re.fullmatch(r"(?:\d+[- ])?\d+/\d+", text) else text


def one_of(option: str, value: str, accepted: Sequence[str]) -> None:
    """Refuse a word that is not one of those accepted."""
    if value not in accepted:
        raise InputError(f"{option}: '{value}' is not accepted; give {' or '.join(accepted)}")


def line(option: str, text: str, longest: int) -> str:
    r"""Read a text that must fit on a line or two: no control characters, not too long.

    >>> line("--title", "Footbridge\tclass ", 40)
    'Footbridge class'
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if len(plain) > longest:
        raise InputError(f"{option}: {len(plain):,} characters are too many; give up to {longest}")
    return plain


def web_address(text: str) -> str:
    """Read the address of a dashboard."""
    plain = text.strip()
    if len(plain) > 200 or not re.fullmatch(r"https?://[^\s/?#<>\"'@]+(/[^\s?#<>\"']*)?", plain):
        raise InputError(
            "--address: give where the dashboard answers, for example http://192.0.2.7:8501"
        )
    return plain.rstrip("/")


def day(given: datetime.date | str | None) -> datetime.date:
    """Read a date; today when none is given."""
    if given is None or given == "":
        return datetime.date.today()
    if isinstance(given, datetime.date):
        return given
    try:
        return datetime.date.fromisoformat(given)
    except ValueError:
        raise InputError(
            f"--date: '{given}' is not a date; give year-month-day, for example 2026-11-25"
        ) from None


def read_lines(option: str, path: Path, largest: int) -> list[str]:
    """Read the lines of a file; refuse what is too large or is not text in UTF-8."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{option}: '{path}' cannot be read: {error.strerror}") from None
    if len(content) > largest:
        raise InputError(f"{option}: '{path.name}' is larger than {largest:,} bytes")
    try:
        return content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise InputError(f"{option}: '{path.name}' is not a text file in UTF-8") from None


def _quantities(store: Store, typed: list[str]) -> tuple[str, ...] | None:
    if not typed:
        return None
    if any(text.casefold() == EVERYTHING for text in typed):
        return ()
    vocabulary = Vocabulary(store)
    return tuple(dict.fromkeys(vocabulary.quantity(text) for text in typed))


# A store holds one content of the tables for good: what is kept by store cannot go stale.
@lru_cache(maxsize=16)
def quantity_names(store: Store) -> dict[str, str]:
    """Return what each quantity is called, in the order of the table of quantities."""
    rows = store.rows("SELECT quantity, name FROM quantities ORDER BY rowid")
    return {row["quantity"]: row["name"] for row in rows}


def quantities_for(store: Store, situation: Situation, selection: Selection) -> tuple[str, ...]:
    """List the quantities to show for a situation, in the order of the table of quantities.

    When none is named: what is set at the bench, as far as anything is published for the process
    with any metal. One without rows for this very situation is still listed, so that the sheet
    can say that no range is published.
    """
    order = quantity_names(store)
    if selection.quantities:
        return tuple(q for q in order if q in selection.quantities)
    known = _published_for(store, situation)
    if selection.quantities is None:
        joint = situation.terms.get("joint")
        of_joint = FOR_A_FILLET if joint and "fillet" in joint.broader else ()
        known &= {*BENCH, *of_joint}
        process = situation.terms.get("process")
        if process and is_cutting(store, process.name):
            known -= set(FOR_WELDING_ONLY)
    return tuple(q for q in order if q in known)


def _published_for(store: Store, situation: Situation) -> set[str]:
    """Quantities for which something is published for the process, whatever the metal."""
    process = situation.terms.get("process")
    named = [*process.broader, *process.narrower] if process else []
    rows = store.rows(
        "SELECT DISTINCT quantity FROM windows WHERE $any OR process IS NULL "
        "OR list_contains($processes, process)",
        {"any": process is None, "processes": named},
    )
    return {row["quantity"] for row in rows}
