"""Hold one procedure while it is audited: the document, its terms and what each pass asks."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from typing import Any

from weldref.audit.codes import code_in, edition_in
from weldref.core.gas import Composition
from weldref.core.index import ASSUMED, NOMINAL
from weldref.core.lookup import Match, drivers_of, traits_of
from weldref.core.situation import TAKES, Situation, describe, joined
from weldref.core.terms import Term, Vocabulary
from weldref.core.units import Units, UnitSystem, Value
from weldref.core.verdict import system_of
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.procedures.model import BaseMetal, Filler, Pass, Procedure, Range, Text, gather, values

_CLASS = re.compile(
    r"\b(?:E\d{4,5}[A-Z0-9-]*|E\d{2}T\d{0,2}-[A-Z0-9]+[CM]?|E\d{2}C-[A-Z0-9]+|ER\d{2,4}[A-Z0-9-]*"
    r"|ER[A-Z][A-Za-z0-9-]+|E\d{3}[A-Z]*-\d{2}|EM\d+K?|[34]Si1|G\d?[34]Si1)\b"
)
GAS_PROCESSES = ("GMAW", "FCAW-G", "GTAW", "PAW")
"""Processes that need a shielding gas."""

UNDER_FLUX = ("SMAW", "SAW")
"""Processes without a gas: the document's gas is for its other passes."""

NOTHING_SAID = ("n/a", "na", "none", "nil", "-", "not applicable", "not required")
"""What forms say where a condition does not apply."""
_BETWEEN = re.compile(r"\s+(?:to|and|or|with|x)\s+|[;,/&]", re.IGNORECASE)
"""What separates two base metals."""
HANDS = {
    "manual": True, "semiautomatic": True, "partmechanised": True, "partmechanized": True,
    "mechanised": False, "mechanized": False, "machine": False, "automatic": False,
    "fullmechanised": False, "fullmechanized": False, "robotic": False, "robot": False,
    "cnc": False,
}  # fmt: skip
"""Whether the torch is guided by hand, by the words of forms and tables."""
_DESIGNATION = re.compile(r"\b[A-Z]{1,3}-?\d{2,5}[A-Z]*\b")
"""Text that looks like the designation of a metal."""
_LISTED = re.compile(r"\s*(?:[;,/&]|\band\b)\s*", re.IGNORECASE)
"""What separates listed positions."""


def _written(metal: BaseMetal) -> list[Text]:
    """The ways in which a base metal is written, the most exact first."""
    texts = [*metal.designations]
    if metal.spec:
        grade = f" {metal.grade.text}" if metal.grade else ""
        texts.append(Text(metal.spec.text + grade, place=metal.spec.place))
    if metal.grade and not metal.spec:
        texts.append(metal.grade)
    if metal.text:
        texts.append(metal.text)
    if metal.p_number:
        number = metal.p_number.text.removeprefix("P-No.").strip(" .")
        texts.append(Text(f"P-No.{number}", place=metal.p_number.place))
    return texts


# A store holds one content of the tables for good: an answer cannot go stale.
@lru_cache(maxsize=2048)
def rows_of(store: Store, query: str, **given: Any) -> tuple[dict[str, Any], ...]:
    """Query the tables, each query once; the rows are shared and must not be changed."""
    return tuple(store.rows(query, given))


@lru_cache(maxsize=1024)
def _term(store: Store, condition: str, text: str) -> Term | None:
    with suppress(InputError):
        return Vocabulary(store).term(condition, text)
    return None


@lru_cache(maxsize=1024)
def _part(store: Store, name: str, text: str, units: UnitSystem) -> Situation | None:
    """Resolve one condition; the rule "understood" reports what is not known."""
    with suppress(InputError):
        return describe(store, units=units, **{name: text})  # type: ignore[arg-type]
    return None


def _settled(match: Match, condition: str) -> Match:
    """The row without an assumption about a condition that the document settles."""
    said = tuple(one for one in match.assumptions if one.condition != condition)
    return replace(match, codes={**match.codes, condition: 0}, assumptions=said)


@dataclass(
    frozen=True, eq=False
)  # one object is one audit: what is cached for it is found by identity
class Case:
    """A procedure with everything that a rule may need to know of it.

    `records` are the test records that should cover it, `code` the code whose rules apply,
    `standards` those that say what the document should contain, `welders` the certificates of the
    welders; `asked_edition` is the edition of the code that was asked for.
    """

    store: Store
    procedure: Procedure
    records: tuple[Procedure, ...] = ()
    code: str | None = None
    standards: tuple[str, ...] = ()
    grade: str = "memory"
    welders: tuple[Procedure, ...] = ()
    asked_edition: str = ""

    @property
    def edition(self) -> str:
        """The edition of the code: as asked for, or as the procedure names it; empty if unknown."""
        named = (text.text for text in self.procedure.standards
                 if self.code and code_in(text.text) == self.code)  # fmt: skip
        return self.asked_edition or next(filter(None, map(edition_in, named)), "")

    def rows(self, query: str, **given: Any) -> tuple[dict[str, Any], ...]:
        """Query the tables."""
        return rows_of(self.store, query, **given)

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The stored terms."""
        return Vocabulary(self.store)

    @cached_property
    def units(self) -> Units:
        """The stored units."""
        return Units(self.store)

    def term(self, condition: str, text: str) -> str | None:
        """Resolve a spelling to a stored term; None if it is not known."""
        found = _term(self.store, condition, text)
        return found.name if found else None

    def kinds(self, condition: str, text: str) -> frozenset[str]:
        """The term and everything broader; empty if it is not known."""
        found = _term(self.store, condition, text)
        return frozenset(found.broader) if found else frozenset()

    @cached_property
    def processes(self) -> tuple[str, ...]:
        """The processes, by stored term."""
        texts = gather(self.procedure, "processes", "passes.process")
        return tuple(dict.fromkeys(filter(None, (self.process(text.text) for text in texts))))

    def process(self, text: str) -> str | None:
        """Resolve a process by letters, name or ISO 4063 number ("136", "GTAW (141)")."""
        known = self.term("process", text)
        if known:
            return known
        for number in re.findall(r"\b\d{2,3}\b", text):
            rows = self.rows("SELECT term FROM processes WHERE iso_4063 = $number", number=number)
            if rows:
                return str(rows[0]["term"])
            if number in ("131", "135", "138"):
                return "GMAW"
            if number == "132":
                return "FCAW-G"
        for word in re.findall(r"[A-Za-z]+(?:-[A-Z])?", text):
            known = self.term("process", word) or self.term("process", word.split("-")[0])
            if known:
                return known
        return None

    def process_of(self, weld: Pass) -> str | None:
        """The process of a pass, or the only one of the document."""
        if weld.process:
            return self.process(weld.process.text)
        return self.processes[0] if len(self.processes) == 1 else None

    @cached_property
    def unread_processes(self) -> tuple[Text, ...]:
        """The texts given as a process that name no known one."""
        texts = gather(self.procedure, "processes", "passes.process")
        return tuple({t.text: t for t in texts if self.process(t.text) is None}.values())

    @cached_property
    def metals(self) -> tuple[tuple[str, str], ...]:
        """The base metals that are known, each with its place in the file."""
        found: dict[str, str] = {}
        for metal in self.procedure.base_metals:
            # The texts name one metal in several ways; each designation is a metal of its own.
            said = next(filter(None, map(self._metals, _written(metal))), {})
            for each in (said, *map(self._metals, metal.designations)):
                for name, place in each.items():
                    found.setdefault(name, place)
        return tuple(found.items())

    def unread_in(self, metal: BaseMetal) -> tuple[tuple[Text, ...], str]:
        """The texts of a base metal that name no known one, and what the others were taken as."""
        written = _written(metal)
        said = next(filter(None, map(self._metals, written)), {})
        if written and not said:
            return (written[0],), ""
        unread = tuple(text for text in metal.designations if not self._metals(text))
        if (
            not unread
            and said
            and _DESIGNATION.search(written[0].text)
            and not any(digit.isdigit() for name in said for digit in name)
        ):
            unread = (written[0],)  # of "Q999 steel" only the steel was understood
        return unread, " and ".join(said)

    def numbered(self, metal: BaseMetal) -> frozenset[str]:
        """The P-Numbers that the tables give to a metal by its name."""
        for text in _written(replace(metal, p_number=None)):
            for name in self._metals(text):
                if numbers := self.p_numbers(name):
                    return numbers
        return frozenset()

    def p_numbers(self, metal: str) -> frozenset[str]:
        """The P-Numbers of a metal, by stored term and without the group number."""
        kinds = (kind.split(",")[0] for kind in self.kinds("material", metal))
        return frozenset(kind for kind in kinds if kind.startswith("P-No."))

    def _metals(self, text: Text) -> dict[str, str]:
        """The metals that a text names, one or two ("A36 to A572 Gr. 50"), with its place."""
        whole = self.vocabulary.material_in(text.text)
        parts = [whole] if whole else map(self.vocabulary.material_in, _BETWEEN.split(text.text))
        return {name: text.place for name in parts if name}

    def filler_classes(self, weld: Pass | None = None) -> tuple[tuple[str, str], ...]:
        """The filler classes of a pass, or of the whole document, each with its place."""
        if weld is not None and weld.filler_class:
            texts = [weld.filler_class]
        else:
            fillers = (one for one in self.procedure.fillers if not weld or self._serves(one, weld))
            texts = [text for one in fillers if (text := one.classification or one.text)]
        found: dict[str, str] = {}
        for text in texts:
            for name in self.classes_in(text.text) or [text.text.strip()]:
                found.setdefault(name, text.place)
        return tuple(found.items())

    @staticmethod
    def classes_in(text: str) -> list[str]:
        """The filler classes in a text: "E7018, E7018-1" is two."""
        return [name.strip() for name in _CLASS.findall(text)]

    def sizes(self, weld: Pass) -> tuple[Range, ...]:
        """The electrode sizes of a pass, or those that the document gives for its filler metal."""
        if self.process_of(weld) == "GTAW":
            own = (weld.tungsten_size,) if weld.tungsten_size else ()
            return own or self.procedure.tungsten_size
        if weld.sizes:
            return weld.sizes
        classes = {name for name, _ in self.filler_classes(weld)}
        return tuple(
            size
            for filler in self.procedure.fillers
            if self._serves(filler, weld)
            and (
                filler.classification is None
                or not classes
                or classes & set(self.classes_in(filler.classification.text))
            )
            for size in filler.sizes
        )

    def size_labels(self, weld: Pass) -> list[str]:
        """Both ends of each electrode size of a pass, as they are typed: "0.125 in"."""
        ends = ((end, size.unit) for size in self.sizes(weld) for end in (size.low, size.high))
        return list(dict.fromkeys(f"{end:g} {unit}" for end, unit in ends if end))

    def _serves(self, filler: Filler, weld: Pass) -> bool:
        process = self.process_of(weld)
        if filler.process is None or process is None:
            return True
        return self.process(filler.process.text) == process

    def gas(self, weld: Pass) -> Text | None:
        """The shielding gas of a pass: its own, or that of the document for its process."""
        if weld.gas:
            return weld.gas
        process = self.process_of(weld)
        if process in UNDER_FLUX:
            return None
        for gas in self.procedure.gases:
            if gas.role != "shielding" or gas.composition is None:
                continue
            own = self.process(gas.process.text) if gas.process else None
            if own is None or process is None or own == process:
                return gas.composition
        return None

    def gas_in(self, text: str) -> Composition | None:
        """The composition of a gas that a text names; None if it is not understood."""
        with suppress(InputError):
            return self.vocabulary.gas(text)[1]
        return None

    def polarity(self, weld: Pass) -> Text | None:
        """The polarity of a pass, or the only one that the document states for it."""
        if weld.polarity:
            return weld.polarity
        stated = self.procedure.polarities
        if len(stated) == 1:
            return stated[0]
        process = self.process_of(weld)
        own = [text for text in stated if text.of and self.process(text.of) == process]
        return own[0] if process and len(own) == 1 else None

    @cached_property
    def _one_thickness(self) -> str | None:
        """The base metal's thickness if it is a single value; a range is many situations."""
        stated = {
            f"{given.low:g} {given.unit}" if given.low is not None else ""
            for given in (*self.procedure.thickness, *self.procedure.fillet_thickness)
            if given.low == given.high and not given.unlimited
        }
        return stated.pop() or None if len(stated) == 1 == len(self._thicknesses) else None

    @cached_property
    def joint(self) -> str | None:
        """The kind of weld, as far as the document states it."""
        texts = gather(self.procedure.joint, "text", "kind", "weld")
        terms = (self.term("joint", text.text) for text in texts)
        if term := next(filter(None, terms), None):
            return term
        if self.procedure.joint.is_fillet:
            return "fillet"
        said = " ".join(map(str, texts)).casefold()
        return "groove" if "groove" in said and "fillet" not in said else None

    @cached_property
    def _thicknesses(self) -> tuple[tuple[float, float], ...]:
        """The ranges of base metal thickness that the document is for, in metres."""
        found = []
        for given in (*self.procedure.thickness, *self.procedure.fillet_thickness):
            low, high = self.ends(given)
            if low is not None or high is not None:
                found.append((low or 0.0, math.inf if high is None else high))
        return tuple(found)

    def for_its_work(self, matches: Iterable[Match]) -> Iterator[Match]:
        """Leave out rows for other work than the document's."""
        return self.of_its_thickness(self.of_its_code(self.of_its_mode(matches)))

    @cached_property
    def by_hand(self) -> bool | None:
        """Whether the work is done by hand, with or without a wire feeder; None if not stated."""
        texts = gather(self.procedure, "modes", "passes.mode")
        found = {HANDS.get(re.sub(r"[\s-]|ly\b", "", text.text.casefold())) for text in texts}
        return found.pop() if len(found) == 1 else None

    def of_its_mode(self, matches: Iterable[Match]) -> Iterator[Match]:
        """Leave out rows for machine work if the work is done by hand, and the reverse.

        A row for the stated way of working assumes nothing about it.
        """
        for match in matches:
            hand = HANDS.get(str(match.row["technique"]).casefold())
            if hand is None or self.by_hand is None:
                yield match
            elif hand == self.by_hand:
                yield _settled(match, "technique")

    def of_its_thickness(self, matches: Iterable[Match]) -> Iterator[Match]:
        """Leave out rows for another thickness; a row for every thickness stated assumes none.

        A row without a thickness is too broad where its quantity depends on the thickness, as it
        is for a document with a single thickness.
        """
        for match in matches:
            low, high = match.row["thickness_min_si"], match.row["thickness_max_si"]
            if not self._thicknesses or match.codes.get("thickness", ASSUMED) != ASSUMED:
                yield match
            elif "thickness" not in match.codes:
                yield self._broad(match)
            else:
                least = 0.0 if low is None else low * (1 - NOMINAL)
                most = math.inf if high is None else high * (1 + NOMINAL)
                if all(least <= bottom and top <= most for bottom, top in self._thicknesses):
                    yield _settled(match, "thickness")
                elif any(least <= top and bottom <= most for bottom, top in self._thicknesses):
                    yield match

    def _broad(self, match: Match) -> Match:
        """Mark a row without a thickness as broad if only the thickness could make it specific."""
        row = match.row
        drivers = drivers_of(traits_of(self.store), row["process"], row["quantity"])
        silent = any(
            "thickness" in names and match.codes.keys().isdisjoint(names) for names in drivers
        )
        if not silent or "thickness" in match.ignores:
            return match
        return replace(match, ignores=(*match.ignores, "thickness"))

    def of_its_code(self, matches: Iterable[Match]) -> Iterator[Match]:
        """Leave out rows of a code if the document works to codes that the terms do not hold.

        If it names no code, such a row raises the question which code governs.
        """
        foreign = bool(self.procedure.standards) and self.work_code is None
        return (m for m in matches if not (foreign and "scope" in m.special))

    @cached_property
    def work_code(self) -> str | None:
        """The one code of the work that the document names, or that was asked for."""
        texts = [text.text for text in self.procedure.standards]
        if not texts and self.code is not None:
            texts = [self.code]
        found = {name for text in texts for name in self.vocabulary_codes(text)}
        if found == {"AWS D1.1"} and self.claims_prequalified:
            return "AWS D1.1 prequalified"
        return found.pop() if len(found) == 1 else None

    def vocabulary_codes(self, text: str) -> list[str]:
        """The codes that a written standard names, by stored term and without the edition."""
        parts = [part.strip() for part in re.split(r"[;,]|\band\b", text) if part.strip()]
        found = []
        for part in (text, *parts):
            plain = re.sub(r"[:(\s-]+(?:19|20)\d\d\)?.*$", "", part)
            found += [n for n in (self.term("scope", part), self.term("scope", plain)) if n]
        return list(dict.fromkeys(found))

    @property
    def claims_prequalified(self) -> bool:
        """Whether the document claims to be prequalified."""
        claim = self.procedure.prequalified
        if claim is None or re.search(r"\b(?:not|by test)\b", claim.text, re.IGNORECASE):
            return False
        said = claim.text.strip()
        return bool(re.search(r"pre-?qualified|^yes$", said, re.IGNORECASE))

    def transfer_modes(self, weld: Pass) -> list[Text]:
        """The transfer mode of a pass, or those of the document; "GMAW-S" names one itself."""
        if weld.transfer_mode:
            return [weld.transfer_mode]
        if self.procedure.transfer_modes:
            return [*self.procedure.transfer_modes]
        written = [weld.process] if weld.process else [*self.procedure.processes]
        named = [(self.vocabulary.transfer_in(text.text), text) for text in written]
        return [Text(mode, place=text.place) for mode, text in named if mode]

    def value(self, number: float | None, given: Range, dimension: str) -> Value | None:
        """A number of a range as a value; None without one, or with a unit of another dimension."""
        unit = self.units.by_spelling.get(given.unit)
        if number is None or unit is None or unit.dimension != dimension:
            return None
        si = number * unit.factor + unit.shift
        return Value(number, unit.label, si, f"{number:g} {unit.label}")

    def si(self, number: float | None, given: Range, dimension: str) -> float | None:
        """A number of a range in SI (see `value`)."""
        value = self.value(number, given, dimension)
        return None if value is None else value.si

    def ends(self, given: Range, dimension: str = "length") -> tuple[float | None, float | None]:
        """Both ends of a range in SI (see `value`)."""
        return self.si(given.low, given, dimension), self.si(given.high, given, dimension)

    @cached_property
    def system(self) -> UnitSystem:
        """The unit system of the document: that of its thickness, or of most of its values."""
        thickness = next((r.unit for r in self.procedure.thickness if r.unit), "")
        if thickness in ("in", "mm"):
            return "metric" if thickness == "mm" else "us"
        found = [
            system_of(value.unit)
            for _, value in values(self.procedure)
            if isinstance(value, Range) and value.unit in self.units.by_spelling
        ]
        return "metric" if found.count("metric") > found.count("us") else "us"

    def situations(self, weld: Pass) -> Iterator[Situation]:
        """The situations of a pass: one for each metal and size; what is not known is left out."""
        process, modes = self.process_of(weld), self.transfer_modes(weld)
        gas, polarity = self.gas(weld), self.polarity(weld)
        classes = self._fitting_classes(weld, process)
        metals: list[str | None] = [name for name, _ in self.metals]
        sizes: list[str | None] = [*self.size_labels(weld)]
        for metal, named, size in product(metals or [None], classes or [None], sizes or [None]):
            yield self.describe(
                {
                    "process": process,
                    "material": metal,
                    "electrode": named,
                    "position": self._position(weld),
                    "polarity": polarity.text if polarity else None,
                    "gas": gas.text if gas else None,
                    "transfer_mode": modes[0].text if len(modes) == 1 else None,
                    "diameter": size,
                    "thickness": self._one_thickness,
                    "joint": self.joint,
                    "code": self.work_code,
                }
            )

    def _fitting_classes(self, weld: Pass, process: str | None) -> list[str | None]:
        """The filler classes of a pass; of several, those that its process uses."""
        names = [name for name, _ in self.filler_classes(weld)]
        takes = set(TAKES.get(process or "", ()))
        fitting = [name for name in names if self.kinds("filler_class", name) & takes]
        return [*(fitting if len(names) > 1 else names)]

    def positions_in(self, text: str) -> tuple[str, ...]:
        """The positions that a text lists, "F; H; V; OH" or "1G rotated"; empty if none is known.

        Listed positions are a range of work: each of them is meant.
        """
        if (known := self.term("position", text)) is not None:
            return (known,)
        parts = [self.term("position", part.strip()) for part in _LISTED.split(text) if part]
        found = [part for part in parts if part]
        if not found:
            found = re.findall(r"\b(?:[1-6](?:G|F)R?|P[A-HJ])\b", text)
        return tuple(dict.fromkeys(found))

    def _position(self, weld: Pass) -> str | None:
        """The one position of a pass, or of the document; None where several are listed."""
        texts = [weld.position] if weld.position else [*self.procedure.positions]
        found = {name for text in texts for name in self.positions_in(text.text)}
        return found.pop() if len(found) == 1 else None

    def describe(self, conditions: dict[str, str | None]) -> Situation:
        """Resolve conditions one by one, leaving out what is not known."""
        parts = (
            _part(self.store, name, text, self.system)
            for name, text in conditions.items()
            if text and text.strip(" .").casefold() not in NOTHING_SAID
        )
        return joined([describe(self.store, units=self.system), *filter(None, parts)])
