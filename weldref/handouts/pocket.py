"""Write a page for a student's phone: one file that judges a value with no network.

Every verdict on it was worked out here and is only looked up by the page's script.
"""

from __future__ import annotations

import base64
import csv
import datetime
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import Any

from weldref.advice.card import Card, CardValue, card
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation, describe, plausible_limits, quantity_row
from weldref.core.units import EXAMPLES, Units, UnitSystem
from weldref.core.verdict import system_of
from weldref.data.own import Given as OwnGiven
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.files import check_place, unfinished
from weldref.handouts.answers import OUTSIDE, range_text
from weldref.handouts.chart_cells import card_texts
from weldref.handouts.choice_rows import choice_rows, choice_texts
from weldref.handouts.conversion import Converter, fraction, number, rounded, sign
from weldref.handouts.facts import caution_text, remark_text
from weldref.handouts.pocket_verdicts import steps
from weldref.handouts.selection import (
    CONDITIONS,
    MOST_SITUATIONS,
    SIZES,
    Given,
    Selection,
    inch_fraction,
    select,
)
from weldref.handouts.settings import Group, Setting, Settings, conditions_text, settings_for
from weldref.handouts.sources import Notes, dataset_line
from weldref.handouts.spreadsheet import csv_lines
from weldref.handouts.tables import GRADES, converted_text
from weldref.handouts.titles import note_text, situation_spelled, situation_title
from weldref.handouts.words import Words, later

TEMPLATES = Path(__file__).parent / "templates"
LARGEST = 1_000_000
"""Bytes of a page: it goes from hand to hand over slow connections."""

LONGEST_LIST = 200_000
"""Bytes of a file that lists situations."""


def make_pocket(
    output: str | Path,
    *,
    situations: str | Path | None = None,
    own: OwnGiven = None,
    units: UnitSystem = "us",
    grade: str = "memory",
    language: str = "en",
    title: str = "",
    date: datetime.date | str | None = None,
    **conditions: Given,
) -> tuple[Path, ...]:
    """Write the page; its name ends in ``.html``.

    Parameters
    ----------
    output
        The file to write.
    situations
        A CSV file with a situation in each line; its columns are conditions of `weldref.check`.
    own
        Own tables, as `weldref.check` takes them.
    units
        "us" or "metric": how bare sizes are read, and the unit that a field shows first.
    grade, language, title, date
        As for `weldref.handouts.make_handout`.
    **conditions
        One value or several of each; every combination is a situation of the page.

    Returns
    -------
    tuple of Path
        The file written.

    Raises
    ------
    InputError
        If anything is not accepted, or the page would be larger than `LARGEST`.
    """
    place = Path(output)
    if place.suffix.casefold() not in (".html", ".htm"):
        raise InputError(f"--output: '{place.name}' does not end in .html")
    check_place(place, "--output", [Path(situations)] if situations else [])
    if not place.parent.is_dir():
        raise InputError(f"--output: the folder '{place.parent}' does not exist")
    store = open_tables(own)
    how: dict[str, Any] = {"grade": grade, "language": language, "title": title, "date": date}
    page = pocket_page(store, conditions, situations=situations, units=units, **how)
    try:
        with unfinished(place) as path:
            path.write_bytes(page)
    except OSError as error:
        raise InputError(f"--output: '{place}' cannot be written: {error.strerror}") from None
    return (place,)


def pocket_page(
    store: Store,
    conditions: Mapping[str, Given],
    *,
    situations: str | Path | None = None,
    units: UnitSystem = "us",
    **how: Any,
) -> bytes:
    """Put the page together (see `make_pocket`).

    Raises
    ------
    InputError
        If anything is not accepted.
    """
    import jinja2

    listed = listed_situations(store, Path(situations), units) if situations else ()
    if listed and any(conditions.values()):
        raise InputError("--situations: give a file or options such as --process, not both")
    first = {"process": listed[0].given().get("process")} if listed else conditions
    selection = select(store, first, **how)
    chosen = listed or select(store, conditions, units=units, **how).situations
    if any("process" not in situation.terms for situation in chosen):
        raise InputError("process: a card needs one; give for example --process GMAW")
    page = _Page(store, selection, units)
    content = page.content(chosen)
    loader = jinja2.FileSystemLoader(TEMPLATES)
    environment = jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True
    )
    script = (TEMPLATES / "pocket.js").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    made = environment.get_template("pocket.html").render(
        **content,
        script=script,
        digest=digest,
        style=(TEMPLATES / "pocket.css").read_text(encoding="utf-8"),
        # Inside an element of a script "<" alone could end it.
        data=json.dumps(page.data, ensure_ascii=False, separators=(",", ":")).replace(
            "<", "\\u003c"
        ),
    )
    encoded = made.encode("utf-8")
    if len(encoded) > LARGEST:
        raise InputError(
            f"pocket: situations: {len(chosen)}; they make a page of {len(encoded) / 1000:,.0f} "
            f"kB; choose fewer, a page holds at most {LARGEST / 1000:,.0f} kB"
        )
    return encoded


def listed_situations(store: Store, path: Path, units: UnitSystem) -> tuple[Situation, ...]:
    """Read a CSV file with a situation in each line.

    Raises
    ------
    InputError
        If the file or a condition in it is not accepted; the sentence names the line.
    """
    reader = csv.reader(csv_lines("--situations", path, LONGEST_LIST))
    header = [name.strip().replace("-", "_") for name in next(reader, [])]
    for name in header:
        if name not in CONDITIONS:
            raise InputError(
                f"--situations: '{name}' is not a column; give {', '.join(CONDITIONS)}"
            )
    found: dict[str, Situation] = {}
    for cells in reader:
        said: dict[str, Any] = {
            name: inch_fraction(cell.strip()) if name in SIZES else cell.strip()
            for name, cell in zip(header, cells, strict=False)
            if cell.strip()
        }
        if not said:
            continue
        try:
            situation = describe(store, **said, units=units)
        except InputError as error:
            raise InputError(f"--situations: line {reader.line_num}: {error}") from None
        found.setdefault(str(situation.given()), situation)
    if not 1 <= len(found) <= MOST_SITUATIONS:
        raise InputError(
            f"--situations: '{path.name}' lists {len(found)} situations; give 1 to "
            f"{MOST_SITUATIONS}"
        )
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class _Line:
    """One row as the page lists it."""

    range: str
    holds: str
    how: str
    look: str


class _Page:
    """Gathers what the page shows, and the data that its script looks verdicts up in."""

    def __init__(self, store: Store, selection: Selection, units: UnitSystem) -> None:
        self.store = store
        self.selection = selection
        self.words: Words = selection.words
        self.units = units
        self.notes = Notes(store, self.words)
        self.converter = Converter(store)
        self.data: dict[str, Any] = {
            "words": _sentences(self.words),
            "fields": [],
            "situations": [],
            "dimensions": {},
            "quantities": [],
            "says": [],
            "profiles": [],
        }
        self._profiles: dict[str, int] = {}
        self._says: dict[str, int] = {}

    def content(self, situations: Sequence[Situation]) -> dict[str, Any]:
        """Return what the template shows."""
        say = self.words.say
        cards = [self._situation(situation) for situation in situations]
        self._choices(situations)
        made = later("dataset {version}, {digest}; made {date}")
        foot = dataset_line(self.store, self.words, self.selection.date.isoformat(), made)
        return {
            "say": say,
            "language": self.words.language,
            "title": self.selection.title or say("Settings for the class"),
            "reminder": say(NOT_APPROVAL),
            "instead": self.store.instead,
            "cards": cards,
            "foot": foot,
        }

    def _choices(self, situations: Sequence[Situation]) -> None:
        """List the conditions in which the situations differ, each with its values."""
        given = [situation.given() for situation in situations]
        for name, label in LABELS.items():
            values = dict.fromkeys(one.get(name, "") for one in given)
            if len(values) > 1:
                texts = {v: self.words.term(v) if v else self.words.say("not said") for v in values}
                field = {"label": _sentence(self.words.say(label)), "values": list(texts.items())}
                self.data["fields"].append(field)
                for place, one in enumerate(given):
                    if place == len(self.data["situations"]):
                        self.data["situations"].append([])
                    self.data["situations"][place].append(one.get(name, ""))

    def _situation(self, situation: Situation) -> dict[str, Any]:
        words, notes = self.words, Notes(self.store, self.words)
        self.notes = notes
        found = card(self.store, situation, grade=self.selection.grade)
        settings = settings_for(self.store, situation, self.selection)
        values = {value.quantity: value for value in found.values}
        groups = [
            group
            for group in settings.groups
            if (group.rows or self._own(settings, group.quantity))
            and not (situation.size and group.quantity == "electrode_diameter")
        ]
        order = list(values)
        groups.sort(key=lambda g: order.index(g.quantity) if g.quantity in order else len(order))
        matches = find(self.store, situation, None, self.selection.grade)
        around = choice_rows(situation, found, matches, notes, self.selection.grade)
        return {
            "title": situation_title(situation, words),
            "lead": situation_spelled(self.store, situation, words),
            "notes": [note_text(note, words) for note in situation.notes],
            "sense": [remark_text(one, words, notes, why=True) for one in found.sense],
            "set_up": self._set_up(found),
            "quantities": [
                self._quantity(situation, group, values.get(group.quantity), settings)
                for group in groups
            ],
            "missing": [
                words.term(group.name)
                for group in settings.groups
                if not (group.rows or self._own(settings, group.quantity))
            ],
            "facts": choice_texts(around, words),
            "cautions": [caution_text(one, words, notes) for one in found.cautions],
            "sources": notes.texts(),
        }

    def _set_up(self, found: Card) -> str:
        """Name what else the line that leads the card was printed for."""
        said = [
            f"{self.words.say(LABELS[name])} {self.words.term(value)}"
            for name, value in found.set_up.items()
        ]
        return self.words.listed(said)

    def _own(self, settings: Settings, quantity: str) -> list[Setting]:
        return [one for one in settings.own if one.row.quantity == quantity]

    def _quantity(
        self, situation: Situation, group: Group, value: CardValue | None, settings: Settings
    ) -> dict[str, Any]:
        """Describe a quantity: where to start, its ranges, and the field for a value."""
        say = self.words.say
        kinds = {
            "": group.printed,
            say("only under a condition that was not said"): group.conditional,
            say("general: can fail a value, never passes one"): group.general,
            say("from memory, not seen in print: passes and fails nothing"): group.recalled,
            say("own rows, not published"): self._own(settings, group.quantity),
        }
        name = self.words.term(group.name)
        return {
            "name": _sentence(name),
            "index": self._judged(situation, group, name),
            "start": self._start(value) if value else None,
            "units": [(unit, sign(unit)) for unit in self._units(group.quantity)],
            "kinds": [(kind, [*map(self._line, rows)]) for kind, rows in kinds.items() if rows],
            "count": sum(map(len, kinds.values())),
        }

    def _start(self, value: CardValue) -> dict[str, str]:
        say = self.words.say
        start = value.start if value.start is not None else value.value
        how = say(GRADES[value.grade])
        if value.own:
            how = say("own, not published")
        unit = sign(value.unit)
        text, printed, of_row = card_texts(self.store, value, self.converter, self.words)
        span = f"{text} {unit}"
        inches = fraction(start) if value.unit == "in" and start is not None else ""
        big = f"{inches or number(start)} {unit}" if start is not None else span
        other = self._other(value.quantity, start, value.unit)
        if of_row != value.unit:
            # What is printed in other units is said as printed: 300 F was printed as 150 C.
            big = f"≈ {rounded(start, value.unit)} {unit}" if start is not None else span
            other = printed
        return {
            "big": big,
            "other": other,
            "span": span if start is not None and value.min != value.max else "",
            "how": f"{how}\u00a0{self.notes.mark(value.source_id, value.locator)}",
            "look": value.grade,
        }

    def _other(self, quantity: str, value: float | None, unit: str) -> str:
        """Write a value in the other unit system, marked as converted."""
        target = self.converter.target(quantity, unit, "metric" if self.units == "us" else "us")
        if value is None or target is None:
            return ""
        return f"≈ {rounded(self.converter.number_in(value, unit, target), target)} {sign(target)}"

    def _line(self, setting: Setting) -> _Line:
        row, words = setting.row, self.words
        span = range_text(row.min, row.max, row.typical, row.unit, words)
        other = converted_text(setting, self.converter, "both", words)
        how = [words.say(GRADES[row.how_read]), *([words.say(row.status)] if row.status else [])]
        mark = self.notes.mark(row.source_id, row.locator)
        return _Line(
            f"{span} ({other})" if other else span,
            conditions_text(setting, words),
            f"{words.listed(how)}\u00a0{mark}",
            row.how_read,
        )

    def _units(self, quantity: str) -> list[str]:
        us, metric = self.converter.usual[quantity]
        return list(dict.fromkeys((us, metric) if self.units == "us" else (metric, us)))

    def _judged(self, situation: Situation, group: Group, name: str) -> int:
        """Add what the script needs to judge a value of a quantity in a situation."""
        row = quantity_row(self.store, group.quantity)
        units = self._dimension(row["dimension"])
        systems = dict.fromkeys(str(unit["system"]) for unit in units.values())
        english = group.quantity.replace("_", " ")
        self.data["quantities"].append(
            {
                "name": english if self.words.language == "en" else name,
                "dimension": row["dimension"],
                "example": EXAMPLES.get(row["dimension"], "10"),
                "limits": plausible_limits(self.store, group.quantity),
                "plausible": [f"{row['plausible_min']:g}", f"{row['plausible_max']:g}",
                              self.converter.units.by_spelling[row["plausible_unit"]].label],
                "profiles": {
                    system: self._profile(situation, group.quantity, system) for system in systems
                },
            }
        )  # fmt: skip
        return len(self.data["quantities"]) - 1

    def _dimension(self, dimension: str) -> dict[str, dict[str, Any]]:
        """Add the units of a dimension with all their spellings, once."""
        known: dict[str, Any] = self.data["dimensions"]
        if dimension not in known:
            units = Units(self.store)
            spelled = {s: u for s, u in units.by_spelling.items() if u.dimension == dimension}
            known[dimension] = {
                "units": {
                    u.label: {"factor": u.factor, "shift": u.shift,
                              "system": system_of(u.label) or "either"}
                    for u in spelled.values()
                },
                "spellings": {s: u.label for s, u in spelled.items()},
                "folded": {s: u.label for s, u in units.of_dimension(dimension).items()},
                "accepted": units.accepted(dimension, self.words.say("or")),
                "called": self.words.term(dimension),
            }  # fmt: skip
        found: dict[str, dict[str, Any]] = known[dimension]["units"]
        return found

    def _profile(self, situation: Situation, quantity: str, system: str) -> int:
        """Add the verdicts on every value; what is equal is kept once."""
        named: UnitSystem | None = None if system == "either" else system  # type: ignore[assignment]
        made = steps(self.store, situation, quantity, named, self.selection.grade, self.words)
        content = [
            [*astuple(step)[:4], [self._number(text) for text in step.says]] for step in made
        ]
        key = repr(content)
        if key not in self._profiles:
            self._profiles[key] = len(self.data["profiles"])
            self.data["profiles"].append(content)
        return self._profiles[key]

    def _number(self, text: str) -> int:
        if text not in self._says:
            self._says[text] = len(self._says)
            self.data["says"].append(text)
        return self._says[text]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _sentences(words: Words) -> dict[str, str]:
    """Return what the script says, with places for values; as `weldref.check` refuses a value."""
    say = words.say
    verdicts: Iterable[str] = (
        "inside", "low", "high", "sources differ", "depends", "no published range",
    )  # fmt: skip
    return {
        **{word: say(word) for word in verdicts},
        **{f"{word} by": say(text) for word, text in OUTSIDE.items()},
        "not a number": say(
            "{name}: '{text}' is not a number with a unit; give for example '{example} {unit}'"
        ),
        "comma": say(
            "{name}: the comma of '{text}' may separate thousands or mark decimals; write {one} "
            "or {other}"
        ),
        "not a unit": say("{name}: '{text}' is not a unit of {dimension}; give {accepted}"),
        "not plausible": say(
            "{name}: {value} is not plausible; give {low} to {high} {unit} (a slip of unit?)"
        ),
    }
