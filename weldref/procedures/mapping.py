"""Sort each value of a file into its field, by one tolerant mapping for every layout.

The tree of a file is walked once; each key is resolved through the table of fields, and what is
found is collected in bags from which `build.py` makes a Procedure. Nothing here is
bound to one file's layout: flat or nested, lists or groups of passes, limits in one field or in
two all come down to the same bags.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field, replace

from weldref.procedures.declared import Declared, is_unit_key
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
WHOLE = {
    "metal.text": "procedure.base_metals",
    "filler.text": "procedure.fillers",
    "joint.text": "procedure.joint",
    "technique.text": "procedure.technique",
}
"""Texts that stand for a whole group, which may come as a group as well."""


LONE = {
    "base_metals": "metal.text",
    "fillers": "filler.text",
    "gases": "gases.shielding.composition",
    "joint": "joint.text",
    "technique": "technique.text",
    "qualified": "procedure.prequalified",
    "heat_treatments": "heats.PWHT.text",
}
"""Where a text goes that stands for a whole group: "joint": "single V"."""


@dataclass(slots=True)
class Bag:
    """What was found for the fields of one group, by target."""

    texts: dict[str, list[Text]] = field(default_factory=lambda: defaultdict(list))
    quantities: dict[str, list[Quantity]] = field(default_factory=lambda: defaultdict(list))
    place: str = ""
    of: str = ""


@dataclass(slots=True)
class Found:
    """Everything that a file held, sorted by field but not yet built.

    `covered` are places that were read, `aside` those that go to `other` all the same, with what
    to say of each, if anything.
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


@dataclass(frozen=True, slots=True)
class Scope:
    """Where the walk is: which fields are expected, into which bag, under which units."""

    area: str
    bag: Bag
    units: Declared


def collect(root: Group) -> Found:
    """Sort every value of a file into the fields of the model.

    >>> from weldref.procedures.tree import as_tree
    >>> found = collect(as_tree({"WPS No.": "7", "passes": [{"amps": "90-150"}]}))
    >>> found.top.texts["procedure.number"][0].text
    '7'
    >>> str(found.groups["passes"][0].quantities["pass.current"][0])
    '90 to 150 A'
    """
    walk = _Walk(Found())
    walk.group(root, (), Scope("procedure", walk.found.top, Declared.of_group(root, "procedure")))
    return walk.found


@dataclass(frozen=True, slots=True)
class _Walk:
    found: Found

    def group(self, node: Group, path: tuple[str, ...], scope: Scope) -> None:
        """Take every value of a group."""
        inner = replace(scope, units=Declared.of_group(node, scope.area, scope.units))
        for key, child in node.pairs:
            self.take(child, (*path, key), inner)

    def take(self, node: Node, path: tuple[str, ...], scope: Scope) -> None:
        """Take one value or group to where its key says."""
        if (isinstance(node, Leaf) and node.blank) or is_unit_key(path[-1], node):
            return
        match = self._resolve(path, scope)
        of_pass = scope.area in ("pass", "qualified")
        # The table of passes often has the title of its form: "Welding procedure".
        titled = match is None or match.field.target == "procedure.number"
        if titled and not of_pass and _is_pass_list(node):
            self._passes(node, match.of if match else "", path, scope)
        elif match is None:
            self._unknown(node, path, scope)
        elif match.field.kind in ("group", "groups"):
            self._subgroup(match, node, path, scope)
        elif match.field.numeric:
            self._quantities(match, node, path, scope)
        else:
            self._texts(match, node, path, scope)

    def _resolve(self, path: tuple[str, ...], scope: Scope) -> Match | None:
        """Look in the scope's own fields, then in those of the procedure or of a flat pass."""
        found = resolve(path, scope.area)
        if scope.area in ("pass", "qualified"):
            return found
        other = resolve(path, "pass" if scope.area == "procedure" else "procedure")
        if found is None or (other is not None and other.depth < found.depth):
            return other
        if found.of and other is not None and scope.area == "metal" and not other.of:
            return other  # "thickness range, fillet" is a field of the procedure
        return found

    def _unknown(self, node: Node, path: tuple[str, ...], scope: Scope) -> None:
        """Look inside a group that has no name here; what is left stays for `other`."""
        for item in parts_of(node):
            if isinstance(item, Group):
                self.group(item, path, scope)

    # Texts

    def _texts(self, match: Match, node: Node, path: tuple[str, ...], scope: Scope) -> None:
        area = match.field.area
        if area == scope.area == "metal" and words_of(path[-1])[:1] == ("to",):
            # "P-No. 1 ... to P-No. 8" speaks of a second base metal.
            scope = replace(scope, area="procedure", bag=self.found.top)
        group = WHOLE.get(match.field.target)
        if group and not isinstance(node, Leaf) and _own_text(node) is None:
            self._subgroup(replace(match, field=field_of(group)), node, path, scope)
        elif isinstance(node, Leaf):
            self._text(match, node, scope)
        elif isinstance(node, Items):
            for item in node.items:
                if isinstance(item, Leaf):
                    self._text(match, item, scope, whole=True)
                elif isinstance(item, Group):
                    self._texts(match, item, path, scope)
        elif (said := _own_text(node)) is not None:
            self.found.covered.update(leaf.place for leaf in leaves(node))
            self._put_text(match.field, said, scope)
        elif match.field.target == "procedure.number":
            # {"wps": {...}} holds a whole procedure or its head.
            self.group(node, (), scope)
        elif match.field.target == "procedure.processes":
            self._process_block(node, scope)
        elif match.field.name.endswith("composition") and _is_mixture(node):
            self.found.covered.update(leaf.place for leaf in leaves(node))
            shares = [f"{leaf.text} {key}" for key, leaf in _leaves_of(node).items()]
            self._put_text(match.field, Text(" / ".join(shares), match.of, node.place), scope)
        else:
            for key, child in node.pairs:
                # A key that no field goes by says of what the text speaks: {"GTAW": "DCEN"}.
                if self._resolve((*path, key), scope) or isinstance(child, Group):
                    self.take(child, (*path, key), scope)
                else:
                    self._texts(replace(match, of=key), child, path, scope)

    def _text(self, match: Match, leaf: Leaf, scope: Scope, *, whole: bool = False) -> None:
        """Put a text where it belongs; one that holds a list is split unless it is an item."""
        if leaf.blank:
            return
        to, text = match.field, leaf.text
        if to.target == "procedure.modes" and KIND.fullmatch(text):
            to = field_of("procedure.kind")
        elif to.target == "filler.text" and scope.area != "filler" and COUNT.fullmatch(text):
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
            self._put_text(to, Text(part, match.of, leaf.place), scope)

    def _put_text(self, to: Field, text: Text, scope: Scope) -> None:
        self._bag(to, text.of, scope).texts[to.target].append(text)

    def _bag(self, to: Field, of: str, scope: Scope) -> Bag:
        """Choose the bag: the scope's own, the procedure's, or that of a pass written flat."""
        if to.area == scope.area:
            return scope.bag
        if to.area == "pass":
            named = of if PROCESS.fullmatch(of) else ""
            return self.found.flat.setdefault(named, Bag(of=named))
        return self.found.top

    # Quantities

    def _quantities(self, match: Match, node: Node, path: tuple[str, ...], scope: Scope) -> None:
        to = match.field
        if to.dimension == "current" and isinstance(node, Leaf) and POLARITY.fullmatch(node.text):
            target = "pass.polarity" if scope.area == "pass" else "procedure.polarities"
            self._text(replace(match, field=field_of(target)), node, scope)
            return
        if to.name == "voltage" and path[-1] == "v" and _is_speed(node):
            match = replace(match, field=field_of("pass.travel_speed"), unit="")
            to = match.field
        if to.name == "preheat_min" and isinstance(node, Items) and _is_preheat_table(node):
            steps = field_of("procedure.preheat_by_thickness")
            self._subgroup(replace(match, field=steps), node, path, scope)
            return
        if isinstance(node, Group):
            node = self._split_group(match, node, path, scope)
        self._pieces(match, match.of, node, scope)

    def _split_group(self, match: Match, node: Group, path: tuple[str, ...], scope: Scope) -> Group:
        """Keep the limits, unit and words of a range; send the rest where its keys say."""
        kept: dict[str, Node] = {}
        inner = replace(scope, units=Declared.of_group(node, scope.area, scope.units))
        for key, child in node.items.items():
            if isinstance(child, Leaf) and child.blank:
                continue
            if side_of(key):
                kept[key] = child
                continue
            if is_unit_key(key, child):
                continue
            inside = self._resolve((*path, key), scope)
            same = inside is not None and inside.field == match.field
            if inside is not None and not same:
                self.take(child, (*path, key), inner)
            elif inside is not None and inside.of and not isinstance(child, Group):
                self._pieces(replace(match, unit=inside.unit or match.unit), key, child, inner)
            elif inside is not None or (
                isinstance(child, Group) and not any(side_of(k) for k in child.items)
            ):
                self.take(child, (*path, key), inner)
            else:
                self._pieces(match, key, child, inner)
        return Group(kept, node.place)

    def _pieces(self, match: Match, of: str, node: Node, scope: Scope) -> None:
        """Read the ranges of a value, all or those of one process, code or formula."""
        # A unit in the key itself comes before one that is declared beside it.
        declared, place = ("", "") if match.unit else scope.units.unit_for(match.field)
        ask = replace(match, of=of, declared=declared, unit_place=place)
        to = match.field
        if to.area == "qualified":
            to = field_of(f"procedure.qualified_{to.name}")
        for each in quantities(node, ask):
            self._bag(to, each.of, scope).quantities[to.target].append(each)
            for kind, suspected in each.doubts:
                self.found.slip(kind, each.text, suspected, each.place)

    # Groups

    def _subgroup(self, match: Match, node: Node, path: tuple[str, ...], scope: Scope) -> None:
        name = match.field.name
        if name == "passes":
            self._passes(node, match.of, path, scope)
        elif name == "tests":
            told = isinstance(node, Leaf) and path[-1] == match.field.title
            self._tests(node, path[-1], told=told)
        elif name == "preheat_by_thickness" and isinstance(node, Leaf):
            self._written_steps(node, scope)
        elif name in ("joint", "technique", "qualified"):
            for part in parts_of(node):
                if isinstance(part, Group):
                    self.group(part, (), Scope(GROUPS[name], self.found.top, scope.units))
                elif isinstance(part, Leaf):
                    self._lone(name, part, match.of, scope)
        elif not isinstance(node, Group):
            for item in parts_of(node):
                if isinstance(item, Group):
                    self._entry(name, item, match.of, scope)
                elif isinstance(item, Leaf):
                    self._lone(name, item, match.of, scope)
        elif name == "preheat_by_thickness":
            self._step_table(node, scope)
        elif _knows(node, GROUPS[name]):
            self._entry(name, node, match.of, scope)
        elif name in ("gases", "heat_treatments"):
            self.group(node, path, scope)
        else:
            for key, child in node.items.items():
                if isinstance(child, Group):
                    self._entry(name, child, key, scope)
                elif isinstance(child, Leaf):
                    self._lone(name, child, key, scope)
                else:
                    self.take(child, (*path, key), scope)

    def _lone(self, name: str, leaf: Leaf, of: str, scope: Scope) -> None:
        if target := LONE.get(name):
            self._text(Match(field_of(target), of=of), leaf, scope, whole=True)

    def _entry(self, name: str, node: Group, of: str, scope: Scope) -> Bag:
        """Take one of several groups: a base metal, a filler, a gas, a preheat step, a pass."""
        bag = Bag(place=node.place, of=of)
        self.found.groups[name].append(bag)
        self.group(node, (), Scope(GROUPS[name], bag, scope.units))
        return bag

    def _step_table(self, node: Group, scope: Scope) -> None:
        """Take {"up to 3/4 in": 50, "over 3/4 in": 150} as a preheat table."""
        if not all(re.search(r"\d", key) for key in node.items):
            self._entry("preheat_by_thickness", node, "", scope)
            return
        for key, child in node.items.items():
            bag = Bag(place=child.place)
            self.found.groups["preheat_by_thickness"].append(bag)
            inner = Scope("step", bag, scope.units)
            size = Leaf(key, f"{child.place} (key)")
            self._quantities(Match(field_of("step.thickness")), size, (key,), inner)
            self._quantities(Match(field_of("step.minimum")), child, (key,), inner)

    def _written_steps(self, leaf: Leaf, scope: Scope) -> None:
        """Take "up to 3/4 in: 50 F; over 3/4 in: 150 F" as a preheat table."""
        parts = [part.partition(":") for part in leaf.text.split(";")]
        if all(colon and re.search(r"\d", thickness) for thickness, colon, _ in parts):
            steps: dict[str, Node] = {
                thickness.strip(): replace(leaf, value=minimum.strip())
                for thickness, _, minimum in parts
            }
            self._step_table(Group(steps, leaf.place), scope)

    def _passes(self, node: Node, of: str, path: tuple[str, ...], scope: Scope) -> None:
        if isinstance(node, Leaf):
            to = field_of("technique.passes_per_side")
            self._text(Match(to, of=of), node, scope)
        elif isinstance(node, Items):
            for item in node.items:
                if isinstance(item, Group):
                    self._entry("passes", item, of, scope)
        elif _knows(node, "pass"):
            self._entry("passes", node, of, scope)
        elif node.items and all(isinstance(child, Group) for child in node.items.values()):
            for key, child in node.items.items():
                if isinstance(child, Group):
                    bag = self._entry("passes", child, of, scope)
                    if key and not bag.texts["pass.label"]:
                        to_name = "pass.process" if PROCESS.fullmatch(key) else "pass.label"
                        bag.texts[to_name].append(Text(key, place=child.place))
        else:
            self.group(node, path, scope)

    def _process_block(self, node: Group, scope: Scope) -> None:
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
                self._text(Match(field_of("procedure.processes")), child, scope, whole=True)
            elif PROCESS.fullmatch(key) and isinstance(child, Group):
                self.found.top.texts["procedure.processes"].append(Text(key, place=child.place))
                self.group(child, (key,), scope)
            else:
                self.take(child, (name, key) if PROCESS.fullmatch(name) else (key,), scope)

    def _tests(self, node: Node, name: str, *, told: bool = False) -> None:
        """Keep the tests of a record as they stand, under their names.

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
    """In formulas v is the speed and U the voltage: the unit printed with the value tells."""
    return (
        isinstance(node, Leaf) and dimension_of(parse_quantity(node.text, "speed").unit) == "speed"
    )


def _is_mixture(node: Group) -> bool:
    """Tell whether a group is a gas mixture such as {"Ar": 75, "CO2": 25}."""
    shares = _leaves_of(node)
    return (
        bool(shares)
        and len(shares) == len(node.items)
        and GASES.issuperset(key.casefold() for key in shares)
    )


def _own_text(node: Node) -> Text | None:
    """Read {"text": "DCEN", "of": "GTAW"}, as our own layout writes it."""
    if not isinstance(node, Group):
        return None
    said, of = node.items.get("text"), node.items.get("of")
    if isinstance(said, Leaf) and not said.blank and set(node.items) <= {"text", "of"}:
        return Text(said.text, of.text if isinstance(of, Leaf) else "", said.place)
    return None


def _leaves_of(node: Group) -> dict[str, Leaf]:
    """Return the single values of a group, blank ones left out."""
    found = ((key, child) for key, child in node.items.items())
    return {key: child for key, child in found if isinstance(child, Leaf) and not child.blank}


def _is_preheat_table(node: Items) -> bool:
    """Tell whether a list under "preheat" has a thickness in its lines."""
    return any(
        isinstance(item, Group) and any("thickness" in words_of(key) for key in item.items)
        for item in node.items
    )


def _is_pass_list(node: Node) -> bool:
    """Tell whether a list holds passes, whatever it is called.

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
