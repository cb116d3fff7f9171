"""Build a Procedure from a file's tree: join limits, and find the parts of texts.

What no field takes goes to `other`, and every slip is named by its field.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import zip_longest
from typing import Any

from weldref.procedures.declared import is_unit_key
from weldref.procedures.describe import (
    NOT_APPLICABLE,
    by_process,
    filled_filler,
    filled_metal,
    fillers_of,
)
from weldref.procedures.fields import Field, fields_of
from weldref.procedures.keys import PROCESS
from weldref.procedures.mapping import Bag, Found, collect
from weldref.procedures.model import (
    BaseMetal,
    Entry,
    Filler,
    Gas,
    HeatTreatment,
    Joint,
    Named,
    Pass,
    PreheatStep,
    Procedure,
    Range,
    Slip,
    Technique,
    Text,
    values,
)
from weldref.procedures.ranges import merge
from weldref.procedures.slips import find_slips
from weldref.procedures.tree import Group, Leaf, walk

PER_PROCESS = ("polarities", "transfer_modes", "progressions", "tungsten")
"""Texts that forms give as "GTAW DCEN; GMAW DCEP"."""

RECORD = re.compile(r"(?:W?PQR|WPAR)\b|.*\b(?:qualification|test) record", re.IGNORECASE)

ROLES = ("shielding", "backing", "trailing", "plasma")

BESIDE = "is beside the table of passes, whose values are read; kept under other"


def procedure_of(
    root: Group,
    file: str = "",
    layout: str = "",
    slips: Iterable[Slip] = (),
    other: Iterable[Entry] = (),
    covered: Iterable[str] = (),
) -> Procedure:
    """Make a Procedure from a file's tree; no value of the file is lost.

    `file` and `layout` are where it comes from, `slips` and `other` what a reader noticed or could
    not place, `covered` the places that say nothing or only repeat another.

    >>> from weldref.procedures.tree import as_tree
    >>> made = procedure_of(as_tree({"WPS": "7", "shoe size": 12, "amps": "150-90"}))
    >>> made.number.text, [(entry.name, entry.text) for entry in made.other]
    ('7', [('shoe size', '12')])
    >>> [(slip.kind, slip.field) for slip in made.slips]
    [('swapped limits', 'passes[0].current'), ('unknown field', '')]
    """
    found = collect(root)
    made = _built(found)
    names = _fields_by_place(made)
    keys = {node.place: key for _, key, node in walk(root)}
    noticed = []
    for slip in (*found.slips, *find_slips(made)):
        at = slip.field or names.get(slip.place, "")
        if at == "" or ".also[" in at:
            # What no field of the model holds by itself is called as in the file.
            at = keys.get(slip.place) or at
        noticed.append(replace(slip, field=at))
    reported = {slip.place for slip in noticed}
    taken = {*names, *found.covered, *covered}
    left: list[Entry] = []
    unknown: dict[str, Slip] = {}
    for name, key, leaf in walk(root):
        if not isinstance(leaf, Leaf) or leaf.blank or leaf.place in taken:
            continue
        left.append(Entry(name, leaf.text, leaf.place))
        said = found.aside.get(leaf.place, "no field takes it; kept under other")
        if name and said and not is_unit_key(key, leaf) and leaf.place not in reported:
            shown = f"{name}: {leaf.text[:80]}"
            unknown.setdefault(name, Slip("unknown field", "", shown, said, leaf.place))
    # A file of our own layout has its slips already: nothing is reported twice.
    fields = {(slip.kind, slip.field) for slip in slips if slip.field}
    prints = {(slip.kind, slip.value) for slip in slips}
    new = (
        slip
        for slip in (*noticed, *unknown.values())
        if (slip.kind, slip.field) not in fields and (slip.kind, slip.value) not in prints
    )
    return replace(
        made, other=(*other, *left), slips=_once((*slips, *new)), file=file, layout=layout
    )


def _once(slips: Iterable[Slip]) -> tuple[Slip, ...]:
    """Keep each slip once, in an order that does not depend on where it was noticed."""
    kept = {(s.kind, s.field, s.value, s.suspected): s for s in reversed(tuple(slips))}
    return tuple(kept[key] for key in sorted(kept))


def _fields_by_place(made: Procedure) -> dict[str, str]:
    """Name the field at each place; a place that several share has the name of its own value."""
    found = [(name, value) for name, value in values(made) if value.place]
    # Where a key names a process, the process has the place of its range.
    ranges = [(name, value) for name, value in found if isinstance(value, Range)]
    names: dict[str, str] = {}
    for name, value in (*ranges, *found):
        names.setdefault(value.place, name)
    for name, value in ranges:
        for place in value.also_at:
            names.setdefault(place, name)
    return names


def _built(found: Found) -> Procedure:
    """Make a Procedure from what was collected, without slips and what is left over."""
    build_ = _Build(found)
    top = build_.part(found.top, "procedure")
    for name in PER_PROCESS:
        top[name] = tuple(part for text in top[name] for part in by_process(text))
    kind = top["kind"].text if top["kind"] else ""
    record = bool(RECORD.match(kind)) or (not kind and (found.tests or top["coupon_thickness"]))
    if record and top["number"] is None and top["supporting_pqrs"]:
        # "PQR No." is a record's own number, but in a procedure that of its record.
        top["number"], *rest = top["supporting_pqrs"]
        top["supporting_pqrs"] = tuple(rest)
    metals = build_.metals()
    if not top["thickness"]:
        stated = (metal.thickness for metal in metals if metal.thickness)
        top["thickness"] = tuple(dict.fromkeys(stated))
    if not top["test_deposit"] and record:
        # The deposit of a record's test is one value; a range is what the test qualifies.
        top["test_deposit"] = tuple(d for d in top["deposit_thickness"] if d.single)
        top["deposit_thickness"] = tuple(d for d in top["deposit_thickness"] if not d.single)
    passes = [build_.one_pass(bag) for bag in (*found.groups["passes"], *build_.lone_passes())]
    return Procedure(
        **top,
        base_metals=metals,
        fillers=build_.fillers(),
        gases=build_.gases(),
        joint=Joint(**build_.part(found.top, "joint")),
        technique=Technique(**build_.part(found.top, "technique")),
        heat_treatments=build_.heat_treatments(),
        preheat_by_thickness=build_.steps(),
        passes=tuple(one for one in passes if one != Pass()),
        tests=tuple(found.tests),
    )


class _Build:
    def __init__(self, found: Found) -> None:
        self.found = found

    def part(self, bag: Bag, area: str, also: list[Named] | None = None) -> dict[str, Any]:
        """Make the attributes of a group of fields; `also` takes further ranges of one field."""
        made: dict[str, Any] = {}
        for each in fields_of(area):
            if each.numeric:
                ranges = self.ranges(bag, each.target)
                made[each.name] = ranges
                if each.kind == "range":
                    made[each.name] = ranges[0] if ranges else None
                    if also is not None:
                        also += [Named(each.name, value) for value in ranges[1:]]
            elif each.kind not in ("group", "groups"):
                texts = tuple(bag.texts.get(each.target, ()))
                made[each.name] = self.first_text(texts, each) if each.kind == "text" else texts
        return made

    def first_text(self, texts: tuple[Text, ...], each: Field) -> Text | None:
        """Keep the first of several texts for one field, and say if they differ."""
        if not texts:
            return None
        if each.target in ("pass.label", "joint.text") and len(texts) > 1:
            # "layer" and "pass" in two columns make one label; a joint has words and a number.
            self.found.covered.update(text.place for text in texts)
            return Text(", ".join(dict.fromkeys(t.text for t in texts)), place=texts[0].place)
        first = texts[0]
        for other in texts[1:]:
            if other.text.casefold() == first.text.casefold():
                self.found.covered.add(other.place)
            else:
                self.found.slip("stated twice", other.text, _twice(other, first), other.place)
        return first

    def ranges(self, bag: Bag, target: str) -> tuple[Range, ...]:
        """Join limits given separately; the same range given again counts once."""
        made: dict[Range, None] = {}
        first: dict[tuple[str, str], Range] = {}
        joined = merge(bag.quantities.get(target, ()))
        for value in (one.range for each in joined for one in (each, *each.again)):
            if value in made:
                self.found.covered.update((value.place, *value.also_at))
                continue
            twin = first.setdefault((value.of, value.unit), value)
            if twin is not value and value.stated and not target.endswith("sizes"):
                self.found.slip("stated twice", value.text, _twice(value, twin), value.place)
            made[value] = None
        return tuple(made)

    def lone_passes(self) -> Iterator[Bag]:
        """Yield the passes that are written flat; values beside a table are not a pass of it."""
        table = [bag for bag in self.found.groups["passes"] if bag.quantities]
        named = {text.text for bag in table for text in bag.texts.get("pass.process", ())}
        named |= {bag.of for bag in table}
        for bag in self.found.flat.values():
            if not table or (bag.of and not any(bag.of in name for name in named)):
                yield bag
                continue
            printed = [text.place for texts in bag.texts.values() for text in texts]
            for target, found in bag.quantities.items():
                column = any(line.quantities.get(target) for line in table)
                if column or len(named - {""}) > 1:
                    printed += [place for each in found for place in (each.place, *each.also_at)]
                else:
                    # Printed once above a table that has no column for it, it holds for each line.
                    for line in table:
                        line.quantities[target] = found
            self.found.aside.update(dict.fromkeys(printed, BESIDE))

    def one_pass(self, bag: Bag) -> Pass:
        also: list[Named] = []
        made = self.part(bag, "pass", also)
        made["process"] = made["process"] or _process(bag.of, bag.place)
        made["gas"] = self.applicable(made["gas"])
        return Pass(**made, also=tuple(also), place=bag.place)

    def metals(self) -> tuple[BaseMetal, ...]:
        """Make the base metals: those with fields of their own, then those given as texts."""
        made = [BaseMetal(**self.part(bag, "metal")) for bag in self.found.groups["base_metals"]]
        top = self.found.top.texts
        names = ("text", "spec", "grade", "p_number", "group", "form")
        for told in zip_longest(*(top.get(f"metal.{name}", ()) for name in names)):
            parts: dict[str, Any] = dict(zip(names, told, strict=True))
            made.append(BaseMetal(**parts))
        if named := tuple(top.get("metal.designations", ())):
            made[:1] = [replace(made[0] if made else BaseMetal(), designations=named)]
        return tuple(filled_metal(metal) for metal in made)

    def fillers(self) -> tuple[Filler, ...]:
        """Make the filler metals; a field that cannot be assigned to one makes another."""
        made = [
            _of_process(Filler(**self.part(bag, "filler")), bag.of)
            for bag in self.found.groups["fillers"]
        ]
        top = self.found.top
        told = [*top.texts.get("filler.text", []), *top.texts.get("filler.classification", [])]
        flat = [filler for text in told for filler in fillers_of(text)]
        for name in ("spec", "f_number", "a_number", "form", "trade_name", "flux"):
            flat = _paired(flat, name, top.texts.get(f"filler.{name}", []))
        sizes = self.ranges(top, "filler.sizes")
        names = [_names(filler) for filler in flat]
        for of in dict.fromkeys(size.of for size in sizes):
            mine = tuple(replace(size, of="") for size in sizes if size.of == of)
            alone = not of and len(names) == 1
            fitting = [i for i, known in enumerate(names) if alone or of.casefold() in known]
            if len(fitting) == 1:
                flat[fitting[0]] = replace(flat[fitting[0]], sizes=mine)
            elif not flat and len(made) == 1 and not made[0].sizes:
                made[0] = replace(made[0], sizes=mine)
            else:
                flat.append(Filler(process=_process(of, mine[0].place), sizes=mine))
        return tuple(filled_filler(filler) for filler in (*made, *flat))

    def applicable(self, gas: Text | None) -> Text | None:
        """Leave a gas that says "N/A" to `other`."""
        if gas is None or not NOT_APPLICABLE.fullmatch(gas.text):
            return gas
        self.found.aside[gas.place] = ""
        return None

    def gases(self) -> tuple[Gas, ...]:
        """Match each gas with its flow, by process."""
        made = []
        for bag in self.found.groups["gases"]:
            parts = self.part(bag, "gas")
            said = bool(bag.texts.get("gas.composition"))
            parts["composition"] = self.applicable(parts["composition"])
            if said and parts["composition"] is None and not _flows(parts["flow"]):
                continue
            role = self.name_of(parts.pop("role"))
            named = (role or bag.of).casefold()
            named = named.removesuffix(" gas") if role else named
            parts["process"] = parts["process"] or _process(bag.of)
            made.append(Gas(role=named if role or named in ROLES else "shielding", **parts))
        top = self.found.top
        for role in ROLES:
            told = top.texts.get(f"gases.{role}.composition", [])
            mixtures = [part for text in told for part in by_process(text) if self.applicable(part)]
            flows = [flow for flow in self.ranges(top, f"gases.{role}.flow") if _flows(flow)]
            made += _gases(role, mixtures, flows)
        return tuple(made)

    def name_of(self, text: Text | None) -> str:
        """Take a text that is a plain name in the model; its place counts as read."""
        self.found.covered.update({text.place} if text else ())
        return text.text if text else ""

    def heat_treatments(self) -> tuple[HeatTreatment, ...]:
        made = []
        for bag in self.found.groups["heat_treatments"]:
            parts = self.part(bag, "heat")
            kind = self.name_of(parts.pop("kind"))
            made.append(HeatTreatment(kind=kind or bag.of or "PWHT", **parts))
        flat = self.part(self.found.top, "heats")
        for kind in ("PWHT", "post-heating"):
            mine = {
                name.partition(".")[2]: value
                for name, value in flat.items()
                if name.startswith(kind) and value is not None
            }
            if mine:
                made.append(HeatTreatment(kind=kind, **mine))
        return tuple(made)

    def steps(self) -> tuple[PreheatStep, ...]:
        made = []
        for bag in self.found.groups["preheat_by_thickness"]:
            parts = {name: value or Range() for name, value in self.part(bag, "step").items()}
            made.append(PreheatStep(**parts))
        return tuple(made)


def _twice(other: Text | Range, first: Text | Range) -> str:
    """Say what two places state: "115-140 here, 120-150 at /passes/0/amps"."""
    at = f" at {first.place}" if first.place else " before"
    return f"{other.text[:60]} here, {(first.text or str(first))[:60]}{at}"


def _flows(flow: Range | None) -> bool:
    return flow is not None and not NOT_APPLICABLE.fullmatch(str(flow))


def _gases(role: str, mixtures: list[Text], flows: list[Range]) -> list[Gas]:
    """Pair gases and flows of one role: by their process, then a shared gas with each flow."""
    made: list[Gas] = []
    left = list(mixtures)
    for flow in flows:
        fitting = [text for text in left if text.of == flow.of]
        shared = [text for text in mixtures if not text.of]
        text = fitting[0] if fitting else shared[0] if len(shared) == 1 else None
        if text is not None and text in left:
            left.remove(text)
        of = flow.of or (text.of if text else "")
        plain = replace(text, of="") if text else None
        process = Text(of, place=flow.place) if of else None
        made.append(Gas(role=role, composition=plain, flow=replace(flow, of=""), process=process))
    for text in left:
        process = Text(text.of, place=text.place) if text.of else None
        made.append(Gas(role=role, composition=replace(text, of=""), process=process))
    return made


def _process(of: str, place: str = "") -> Text | None:
    """Return the process that a key or a text before a value names, if it names one."""
    return Text(of, place=place) if PROCESS.fullmatch(of) else None


def _of_process(filler: Filler, of: str) -> Filler:
    """Add what a filler is for where only its key says so."""
    if not of or filler.process or filler.passes:
        return filler
    process = _process(of)
    return replace(filler, process=process, passes=None if process else Text(of))


def _names(filler: Filler) -> frozenset[str]:
    """Return what a filler is for: a process, or passes."""
    full = filled_filler(filler)
    return frozenset(str(said).casefold() for said in (full.process, full.passes) if said)


def _open(filler: Filler, name: str) -> bool:
    """Whether a field is not stated yet, or only found in the filler's whole text."""
    stated: Text | None = getattr(filler, name)
    told = filler.text or filler.classification
    return stated is None or (told is not None and stated.place == told.place)


def _paired(fillers: list[Filler], name: str, texts: Iterable[Text]) -> list[Filler]:
    """Give a field to the filler it belongs to: by process, the only one, or in order."""
    texts = list(texts)
    made = list(fillers)
    if len(texts) == 1 and ";" in texts[0].text and len(made) > 1:
        texts = [replace(texts[0], text=p.strip()) for p in texts[0].text.split(";") if p.strip()]
    names = [_names(filler) for filler in made]
    for i, text in enumerate(texts):
        fitting = [k for k, known in enumerate(names) if text.of and text.of.casefold() in known]
        if not fitting and len(texts) == len(fillers):
            fitting = [i]
        elif not fitting and len(made) == 1:
            fitting = [0]
        stated: dict[str, Any] = {name: replace(text, of="")}
        if fitting and _open(made[fitting[0]], name):
            made[fitting[0]] = replace(made[fitting[0]], **stated)
        else:
            made.append(Filler(**stated, process=_process(text.of, text.place)))
    return made
