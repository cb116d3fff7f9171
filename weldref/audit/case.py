"""One procedure on the auditor's desk: the document, its terms resolved, and what to ask."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from weldref.errors import InputError
from weldref.procedures.model import Filler, Pass, Procedure, Range, Text
from weldref.situation import Situation, describe
from weldref.store import Store
from weldref.terms import Vocabulary
from weldref.units import Units, UnitSystem, Value

_CLASS = re.compile(
    r"\b(?:E\d{4,5}[A-Z0-9-]*|E\d{2}T\d{0,2}-[A-Z0-9]+[CM]?|E\d{2}C-[A-Z0-9]+|ER\d{2,4}[A-Z0-9-]*"
    r"|ER[A-Z][A-Za-z0-9-]+|E\d{3}[A-Z]*-\d{2}|EM\d+K?|[34]Si1|G\d?[34]Si1)\b"
)


@dataclass(frozen=True)
class Case:
    """A procedure with everything a rule may ask of it.

    `record` is the test record that should cover it, `code` the code whose rules count, and
    `standards` those whose contents the document should have.
    """

    store: Store
    procedure: Procedure
    record: Procedure | None = None
    code: str | None = None
    standards: tuple[str, ...] = ()
    grade: str = "memory"
    _unknown: dict[str, str] = field(default_factory=dict)

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
        try:
            return self.vocabulary.term(condition, text).name
        except InputError:
            return None

    def kinds(self, condition: str, text: str) -> frozenset[str]:
        """The term and everything broader; empty if it is not known."""
        try:
            return frozenset(self.vocabulary.term(condition, text).broader)
        except InputError:
            return frozenset()

    @cached_property
    def processes(self) -> tuple[str, ...]:
        """The processes, by stored term."""
        found = [p.text for p in self.procedure.processes]
        found += [p.process.text for p in self.procedure.passes if p.process]
        return tuple(dict.fromkeys(filter(None, (self.process(text) for text in found))))

    def process(self, text: str) -> str | None:
        """Resolve a process by letters, name or ISO 4063 number ("136", "GTAW (141)")."""
        known = self.term("process", text)
        if known:
            return known
        for number in re.findall(r"\b\d{2,3}\b", text):
            rows = self.store.rows(
                "SELECT term FROM processes WHERE iso_4063 = $number", {"number": number}
            )
            if rows:
                return str(rows[0]["term"])
            if number in ("131", "135", "138"):
                return "GMAW"
            if number == "132":
                return "FCAW-G"
        for word in re.findall(r"[A-Za-z]+(?:-[A-Z])?", text):
            known = self.term("process", word)
            if known:
                return known
        return None

    @cached_property
    def metals(self) -> tuple[tuple[str, str], ...]:
        """The base metals that are known, each with its place in the file."""
        found: dict[str, str] = {}
        for metal in self.procedure.base_metals:
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
            for text in texts:
                term = self._metal(text.text)
                if term:
                    found.setdefault(term, text.place)
                    break
            for text in metal.designations:
                term = self._metal(text.text)
                if term:
                    found.setdefault(term, text.place)
        return tuple(found.items())

    def _metal(self, text: str) -> str | None:
        for candidate in (text, text.split(",")[0], re.sub(r"\bGr(?:ade|\.)?\b", "gr", text)):
            term = self.term("material", candidate.strip())
            if term:
                return term
        found = re.search(r"\b(?:A\d{2,4}|S\d{3}[A-Z0-9]*|API 5L(?: Gr)? ?[BX]\d*)\b", text)
        if found:
            term = self.term("material", found[0])
            if term:
                return term
        for word in ("aluminium", "aluminum", "stainless", "titanium", "carbon steel", "line pipe"):
            if word in text.casefold():
                return self.term("material", word)
        return None

    def filler_classes(self, weld: Pass | None = None) -> tuple[tuple[str, str], ...]:
        """The filler classes of a pass, or of the whole document, each with its place."""
        texts: list[Text] = []
        if weld is not None and weld.filler_class:
            texts.append(weld.filler_class)
        if weld is None or not texts:
            for filler in self.procedure.fillers:
                if weld is None or self._serves(filler, weld):
                    texts += [t for t in (filler.classification, filler.text) if t][:1]
        found: dict[str, str] = {}
        for text in texts:
            for name in self.classes_in(text.text) or [text.text.strip()]:
                found.setdefault(name, text.place)
        return tuple(found.items())

    @staticmethod
    def classes_in(text: str) -> list[str]:
        """The filler classes that stand in a text: "E7018, E7018-1" is two."""
        return [name.strip() for name in _CLASS.findall(text)]

    def _serves(self, filler: Filler, weld: Pass) -> bool:
        if filler.process is None or weld.process is None:
            return True
        return self.process(filler.process.text) == self.process(weld.process.text)

    def gas(self, weld: Pass) -> Text | None:
        """The shielding gas of a pass: its own, or that of the document for its process."""
        if weld.gas:
            return weld.gas
        process = self.process(weld.process.text) if weld.process else None
        for gas in self.procedure.gases:
            if gas.role != "shielding" or gas.composition is None:
                continue
            own = self.process(gas.process.text) if gas.process else None
            if own is None or process is None or own == process:
                return gas.composition
        return None

    def polarity(self, weld: Pass) -> Text | None:
        """The polarity of a pass, or the only one of the document."""
        if weld.polarity:
            return weld.polarity
        stated = self.procedure.polarities
        return stated[0] if len(stated) == 1 else None

    def value(self, number: float, given: Range, dimension: str) -> Value | None:
        """A number of a range as a value; None if its unit is not one of the dimension."""
        unit = self.units.by_spelling.get(given.unit)
        if unit is None or unit.dimension != dimension:
            return None
        si = number * unit.factor + unit.shift
        return Value(number, unit.label, si, f"{number:g} {unit.label}")

    @cached_property
    def system(self) -> UnitSystem:
        """The unit system in which the document gives its thickness."""
        given = next((r.unit for r in self.procedure.thickness if r.unit), "in")
        return "metric" if given == "mm" else "us"

    def situations(self, weld: Pass) -> Iterator[Situation]:
        """The situations of a pass: one for each metal and size; what is not known is left out."""
        process = self.process(weld.process.text) if weld.process else None
        if process is None and len(self.processes) == 1:
            process = self.processes[0]
        gas, polarity = self.gas(weld), self.polarity(weld)
        position = weld.position
        if position is None and len(self.procedure.positions) == 1:
            position = self.procedure.positions[0]
        mode = weld.transfer_mode
        if mode is None and len(self.procedure.transfer_modes) == 1:
            mode = self.procedure.transfer_modes[0]
        sizes: tuple[Range, ...] = weld.sizes
        if process == "GTAW":
            own = (weld.tungsten_size,) if weld.tungsten_size else ()
            sizes = own or self.procedure.tungsten_size
        classes = [name for name, _ in self.filler_classes(weld)]
        metals: list[str | None] = [name for name, _ in self.metals]
        for metal in metals or [None]:
            for size in sizes or (None,):
                base: dict[str, str | None] = {
                    "process": process,
                    "material": metal,
                    "electrode": classes[0] if len(classes) == 1 else None,
                    "position": self._position(position.text) if position else None,
                    "polarity": polarity.text if polarity else None,
                    "gas": gas.text if gas else None,
                    "transfer_mode": mode.text if mode else None,
                    "diameter": f"{size.low:g} {size.unit}" if size and size.low else None,
                }
                yield self.describe(base)

    def _position(self, text: str) -> str:
        """Leave out what a form adds to a position: "1G rotated", "2G (PC)"."""
        if self.term("position", text) is not None:
            return text
        found = re.search(r"\b(?:[1-6](?:G|F)R?|P[A-HJ])\b", text)
        return found[0] if found else text

    def describe(self, conditions: dict[str, str | None]) -> Situation:
        """Resolve conditions one by one, leaving out (and remembering) what is not known."""
        situation = describe(self.store, units=self.system)
        for name, text in conditions.items():
            if not text:
                continue
            try:
                one = describe(self.store, units=self.system, **{name: text})  # type: ignore[arg-type]
            except InputError as error:
                self._unknown.setdefault(f"{name}: {text}", str(error))
                continue
            situation = replace(
                situation,
                terms={**situation.terms, **one.terms},
                size=one.size or situation.size,
                sizes=one.sizes or situation.sizes,
                thickness=one.thickness or situation.thickness,
                gas=one.gas or situation.gas,
                composition=one.composition or situation.composition,
                notes=(*situation.notes, *one.notes),
            )
        return situation

    @property
    def unknown(self) -> dict[str, str]:
        """Terms of the document that no vocabulary has, and why."""
        return dict(self._unknown)
