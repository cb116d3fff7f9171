"""Define what a written procedure says, in one model for every layout of file.

Nothing is converted, corrected or filled in here: a value is what was printed, with its place in
the file. What looks like a slip is in `Procedure.slips`; what no field takes is in
`Procedure.other`.

At the level of the procedure every quantity and most texts are tuples, because forms give them
once for each process or code: an empty tuple means "not stated", and `of` says what a value is
for ("GTAW", "AWS root") where the file says so. In a pass each is one value or None.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from dataclasses import field as attribute
from typing import Any, Literal

SlipKind = Literal[
    "degree sign",  # a temperature whose last zero seems to be a degree sign: "1500C"
    "swapped limits",  # the lower limit is above the upper
    "unit heading",  # the unit cannot be right for the numbers below it
    "unknown unit",  # the unit is not one of the quantity, or not known
    "conversion",  # the same quantity is printed in two units that do not agree
    "date",  # a size that a spreadsheet turned into a date: 3/32 became Mar-32
    "percent",  # shares that do not add up to 100, a percentage as a decimal or the reverse
    "not a number",  # NaN or an infinity
    "text for a number",  # words for a quantity, not the usual ones ("as required", "unlimited")
    "zero",  # 0 where no 0 is possible: read as not stated
    "negative",  # below zero where nothing can be
    "comma",  # a comma that may separate decimals or thousands
    "several numbers",  # more than two numbers where a range is expected
    "implausible",  # a number far outside what arc welding ever uses
    "stated twice",  # two different values for one field
    "formula",  # a spreadsheet cell that computes its value: not used
    "external link",  # a cell that takes its value from another file: not used
    "unknown field",  # a field that no part of the model takes; it is kept in `other`
]
"""What a slip may be."""


@dataclass(frozen=True, slots=True)
class Text:
    """Words as printed.

    `of` is what they are for where the file says so (a process, a code). Two texts are equal when
    they say the same, wherever they were.
    """

    text: str
    of: str = ""
    place: str = attribute(default="", compare=False)

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Range:
    """A quantity as printed: one limit, two, or words such as "unlimited".

    Attributes
    ----------
    low, high
        The numbers as printed; equal for a single value; None where not stated.
    typical
        A target or nominal value printed beside the limits.
    unit
        The label of the unit in the table of units, or the unit as printed where it is not
        known there; empty where none is stated. Current and voltage are in A and V, and a
        length printed as a fraction is in inches, without saying so.
    words
        Words beside or instead of numbers: "unlimited", "as required", "approx.".
    of
        What the range is for where the file says so: a process, a code, a formula.
    text
        The whole as printed.
    place
        Where it was in the file: a JSON pointer, sheet!cell or line:column.
    also_at
        The other places that were read for it: the upper limit, the unit.

    Examples
    --------
    >>> print(Range(90, 150, "A"))
    90 to 150 A
    >>> Range(None, 450, "F").stated, Range(words="unlimited").stated
    (True, False)
    """

    low: float | None = None
    high: float | None = None
    unit: str = ""
    words: str = ""
    of: str = ""
    typical: float | None = None
    text: str = attribute(default="", compare=False)
    place: str = attribute(default="", compare=False)
    also_at: tuple[str, ...] = attribute(default=(), compare=False)

    @property
    def numbers(self) -> list[float]:
        """The numbers that are given: low, high, typical."""
        return [number for number in (self.low, self.high, self.typical) if number is not None]

    @property
    def stated(self) -> bool:
        """Whether any number is given."""
        return bool(self.numbers)

    @property
    def single(self) -> bool:
        """Whether one value is given instead of two limits."""
        return self.low is not None and self.low == self.high

    @property
    def unlimited(self) -> bool:
        """Whether the file says that there is no limit."""
        return self.words.casefold() in ("unlimited", "no limit", "any", "all")

    def __str__(self) -> str:
        if self.low is not None and self.high is not None:
            span = f"{self.low:g}" if self.single else f"{self.low:g} to {self.high:g}"
        elif self.low is not None:
            span = f"at least {self.low:g}"
        elif self.high is not None:
            span = f"at most {self.high:g}"
        elif self.typical is not None:
            span = f"{self.typical:g}"
        else:
            return self.words
        return " ".join(filter(None, (span, self.unit, self.words)))


@dataclass(frozen=True, slots=True)
class Named:
    """A range under the name of its field: a quantity printed a second time."""

    name: str
    value: Range


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that no field takes, kept as it was."""

    name: str
    text: str
    place: str = attribute(default="", compare=False)


@dataclass(frozen=True, slots=True)
class MachineRead:
    """How a machine read a value: what is doubtful about it, and whether a person confirmed it.

    `picture` shows the value on the paper (PNG), where there is one.
    """

    doubt: str = ""
    confirmed: bool = False
    picture: bytes = attribute(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class Slip:
    """Something that looks like a mistake of writing; the value itself is left as printed.

    `field` is where it is in the model ("passes[0].heat_input"), or what the file calls it where no
    field of the model holds it alone; `place` is where it is in the file, `value` what is printed,
    `suspected` what may have been meant, in one clause.
    """

    kind: SlipKind
    field: str
    value: str
    suspected: str
    place: str = attribute(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.place or self.field}: {self.value}: {self.suspected}"


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseMetal:
    """A base metal: `text` is the whole as printed, the rest what was found in it.

    `group` is the group number of a P-number or an ISO/TR 15608 group; `designations` are the
    single grades named in a longer text.
    """

    text: Text | None = None
    spec: Text | None = None
    grade: Text | None = None
    p_number: Text | None = None
    group: Text | None = None
    form: Text | None = None
    thickness: Range | None = None
    diameter: Range | None = None
    designations: tuple[Text, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Filler:
    """A filler metal: `text` is the whole as printed, the rest what was found in it.

    `process` and `passes` are what it is for ("GTAW"; "root").
    """

    text: Text | None = None
    process: Text | None = None
    passes: Text | None = None
    spec: Text | None = None
    classification: Text | None = None
    f_number: Text | None = None
    a_number: Text | None = None
    form: Text | None = None
    trade_name: Text | None = None
    flux: Text | None = None
    sizes: tuple[Range, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """A gas with its flow; `role` is shielding, backing, trailing or plasma."""

    role: str
    composition: Text | None = None
    flow: Range | None = None
    process: Text | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """The joint: `text` is a description in one sentence."""

    text: Text | None = None
    kind: Text | None = None
    weld: Text | None = None
    preparation: Text | None = None
    root_opening: Range | None = None
    root_face: Range | None = None
    groove_angle: Range | None = None
    bevel_angle: Range | None = None
    groove_radius: Range | None = None
    backing: Text | None = None
    backing_material: Text | None = None
    back_gouging: Text | None = None
    sides: Text | None = None
    fillet_size: Range | None = None

    @property
    def is_fillet(self) -> bool:
        """Whether it is a fillet weld alone; a groove weld unless the document says so.

        >>> Joint(weld=Text("fillet")).is_fillet, Joint(text=Text("groove with fillet")).is_fillet
        (True, False)
        """
        return "fillet" in self._said and not self.is_groove

    @property
    def is_groove(self) -> bool:
        """Whether the document says that it is a groove or butt weld, with or without fillets.

        >>> Joint(weld=Text("groove")).is_groove, Joint().is_groove
        (True, False)
        >>> Joint(kind=Text("butt weld in pipe")).is_groove
        True
        """
        return "groove" in self._said or "butt" in self._said

    @property
    def _said(self) -> str:
        return " ".join(str(said) for said in (self.text, self.kind, self.weld) if said).casefold()


@dataclass(frozen=True, slots=True, kw_only=True)
class PreheatStep:
    """One line of a preheat table: up to which thickness, which minimum."""

    thickness: Range
    minimum: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatTreatment:
    """A heat treatment: `kind` is "PWHT", "post-heating" or as printed."""

    kind: str
    text: Text | None = None
    temperature: Range | None = None
    time: Range | None = None
    heating_rate: Range | None = None
    cooling_rate: Range | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Technique:
    """How the torch or electrode is guided, and the work around it."""

    text: Text | None = None
    bead: Text | None = None
    weave_max: Text | None = None
    oscillation: Text | None = None
    passes_per_side: Text | None = None
    electrodes: Text | None = None
    cleaning: Text | None = None
    peening: Text | None = None
    baking: Text | None = None
    insert: Text | None = None
    preheat_maintenance: Text | None = None
    max_pass_thickness: Text | None = None
    nozzle_size: Range | None = None
    contact_tip_distance: Range | None = None
    electrode_extension: Range | None = None
    torch_angle: Range | None = None
    electrode_spacing: Text | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One line of the table of passes."""

    label: Text | None = None  # "root", "2-8", "all passes"
    process: Text | None = None
    mode: Text | None = None
    filler_class: Text | None = None  # "E7018"
    filler_spec: Text | None = None  # "A5.1"
    sizes: tuple[Range, ...] = ()  # one for each size of electrode or wire
    current: Range | None = None
    voltage: Range | None = None
    travel_speed: Range | None = None
    wire_feed_speed: Range | None = None
    heat_input: Range | None = None
    gas: Text | None = None
    gas_flow: Range | None = None
    polarity: Text | None = None
    transfer_mode: Text | None = None
    position: Text | None = None
    progression: Text | None = None
    preheat_min: Range | None = None
    interpass_max: Range | None = None
    peak_current: Range | None = None
    background_current: Range | None = None
    pulse_frequency: Range | None = None
    pulse_duration: Range | None = None
    tungsten: Text | None = None
    tungsten_size: Range | None = None
    contact_tip_distance: Range | None = None
    electrode_extension: Range | None = None
    run_out_length: Range | None = None
    arc_time: Range | None = None
    weld_length: Range | None = None
    thickness: Range | None = None
    efficiency: Range | None = None
    technique: Text | None = None
    remark: Text | None = None
    also: tuple[Named, ...] = ()  # the same quantity printed once more
    place: str = attribute(default="", compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """A written procedure or test record."""

    number: Text | None = None  # "WPS-A"
    kind: Text | None = None  # "WPS", "pWPS", "PQR"
    revision: Text | None = None
    date: Text | None = None
    title: Text | None = None
    organization: Text | None = None
    prepared_by: Text | None = None
    approved_by: tuple[Text, ...] = ()  # approval, review, witness: as printed
    prequalified: Text | None = None
    standards: tuple[Text, ...] = ()  # code or standard, with edition
    supporting_pqrs: tuple[Text, ...] = ()
    processes: tuple[Text, ...] = ()  # "GMAW"
    modes: tuple[Text, ...] = ()  # manual, semiautomatic ...
    base_metals: tuple[BaseMetal, ...] = ()
    thickness: tuple[Range, ...] = ()  # of the base metal that the procedure is for
    fillet_thickness: tuple[Range, ...] = ()
    pipe_diameter: tuple[Range, ...] = ()  # outside
    deposit_thickness: tuple[Range, ...] = ()  # of the weld metal
    coupon_thickness: tuple[Range, ...] = ()  # of the test piece
    test_deposit: tuple[Range, ...] = ()  # of the weld metal in the test piece
    qualified_thickness: tuple[Range, ...] = ()  # what the test qualifies
    qualified_deposit: tuple[Range, ...] = ()
    qualified_diameter: tuple[Range, ...] = ()
    joint: Joint = Joint()
    fillers: tuple[Filler, ...] = ()
    gases: tuple[Gas, ...] = ()
    positions: tuple[Text, ...] = ()  # "3G"
    progressions: tuple[Text, ...] = ()  # "up"
    polarities: tuple[Text, ...] = ()  # "DCEP", "AC"
    transfer_modes: tuple[Text, ...] = ()
    power_source: tuple[Text, ...] = ()  # constant current, constant voltage, pulse
    tungsten: tuple[Text, ...] = ()  # its class
    tungsten_size: tuple[Range, ...] = ()
    preheat_min: tuple[Range, ...] = ()  # `low` is the minimum
    preheat_by_thickness: tuple[PreheatStep, ...] = ()
    interpass_min: tuple[Range, ...] = ()  # `low` is the minimum
    interpass_max: tuple[Range, ...] = ()  # `high` is the maximum
    heat_input: tuple[Range, ...] = ()  # as printed, where it is given once for all
    efficiency: tuple[Range, ...] = ()  # thermal efficiency k, where stated
    carbon_equivalent: tuple[Range, ...] = ()  # limits of the base metal; `of` is the formula
    heat_treatments: tuple[HeatTreatment, ...] = ()
    technique: Technique = Technique()
    passes: tuple[Pass, ...] = ()
    tests: tuple[Entry, ...] = ()  # mechanical and other tests of a record
    remarks: tuple[Text, ...] = ()
    recorded: tuple[Text, ...] = ()  # inconsistencies that the file itself names
    source: tuple[Text, ...] = ()  # where the file's facts come from
    how_read: tuple[Text, ...] = ()
    units: tuple[Text, ...] = ()  # a unit system that the file states
    other: tuple[Entry, ...] = ()  # everything that no field takes
    slips: tuple[Slip, ...] = ()  # what looks like a mistake of writing
    file: str = attribute(default="", compare=False)
    layout: str = attribute(default="", compare=False)  # json, yaml, csv, xlsx, paper
    machine_read: Mapping[str, MachineRead] = attribute(default_factory=dict, compare=False)

    @property
    def name(self) -> str:
        """Its number, or else its file."""
        return self.number.text if self.number else self.file


def values(part: Any, name: str = "") -> Iterator[tuple[str, Text | Range | Entry]]:
    """Walk every value of a procedure or a part of it, with the name of its field.

    >>> shown = Procedure(number=Text("WPS-A"), passes=(Pass(current=Range(90, 150, "A")),))
    >>> [(name, str(value)) for name, value in values(shown)]
    [('number', 'WPS-A'), ('passes[0].current', '90 to 150 A')]
    """
    if isinstance(part, (Text, Range, Entry)):
        yield name, part
    elif isinstance(part, tuple):
        for index, item in enumerate(part):
            yield from values(item, f"{name}[{index}]")
    elif is_dataclass(part) and not isinstance(part, Slip):
        for each in fields(part):
            yield from values(getattr(part, each.name), f"{name}.{each.name}".lstrip("."))


def gather(part: object, *paths: str) -> list[Any]:
    """List the values at dotted paths, in each part of a list on the way; None is left out.

    >>> shown = Procedure(positions=(Text("1G"),), passes=(Pass(position=Text("2G")), Pass()))
    >>> [str(text) for text in gather(shown, "positions", "passes.position")]
    ['1G', '2G']
    """
    found: list[Any] = []
    for path in paths:
        parts: list[Any] = [part]
        for name in path.split("."):
            there = (getattr(one, name) for one in parts)
            lists = (value if isinstance(value, tuple) else (value,) for value in there)
            parts = [one for values in lists for one in values if one is not None]
        found += parts
    return found
