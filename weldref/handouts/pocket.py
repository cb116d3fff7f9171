"""Write a page for a student's phone: one file that judges a value without a network.

Every verdict is worked out here; the script of the page only looks it up.
"""

from __future__ import annotations

import base64
import csv
import datetime
import hashlib
import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from weldref.advice.card import CardValue, card
from weldref.core.check import NOT_APPROVAL
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Situation, plausible_limits, quantity_row
from weldref.core.units import EXAMPLES, UnitSystem
from weldref.core.verdict import system_of
from weldref.data.own import Given as OwnGiven
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.grades import SHORT
from weldref.handouts.answers import OUTSIDE
from weldref.handouts.chart_cells import card_texts, start_text
from weldref.handouts.choice_rows import choice_rows, choice_texts
from weldref.handouts.output import TEMPLATES, check_place, write
from weldref.handouts.pocket_verdicts import Asked
from weldref.handouts.selection import (
    CONDITIONS,
    MOST_SITUATIONS,
    Given,
    Selection,
    chosen,
    combined,
    read_lines,
    select,
)
from weldref.handouts.settings import Group, Setting, conditions_said, settings_for
from weldref.handouts.tables import converted_text
from weldref.handouts.texts import (
    Notes,
    caution_text,
    dataset_line,
    note_text,
    remark_text,
    row_text,
    situation_spelled,
    situation_title,
)
from weldref.handouts.words import Words, later, sentence
from weldref.text import unit_sign

LARGEST = 1_000_000
"""The most bytes of a page, which may be sent over slow connections."""

LONGEST_LIST = 200_000
"""The most bytes of a file that lists situations."""


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
    check_place(place, endings=(".html", ".htm"), inputs=[Path(situations)] if situations else [])
    how: dict[str, Any] = {"grade": grade, "language": language, "title": title, "date": date}
    page = pocket_page(open_tables(own), conditions, situations=situations, units=units, **how)
    return tuple(write([(page, place)]))


def pocket_page(
    store: Store,
    conditions: Mapping[str, Given],
    *,
    situations: str | Path | None = None,
    units: UnitSystem = "us",
    **how: Any,
) -> bytes:
    """Put the page together, as `make_pocket` writes it."""
    import jinja2

    listed = listed_situations(store, Path(situations), units) if situations else ()
    if listed and any(conditions.values()):
        raise InputError("--situations: give a file or options such as --process, not both")
    first = {"process": listed[0].given().get("process")} if listed else conditions
    selection = select(store, first, units=units, **how)
    shown = listed or selection.situations
    if any("process" not in situation.terms for situation in shown):
        raise InputError("process: a card needs one; give for example --process GMAW")
    page = _Page(store, selection)
    content = page.content(shown)
    data = json.dumps(page.data(shown), ensure_ascii=False, separators=(",", ":"))
    script = (TEMPLATES / "pocket.js").read_text(encoding="utf-8")
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
    )
    made = environment.get_template("pocket.html").render(
        **content,
        script=script,
        digest=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        style=(TEMPLATES / "pocket.css").read_text(encoding="utf-8"),
        data=data.replace("<", "\\u003c"),  # "</" would end the script element
    )
    encoded = made.encode("utf-8")
    if len(encoded) > LARGEST:
        raise InputError(
            f"pocket: situations: {len(shown)}; they make a page of {len(encoded) / 1000:,.0f} "
            f"kB; choose fewer, a page holds at most {LARGEST / 1000:,.0f} kB"
        )
    return encoded


def listed_situations(store: Store, path: Path, units: UnitSystem) -> tuple[Situation, ...]:
    """Read a CSV file with a situation in each line; a refusal names the line."""
    reader = csv.reader(read_lines("--situations", path, LONGEST_LIST))
    header = [name.strip().replace("-", "_") for name in next(reader, [])]
    for name in header:
        if name not in CONDITIONS:
            raise InputError(
                f"--situations: '{name}' is not a column; give {', '.join(CONDITIONS)}"
            )
    found: dict[str, Situation] = {}
    for cells in reader:
        said = {name: cell for name, cell in zip(header, cells, strict=False) if cell.strip()}
        if not said:
            continue
        try:
            (situation,) = combined(store, chosen(said), units)
        except InputError as error:
            raise InputError(f"--situations: line {reader.line_num}: {error}") from None
        found.setdefault(str(situation.given()), situation)
    if not 1 <= len(found) <= MOST_SITUATIONS:
        raise InputError(
            f"--situations: '{path.name}' lists {len(found)} situations; give 1 to "
            f"{MOST_SITUATIONS}"
        )
    return tuple(found.values())


class _Page:
    """Gathers what the page shows, and the verdicts that its script looks up."""

    def __init__(self, store: Store, selection: Selection) -> None:
        self.store, self.selection, self.units = store, selection, selection.typed
        self.words: Words = selection.words
        self.notes = Notes(store, self.words)
        self.converter = self.notes.converter
        self.dimensions: dict[str, dict[str, Any]] = {}
        self.quantities: list[dict[str, Any]] = []
        # Equal texts and profiles are kept once, with their number.
        self.says: dict[str, int] = {}
        self.profiles: dict[str, int] = {}

    def content(self, situations: Sequence[Situation]) -> dict[str, Any]:
        """Return what the template shows."""
        say = self.words.say
        made = later("dataset {version}, {digest}; made {date}")
        return {
            "say": say,
            "language": self.words.language,
            "title": self.selection.title or say("Settings for the class"),
            "reminder": say(NOT_APPROVAL),
            "instead": self.store.instead,
            "cards": [self._situation(situation) for situation in situations],
            "foot": dataset_line(self.store, self.words, self.selection.date, made),
        }

    def data(self, situations: Sequence[Situation]) -> dict[str, Any]:
        """Return what the script looks up, with the choices in which the situations differ."""
        given, words = [situation.given() for situation in situations], self.words
        differing = {
            name: dict.fromkeys(one.get(name, "") for one in given)
            for name in LABELS
            if len({one.get(name, "") for one in given}) > 1
        }
        fields = [
            {
                "label": sentence(words.say(LABELS[name])),
                "values": [(v, words.term(v) if v else words.say("not said")) for v in values],
            }
            for name, values in differing.items()
        ]
        return {
            "words": _sentences(words),
            "fields": fields,
            "situations": [[one.get(name, "") for name in differing] for one in given if fields],
            "dimensions": self.dimensions,
            "quantities": self.quantities,
            "says": list(self.says),
            "profiles": [json.loads(profile) for profile in self.profiles],
        }

    def _situation(self, situation: Situation) -> dict[str, Any]:
        self.notes = notes = Notes(self.store, self.words)
        words, store, grade = self.words, self.store, self.selection.grade
        found = card(store, situation, grade=grade)
        settings = settings_for(store, situation, replace(self.selection, shown="both"))
        own: dict[str, list[Setting]] = defaultdict(list)
        for one in settings.own:
            own[one.row.quantity].append(one)
        values = {value.quantity: value for value in found.values}
        filled = [group for group in settings.groups if group.rows or group.quantity in own]
        empty = [group for group in settings.groups if group not in filled]
        if situation.size:
            filled = [group for group in filled if group.quantity != "electrode_diameter"]
        order = {quantity: place for place, quantity in enumerate(values)}
        filled.sort(key=lambda group: order.get(group.quantity, len(order)))
        matches = find(store, situation, None, grade)
        around = choice_rows(situation, found, matches, notes, grade)
        return {
            "title": situation_title(situation, words),
            "lead": situation_spelled(store, situation, words),
            "notes": [note_text(note, words) for note in situation.notes],
            "sense": [remark_text(one, notes, why=True) for one in found.sense],
            "set_up": words.listed(
                f"{words.say(LABELS[name])} {words.term(value)}"
                for name, value in found.set_up.items()
            ),
            "quantities": [
                self._quantity(situation, group, values.get(group.quantity), own[group.quantity])
                for group in filled
            ],
            "missing": [self.notes.quantity(group.quantity) for group in empty],
            "facts": choice_texts(around, words),
            "cautions": [caution_text(one, notes) for one in found.cautions],
            "sources": notes.texts(),
        }

    def _quantity(
        self, situation: Situation, group: Group, value: CardValue | None, own: Sequence[Setting]
    ) -> dict[str, Any]:
        """Describe a quantity: where to start, its ranges, and the field for a value."""
        say, name = self.words.say, self.notes.quantity(group.quantity)
        kinds: dict[str, Sequence[Setting]] = {
            "": group.printed,
            say("only under a condition that was not said"): group.conditional,
            say("general: can fail a value, never passes one"): group.general,
            say("from memory, not seen in print: passes and fails nothing"): group.recalled,
            say("own rows, not published"): own,
        }
        us, metric = self.converter.usual[group.quantity]
        units = dict.fromkeys((us, metric) if self.units == "us" else (metric, us))
        self._judged(situation, group.quantity, name)
        return {
            "name": sentence(name),
            "index": len(self.quantities) - 1,
            "start": self._start(value) if value else None,
            "units": [(unit, unit_sign(unit)) for unit in units],
            "kinds": [(kind, [*map(self._line, rows)]) for kind, rows in kinds.items() if rows],
            "count": sum(map(len, kinds.values())),
        }

    def _start(self, value: CardValue) -> dict[str, str]:
        say, unit = self.words.say, unit_sign(value.unit)
        start = value.start if value.start is not None else value.value
        how = say("own, not published") if value.own else say(SHORT[value.grade])
        text, printed, of_row = card_texts(value, self.notes)
        span = f"{text} {unit}"
        big, other = span, ""
        if start is not None:
            big = start_text(start, value.unit, of_row)
            to = self.converter.target(
                value.quantity, value.unit, "metric" if self.units == "us" else "us"
            )
            if to is not None:
                other = f"≈ {self.converter.text_in(start, value.unit, to)} {unit_sign(to)}"
        if of_row != value.unit:
            # Where another unit was printed, show the printed value: 300 F was printed as 150 C.
            other = printed
        return {
            "big": big,
            "other": other,
            "span": span if start is not None and value.min != value.max else "",
            "how": self.notes.marked(how, value),
            "look": value.grade,
        }

    def _line(self, setting: Setting) -> dict[str, str]:
        """Describe one row as the page lists it."""
        row, words = setting.row, self.words
        span, other = row_text(row, words), converted_text(setting, self.notes)
        how = [words.say(SHORT[row.how_read]), *([words.say(row.status)] if row.status else [])]
        return {
            "range": f"{span} ({other})" if other else span,
            "holds": words.listed(conditions_said(setting, self.notes)),
            "how": self.notes.marked(words.listed(how), row),
            "look": row.how_read,
        }

    def _judged(self, situation: Situation, quantity: str, name: str) -> None:
        """Add what the script needs to judge a value of a quantity in a situation."""
        row = quantity_row(self.store, quantity)
        units = self._dimension(row["dimension"])["units"].values()
        label = self.converter.units.by_spelling[row["plausible_unit"]].label
        english = quantity.replace("_", " ")
        self.quantities.append(
            {
                "name": english if self.words.language == "en" else name,
                "dimension": row["dimension"],
                "example": EXAMPLES.get(row["dimension"], "10"),
                "limits": plausible_limits(self.store, quantity),
                "plausible": [f"{row['plausible_min']:g}", f"{row['plausible_max']:g}", label],
                "profiles": {
                    system: self._profile(situation, quantity, system)
                    for system in dict.fromkeys(str(unit["system"]) for unit in units)
                },
            }
        )

    def _dimension(self, dimension: str) -> dict[str, Any]:
        """Add the units of a dimension with all their spellings, once."""
        if dimension not in self.dimensions:
            units = self.converter.units
            spelled = {s: u for s, u in units.by_spelling.items() if u.dimension == dimension}
            self.dimensions[dimension] = {
                "units": {
                    u.label: {
                        "factor": u.factor,
                        "shift": u.shift,
                        "system": system_of(u.label) or "either",
                    }
                    for u in spelled.values()
                },
                "spellings": {s: u.label for s, u in spelled.items()},
                "folded": {s: u.label for s, u in units.of_dimension(dimension).items()},
                "accepted": units.accepted(dimension, self.words.say("or")),
                "called": self.words.term(dimension),
            }
        return self.dimensions[dimension]

    def _profile(self, situation: Situation, quantity: str, system: str) -> int:
        """Add the verdicts on every value, and return their number."""
        named: UnitSystem | None = None if system == "either" else system  # type: ignore[assignment]
        asked = Asked(self.store, situation, quantity, named, self.selection.grade, self.words)
        content = []
        for step in asked.steps():
            says = [self.says.setdefault(text, len(self.says)) for text in step.says]
            content.append([*step[:4], says])
        return self.profiles.setdefault(json.dumps(content), len(self.profiles))


def _sentences(words: Words) -> dict[str, str]:
    """Return the sentences of the script, with places for values, worded as by `weldref.check`."""
    say = words.say
    verdicts = ("inside", "low", "high", "sources differ", "depends", "no published range")
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
