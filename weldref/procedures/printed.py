"""Define a printed value: words, a range, and a slip that was noticed in them."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as attribute
from typing import Literal

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

    `of` says of what they speak where the file says so (a process, a code). Two texts are
    equal when they say the same, wherever they stood.
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
        What is said beside or instead of numbers: "unlimited", "as required", "approx.".
    of
        Of what the range speaks where the file says so: a process, a code, a formula.
    text
        The whole as printed.
    place
        Where it stood: a JSON pointer, sheet!cell or line:column.
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
    def stated(self) -> bool:
        """Whether any number is given."""
        return not (self.low is None and self.high is None and self.typical is None)

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
    """Something that no field takes, kept as it stood."""

    name: str
    text: str
    place: str = attribute(default="", compare=False)


@dataclass(frozen=True, slots=True)
class MachineRead:
    """How a machine read a value: what is doubtful about it, and whether a person confirmed it.

    `picture` shows the value as the paper has it (PNG), where there is one.
    """

    doubt: str = ""
    confirmed: bool = False
    picture: bytes = attribute(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class Slip:
    """Something that looks like a mistake of writing; the value itself is left as printed.

    `field` names where in the model it lies ("passes[0].heat_input"), or what the file calls it
    where no field of the model holds it alone; `place` says where in the file, `value` what is
    printed, `suspected` what may have been meant, in one clause.
    """

    kind: SlipKind
    field: str
    value: str
    suspected: str
    place: str = attribute(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.place or self.field}: {self.value}: {self.suspected}"
