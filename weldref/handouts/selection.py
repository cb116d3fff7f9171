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

from weldref.core.index import cutting
from weldref.core.situation import Situation, describe
from weldref.core.terms import Vocabulary
from weldref.core.units import UnitSystem
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.grades import GRADES
from weldref.handouts.conversion import Shown
from weldref.handouts.words import Words, words

PAPERS = {
    "letter": "us-letter", "a4": "a4", "tabloid": "us-tabloid", "a3": "a3", "a2": "a2",
}  # fmt: skip
"""What typst calls a paper."""

Kind = Literal["bench-card", "half-card", "wall-chart", "booklet"]
Given = str | float | Sequence[str | float] | None

CONDITIONS = (
    "process", "transfer_mode", "material", "electrode", "diameter",
    "thickness", "joint", "position", "polarity", "gas", "tungsten", "code",
)  # fmt: skip
"""Conditions that may have several values; every combination is a situation of the sheet."""

SIZES = ("thickness", "diameter")
"""Conditions that are lengths: a bare fraction is in inches."""

MOST_SITUATIONS = 60
LONGEST_TITLE = 120
MOST_PAGES = 6
"""The most pages that a wall chart is split over."""

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
    """Every combination of what was given; empty for a wall chart, which makes its own."""

    given: dict[str, list[str]]
    """The values of each condition, as typed."""

    quantities: tuple[str, ...] | None
    """Stored names; None means what is set at the bench, () every published quantity."""

    shown: Shown
    grade: str
    also_seen: bool
    kind: Kind
    paper: str
    landscape: bool
    pages: int
    title: str
    address: str | None
    date: str
    words: Words
    school: Mapping[str, str | None]
    """The header of the school, where given for this sheet."""

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

    The last five options are the header of the school.
    """
    one_of("--units", units, ("us", "metric", "both"))
    one_of("--grade", grade, GRADES)
    one_of("--kind", kind, get_args(Kind))
    one_of("--paper", paper, tuple(PAPERS))
    if not 1 <= pages <= MOST_PAGES:
        raise InputError(f"--pages: {pages} is not accepted; give 1 to {MOST_PAGES}")
    shown: Any = units
    typed: UnitSystem = "metric" if units == "metric" else "us"
    given = chosen(conditions)
    return Selection(
        situations=() if kind == "wall-chart" else combined(store, given, typed),
        given=given,
        quantities=_quantities(store, several(quantity)),
        shown=shown,
        grade=grade,
        also_seen=also_seen,
        kind=kind,  # type: ignore[arg-type]
        paper=PAPERS[paper],
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
    """Read the values of each condition; refuse it if there are none."""
    given = {name: several(conditions.get(name)) for name in CONDITIONS}
    given |= {name: list(map(inch_fraction, given[name])) for name in SIZES}
    found = {name: texts for name, texts in given.items() if texts}
    if not found:
        raise InputError(
            "handout: nothing is chosen; give at least one of --process, --material, "
            "--electrode, --thickness"
        )
    return found


def combined(
    store: Store, given: Mapping[str, Sequence[str]], units: UnitSystem
) -> tuple[Situation, ...]:
    """Resolve each combination of the conditions once; refuse too many."""
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


def sheet_paper(paper: str) -> str:
    """Return what typst calls a paper that a class writes on; refuse a larger one."""
    one_of("--paper", paper, ("letter", "a4"))
    return PAPERS[paper]


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


def day(given: datetime.date | str | None) -> str:
    """Read a date, and write it as year-month-day; today when none is given."""
    try:
        if isinstance(given, str):
            given = datetime.date.fromisoformat(given) if given else None
        return f"{given or datetime.date.today():%Y-%m-%d}"
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


# The content of a store never changes, so a cache by store cannot be out of date.
@lru_cache(maxsize=16)
def quantity_names(store: Store) -> dict[str, str]:
    """Return the name of each quantity, in the order of the table of quantities."""
    rows = store.rows("SELECT quantity, name FROM quantities ORDER BY rowid")
    return {row["quantity"]: row["name"] for row in rows}


def quantities_for(store: Store, situation: Situation, selection: Selection) -> tuple[str, ...]:
    """List the quantities to show for a situation, in the order of the table of quantities.

    When none is named: what is set at the bench, if anything is published for the process with
    any metal. A quantity without rows for this situation is listed too, so that the sheet can
    say that no range is published.
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
        if process and process.name in cutting(store):
            known -= set(FOR_WELDING_ONLY)
    return tuple(q for q in order if q in known)


def _published_for(store: Store, situation: Situation) -> set[str]:
    """Return the quantities with published rows for the process, whatever the metal."""
    process = situation.terms.get("process")
    named = [*process.broader, *process.narrower] if process else []
    rows = store.rows(
        "SELECT DISTINCT quantity FROM windows WHERE $any OR process IS NULL "
        "OR list_contains($processes, process)",
        {"any": process is None, "processes": named},
    )
    return {row["quantity"] for row in rows}
