"""Sort each value of a file into its field, by one tolerant mapping for every layout.

The tree of a file is walked once; each key is resolved through the table of fields, and what is
found is collected in bags from which `build.py` makes a Procedure. No layout is treated
specially: flat or nested, lists or groups of passes, limits in one field or in two all end in the
same bags.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field, replace

from weldref.procedures.declared import Units, declared_in, is_unit_key, unit_for
from weldref.procedures.describe import LONGEST
from weldref.procedures.fields import GROUPS, Field
from weldref.procedures.fields import field as field_of
from weldref.procedures.keys import PROCESS, Match, resolve, side_of, words_of
from weldref.procedures.model import Entry, Slip, SlipKind, Text
from weldref.procedures.quantity import Quantity, parse_quantity, suspect_date
from weldref.procedures.ranges import quantities
from weldref.procedures.tree import Group, Items, Leaf, Node, leaves, parts_of
from weldref.procedures.units import dimension_of

GASES = frozenset("ar argon he helium co2 o2 oxygen h2 hydrogen n2 nitrogen".split())
OF_A_PASS = ("current", "voltage", "travel_speed")
POLARITY = re.compile(
    r"(?:AC|DC|DCE[PN]|DC[SR]P|E[PN]|(?:alternating|direct) current|reversed?|straight"
    r"|electrode (?:pos|neg)(?:itive|ative)?)(?![^\W_])\D*",
    re.IGNORECASE,
)
"""What "current" says where it means the kind: no digit, so "DC 90-150" is an amperage."""

KIND = re.compile(r"p?WPS\b.*|PQR\b.*|WPQR\b.*|preliminary WPS.*", re.IGNORECASE)
COUNT = re.compile(
    r"(?:single|multi(?:ple)?|both|one|two)(?:\W(?:or|and|/).*)?(?:electrodes?)?", re.IGNORECASE
)
SPLIT = re.compile(r"\s*(?:[;,+&\n]|\band\b|\s/\s|(?<=[A-Za-z])/(?=[A-Za-z]))\s*")
SPLIT_OF = {
    "positions": re.compile(r"\s*(?:[;,\n&]|/|\band\b)\s*"),
    # The plus of "DC+" is the polarity.
    "polarities": re.compile(r"\s*(?:[;,&\n]|\band\b|\s/\s|(?<=[A-Za-z+)-])/(?=[A-Za-z]))\s*"),
}
LONE = {
    "base_metals": "metal.text",
    "fillers": "filler.text",
    "gases": "gases.shielding.composition",
    "joint": "joint.text",
    "technique": "technique.text",
    "qualified": "procedure.prequalified",
    "heat_treatments": "heats.PWHT.text",
}
"""Where a text goes that is given for a whole group: "joint": "single V"."""
WHOLE = {LONE[name]: name for name in ("base_metals", "fillers", "joint", "technique")}
"""Texts for a whole group, which may be given as a group as well."""

SINGLE = ("joint", "technique", "qualified")
"""Groups that a procedure has once."""


@dataclass(slots=True)
class Bag:
    """What was found for the fields of one group, by target."""

    texts: dict[str, list[Text]] = field(default_factory=lambda: defaultdict(list))
    quantities: dict[str, list[Quantity]] = field(default_factory=lambda: defaultdict(list))
    place: str = ""
    of: str = ""


@dataclass(slots=True)
class Found:
    """Everything in a file, sorted by field but not yet built.

    `covered` are places that were read, `aside` those that still go to `other`, with what to
    report about each, if anything.
    """

    top: Bag = field(default_factory=Bag)
    flat: dict[str, Bag] = field(default_factory=dict)
    groups: dict[str, list[Bag]] = field(default_factory=lambda: defaultdict(list))
    tests: list[Entry] = field(default_factory=list)
    slips: list[Slip] = field(default_factory=list)
    covered: set[str] = field(default_factory=set)
    aside: dict[str, str] = field(default_factory=dict)

    def slip(self, kind: SlipKind, value: str, suspected: str, place: str) -> None:
        """Note something that looks like a mistake of writing."""
        self.slips.append(Slip(kind, "", value, suspected, place))


def collect(root: Group) -> Found:
    """Sort every value of a file into the fields of the model.

    >>> from weldref.procedures.tree import as_tree
    >>> found = collect(as_tree({"WPS No.": "7", "passes": [{"amps": "90-150"}]}))
    >>> found.top.texts["procedure.number"][0].text
    '7'
    >>> str(found.groups["passes"][0].quantities["pass.current"][0])
    '90 to 150 A'
    """
    found = Found()
    _Walk(found, "procedure", found.top).group(root, ())
    return found


@dataclass(frozen=True, slots=True)
class _Walk:
    """Where the walk is: which fields are expected, into which bag, under which units."""

    found: Found
    area: str
    bag: Bag
    units: tuple[Units, ...] = ()

    def inside(self, node: Group) -> _Walk:
        """Go on under the units that a group declares."""
        return replace(self, units=(declared_in(node, self.area), *self.units))

    def group(self, node: Group, path: tuple[str, ...]) -> None:
        """Take every value of a group."""
        inner = self.inside(node)
        for key, child in node.pairs:
            inner.take(child, (*path, key))

    def take(self, node: Node, path: tuple[str, ...]) -> None:
        """Take one value or group to where its key says."""
        if (isinstance(node, Leaf) and node.blank) or is_unit_key(path[-1], node):
            return
        match = self._resolve(path)
        of_pass = self.area in ("pass", "qualified")
        # The table of passes often has the title of its form: "Welding procedure".
        titled = match is None or match.field.target == "procedure.number"
        if titled and not of_pass and _is_pass_list(node):
            self._passes(node, match.of if match else "", path)
        elif match is None:
            self._unknown(node, path)
        elif match.field.kind in ("group", "groups"):
            self._subgroup(match, node, path)
        elif match.field.numeric:
            self._quantities(match, node, path)
        else:
            self._texts(match, node, path)

    def _resolve(self, path: tuple[str, ...]) -> Match | None:
        """Look in the fields of this area, then in those of the procedure or of a flat pass."""
        found = resolve(path, self.area)
        if self.area in ("pass", "qualified"):
            return found
        other = resolve(path, "pass" if self.area == "procedure" else "procedure")
        if found is None or (other is not None and other.depth < found.depth):
            return other
        if found.of and other is not None and self.area == "metal" and not other.of:
            return other  # "thickness range, fillet" is a field of the procedure
        return found

    def _unknown(self, node: Node, path: tuple[str, ...]) -> None:
        """Look inside a group that has no name here; what is left stays for `other`."""
        for item in parts_of(node):
            if isinstance(item, Group):
                self.group(item, path)

    # Texts

    def _texts(self, match: Match, node: Node, path: tuple[str, ...]) -> None:
        if match.field.area == self.area == "metal" and words_of(path[-1])[:1] == ("to",):
            # "P-No. 1 ... to P-No. 8" is about a second base metal.
            replace(self, area="procedure", bag=self.found.top)._texts(match, node, path)
            return
        group = WHOLE.get(match.field.target)
        if group and not isinstance(node, Leaf) and _own_text(node) is None:
            self._subgroup(replace(match, field=field_of(f"procedure.{group}")), node, path)
        elif isinstance(node, Leaf):
            self._text(match, node)
        elif isinstance(node, Items):
            for item in node.items:
                if isinstance(item, Leaf):
                    self._text(match, item, whole=True)
                elif isinstance(item, Group):
                    self._texts(match, item, path)
        elif (said := _own_text(node)) is not None:
            self.found.covered.update(leaf.place for leaf in leaves(node))
            self._put_text(match.field, said)
        elif match.field.target == "procedure.number":
            # {"wps": {...}} holds a whole procedure or its head.
            self.group(node, ())
        elif match.field.target == "procedure.processes":
            self._process_block(node)
        elif match.field.name.endswith("composition") and (mixture := _mixture(node)):
            self.found.covered.update(leaf.place for leaf in leaves(node))
            self._put_text(match.field, Text(mixture, match.of, node.place))
        else:
            for key, child in node.pairs:
                # A key that is not a field says what the text is about: {"GTAW": "DCEN"}.
                if self._resolve((*path, key)) or isinstance(child, Group):
                    self.take(child, (*path, key))
                else:
                    self._texts(replace(match, of=key), child, path)

    def _text(self, match: Match, leaf: Leaf, *, whole: bool = False) -> None:
        """Put a text where it belongs; one that holds a list is split unless it is an item."""
        if leaf.blank:
            return
        to, text = match.field, leaf.text
        if to.target == "procedure.modes" and KIND.fullmatch(text):
            to = field_of("procedure.kind")
        elif to.target == "filler.text" and self.area != "filler" and COUNT.fullmatch(text):
            to = field_of("technique.electrodes")  # "electrodes": "single"
        suspected = suspect_date(text) if to.target == "pass.label" else None
        if leaf.date and to.name != "date":
            suspected = suspect_date(text[:10]) or "a size or a number"
        if suspected:
            self.found.slip("date", text, f"a spreadsheet's date for {suspected}", leaf.place)
        whole = whole or len(text) > LONGEST
        parts = [text]
        if to.kind == "split" and not whole:
            parts = [part for part in SPLIT_OF.get(to.name, SPLIT).split(text) if part.strip()]
        for part in parts:
            self._put_text(to, Text(part, match.of, leaf.place))

    def _put_text(self, to: Field, text: Text) -> None:
        self._bag(to, text.of).texts[to.target].append(text)

    def _bag(self, to: Field, of: str) -> Bag:
        """Choose the bag: this one, the procedure's, or that of a pass written flat."""
        if to.area == self.area:
            return self.bag
        if to.area == "pass":
            named = of if PROCESS.fullmatch(of) else ""
            return self.found.flat.setdefault(named, Bag(of=named))
        return self.found.top

    # Quantities

    def _quantities(self, match: Match, node: Node, path: tuple[str, ...]) -> None:
        to = match.field
        if to.dimension == "current" and isinstance(node, Leaf) and POLARITY.fullmatch(node.text):
            target = "pass.polarity" if self.area == "pass" else "procedure.polarities"
            self._text(replace(match, field=field_of(target)), node)
            return
        if to.name == "voltage" and path[-1] == "v" and _is_speed(node):
            match = replace(match, field=field_of("pass.travel_speed"), unit="")
            to = match.field
        if to.name == "preheat_min" and isinstance(node, Items) and _is_preheat_table(node):
            steps = field_of("procedure.preheat_by_thickness")
            self._subgroup(replace(match, field=steps), node, path)
            return
        if isinstance(node, Group):
            node = self._split_group(match, node, path)
        self._ranges(match, match.of, node)

    def _split_group(self, match: Match, node: Group, path: tuple[str, ...]) -> Group:
        """Keep the limits, unit and words of a range; send the rest where its keys say."""
        kept: dict[str, Node] = {}
        inner = self.inside(node)
        for key, child in node.items.items():
            if isinstance(child, Leaf) and child.blank:
                continue
            if side_of(key):
                kept[key] = child
                continue
            if is_unit_key(key, child):
                continue
            found = self._resolve((*path, key))
            group = child.items if isinstance(child, Group) else None
            if found is not None and found.field == match.field and found.of and group is None:
                inner._ranges(replace(match, unit=found.unit or match.unit), key, child)
            elif found is not None or (group is not None and not any(map(side_of, group))):
                inner.take(child, (*path, key))
            else:
                inner._ranges(match, key, child)
        return Group(kept, node.place)

    def _ranges(self, match: Match, of: str, node: Node) -> None:
        """Read the ranges of a value, all or those of one process, code or formula."""
        # A unit in the key itself comes before one that is declared beside it.
        declared, place = ("", "") if match.unit else unit_for(match.field, self.units)
        ask = replace(match, of=of, declared=declared, unit_place=place)
        to = match.field
        if to.area == "qualified":
            to = field_of(f"procedure.qualified_{to.name}")
        for each in quantities(node, ask):
            self._bag(to, each.of).quantities[to.target].append(each)
            for kind, suspected in each.doubts:
                self.found.slip(kind, each.text, suspected, each.place)

    # Groups

    def _subgroup(self, match: Match, node: Node, path: tuple[str, ...]) -> None:
        name = match.field.name
        if name == "passes":
            self._passes(node, match.of, path)
        elif name == "tests":
            told = isinstance(node, Leaf) and path[-1] == match.field.title
            self._tests(node, path[-1], told=told)
        elif name == "preheat_by_thickness" and isinstance(node, Leaf):
            self._written_steps(node)
        elif name in SINGLE or not isinstance(node, Group):
            for item in parts_of(node):
                self._entry(name, item, match.of)
        elif name == "preheat_by_thickness":
            self._step_table(node)
        elif _knows(node, GROUPS[name]):
            self._entry(name, node, match.of)
        elif name in ("gases", "heat_treatments"):
            self.group(node, path)
        else:
            for key, child in node.items.items():
                if isinstance(child, Items):
                    self.take(child, (*path, key))
                else:
                    self._entry(name, child, key)

    def _entry(self, name: str, node: Node, of: str) -> None:
        """Take one of several groups: a base metal, a filler, a gas; or a text in its place."""
        if isinstance(node, Group):
            self._into(name, node.place, of).group(node, ())
        elif isinstance(node, Leaf) and (target := LONE.get(name)):
            self._text(Match(field_of(target), of=of), node, whole=True)

    def _into(self, name: str, place: str, of: str = "") -> _Walk:
        """Go on into a group of fields; one of several has a bag of its own."""
        if name in SINGLE:
            return replace(self, area=GROUPS[name], bag=self.found.top)
        bag = Bag(place=place, of=of)
        self.found.groups[name].append(bag)
        return replace(self, area=GROUPS[name], bag=bag)

    def _step_table(self, node: Group) -> None:
        """Take {"up to 3/4 in": 50, "over 3/4 in": 150} as a preheat table."""
        if not all(re.search(r"\d", key) for key in node.items):
            self._entry("preheat_by_thickness", node, "")
            return
        for key, child in node.items.items():
            inner = self._into("preheat_by_thickness", child.place)
            size = Leaf(key, f"{child.place} (key)")
            inner._quantities(Match(field_of("step.thickness")), size, (key,))
            inner._quantities(Match(field_of("step.minimum")), child, (key,))

    def _written_steps(self, leaf: Leaf) -> None:
        """Take "up to 3/4 in: 50 F; over 3/4 in: 150 F" as a preheat table."""
        parts = [part.partition(":") for part in leaf.text.split(";")]
        if all(colon and re.search(r"\d", thickness) for thickness, colon, _ in parts):
            steps: dict[str, Node] = {
                thickness.strip(): replace(leaf, value=minimum.strip())
                for thickness, _, minimum in parts
            }
            self._step_table(Group(steps, leaf.place))

    def _passes(self, node: Node, of: str, path: tuple[str, ...]) -> None:
        inside = node.items if isinstance(node, Group) else {}
        groups = {key: child for key, child in inside.items() if isinstance(child, Group)}
        if isinstance(node, Leaf):
            self._text(Match(field_of("technique.passes_per_side"), of=of), node)
        elif isinstance(node, Items):
            for item in node.items:
                self._entry("passes", item, of)
        elif _knows(node, "pass"):
            self._entry("passes", node, of)
        elif groups and len(groups) == len(node.items):
            for key, child in groups.items():
                inner = self._into("passes", child.place, of)
                inner.group(child, ())
                if key and not inner.bag.texts["pass.label"]:
                    target = "pass.process" if PROCESS.fullmatch(key) else "pass.label"
                    inner.bag.texts[target].append(Text(key, place=child.place))
        else:
            self.group(node, path)

    def _process_block(self, node: Group) -> None:
        """Take {"process": "GTAW", "filler": ...}: fields that hold for one process."""
        name = next(
            (
                child.text
                for key, child in node.items.items()
                if isinstance(child, Leaf) and words_of(key)[-1:] in (("process",), ("name",))
            ),
            "",
        )
        for key, child in node.items.items():
            if isinstance(child, Leaf) and child.text == name and name:
                self._text(Match(field_of("procedure.processes")), child, whole=True)
            elif PROCESS.fullmatch(key) and isinstance(child, Group):
                self.found.top.texts["procedure.processes"].append(Text(key, place=child.place))
                self.group(child, (key,))
            else:
                self.take(child, (name, key) if PROCESS.fullmatch(name) else (key,))

    def _tests(self, node: Node, name: str, *, told: bool = False) -> None:
        """Keep the tests of a record as printed, under their names.

        A test may be `told` as on our own form: "Bend tests: no open defects".
        """
        if isinstance(node, Leaf):
            label, colon, result = node.text.partition(": ")
            name, text = (label, result) if told and colon else ("" if told else name, node.text)
            if not node.blank:
                self.found.tests.append(Entry(name, text or label, node.place))
        elif isinstance(node, Items):
            for item in node.items:
                self._tests(item, name)
        else:
            for key, child in node.pairs:
                self._tests(child, f"{name} / {key}")


def _knows(node: Group, area: str) -> bool:
    """Whether a group has fields of an area of its own, beside a mere process name."""
    found = [resolve((key,), area) for key in node.items]
    return any(match is not None and match.field.name != "process" for match in found)


def _is_speed(node: Node) -> bool:
    """Whether "v" is the speed, as in formulas where U is the voltage: the printed unit decides."""
    return (
        isinstance(node, Leaf) and dimension_of(parse_quantity(node.text, "speed").unit) == "speed"
    )


def _mixture(node: Group) -> str:
    """Write {"Ar": 75, "CO2": 25} as "75 Ar / 25 CO2"; empty if it is not a gas mixture."""
    shares = {
        k: leaf for k, leaf in node.items.items() if isinstance(leaf, Leaf) and not leaf.blank
    }
    if len(shares) < len(node.items) or not GASES.issuperset(key.casefold() for key in shares):
        return ""
    return " / ".join(f"{leaf.text} {key}" for key, leaf in shares.items())


def _own_text(node: Node) -> Text | None:
    """Read {"text": "DCEN", "of": "GTAW"}, as our own layout writes it."""
    if not isinstance(node, Group):
        return None
    said, of = node.items.get("text"), node.items.get("of")
    if isinstance(said, Leaf) and not said.blank and set(node.items) <= {"text", "of"}:
        return Text(said.text, of.text if isinstance(of, Leaf) else "", said.place)
    return None


def _is_preheat_table(node: Items) -> bool:
    """Whether a list under "preheat" has a thickness in its lines."""
    return any(
        isinstance(item, Group) and any("thickness" in words_of(key) for key in item.items)
        for item in node.items
    )


def _is_pass_list(node: Node) -> bool:
    """Whether a list holds passes, whatever it is called.

    Its groups have a current, a voltage or a travel speed, and none has the number of a procedure.
    """
    keys = [
        key
        for item in (node.items if isinstance(node, Items) else ())
        if isinstance(item, Group)
        for key in item.items
    ]
    found = [(resolve((key,), "pass"), resolve((key,), "procedure")) for key in keys]
    return any(one is not None and one.field.name in OF_A_PASS for one, _ in found) and not any(
        one is None and whole is not None and whole.field.target == "procedure.number"
        for one, whole in found
    )
