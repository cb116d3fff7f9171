"""One situation, resolved once and asked everything: its ranges, a check, the card."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Unpack

from weldref.advice.card import Card, card_of
from weldref.core import situation as resolving
from weldref.core.check import CheckResult, check_situation, dataset_of, read_values
from weldref.core.lookup import find
from weldref.core.situation import LABELS, Conditions, conditions_in, describe
from weldref.core.units import UnitSystem
from weldref.core.wording import html_table
from weldref.data.own import Given
from weldref.data.store import open_tables
from weldref.errors import InputError
from weldref.grades import accepted_grades

if TYPE_CHECKING:
    import pandas as pd


class Situation:
    """What is on the bench, read once and asked for its ranges, a check or the card.

    Parameters
    ----------
    grade
        The lowest evidence grade to accept: "read", "secondary" or "memory".
    own
        Own tables, as in `weldref.check`.
    **conditions
        ``process``, ``transfer_mode``, ``material``, ``electrode``, ``joint``, ``position``,
        ``polarity``, ``gas``, ``tungsten`` and ``code`` in any common spelling; ``diameter`` and
        ``thickness`` with a unit, as an inch fraction or bare; ``under_water`` and
        ``in_service`` as true or false; ``units``, "us" or "metric", says how bare numbers are
        read. Leave out what is not known.

    Raises
    ------
    InputError
        If a condition or the grade is not accepted.

    Examples
    --------
    >>> bench = Situation(process="SMAW", electrode="E7018", diameter="1/8")
    >>> bench.check(current=250).verdict
    'high'
    """

    def __init__(
        self, *, grade: str = "memory", own: Given = None, **conditions: Unpack[Conditions]
    ) -> None:
        _, unknown = conditions_in(conditions)
        for name in unknown:
            accepted = ", ".join(Conditions.__annotations__)
            raise InputError(f"situation: '{name}' is not a condition; give {accepted}")
        accepted_grades(grade)
        self.store = open_tables(own)
        self.grade = grade
        self.resolved: resolving.Situation = describe(self.store, **conditions)

    def ranges(
        self, quantity: str | None = None, *, units: UnitSystem | None = None
    ) -> pd.DataFrame:
        """Return every range and setting that applies, one row each.

        Parameters
        ----------
        quantity
            For example "current"; every quantity when left out.
        units
            "us" or "metric"; that of the situation when left out. A number printed in other
            units is converted; `weldref.windows` has it as printed.

        Returns
        -------
        pandas.DataFrame
            ``quantity``, ``min``, ``max``, ``typical``, ``unit``; the conditions that the row
            states, by the names of the columns of the table windows; ``fit`` (exact, near or
            broad: a broad row can only fail a value), ``grade``, ``basis``, ``source``, ``title``,
            ``locator``, and ``own`` for rows of own tables. The closest fit comes first. Columns
            and types are the same without rows. ``attrs`` has the situation and the dataset.

        Raises
        ------
        InputError
            If the quantity or the unit system is not known.

        Examples
        --------
        >>> bench = Situation(process="SMAW", electrode="E7018", diameter="1/8", grade="read")
        >>> bench.ranges("current")[["min", "max", "unit", "fit"]].values.tolist()[0]
        [110.0, 160.0, 'A', 'near']
        """
        from weldref.core.frames import ranges_frame

        if units not in (None, "us", "metric"):
            raise InputError(f"units: '{units}' is not a unit system; give us or metric")
        asked = replace(self.resolved, units=units or self.resolved.units)
        return ranges_frame(self.store, asked, quantity, self.grade)

    def check(self, **readings: str | float) -> CheckResult:
        """Check proposed values, as `weldref.check` does.

        Parameters
        ----------
        **readings
            The proposed values by quantity: ``current=180``, ``wire_feed_speed="250 in/min"``.

        Raises
        ------
        InputError
            If a quantity, a unit or a value is not accepted, or none is given.
        """
        return check_situation(self.store, self.resolved, readings, self.grade)

    def card(self, *, line: int = 1, **proposed: str | float) -> Card:
        """Answer what to set, with one card, as `weldref.bench` does.

        Parameters
        ----------
        line
            Which of the lines that fit leads the card, from 1 on.
        **proposed
            Values by quantity, each judged beside the card's.

        Raises
        ------
        InputError
            If a value is not accepted, or the situation names no process.
        """
        values = read_values(self.store, proposed, self.resolved.units)
        return card_of(self.store, self.resolved, values, self.grade, line)

    def __repr__(self) -> str:
        return "\n".join((f"situation: {self.resolved}", self._quantities(), self._notes()))

    def _repr_html_(self) -> str:
        """The situation as a notebook shows it: each condition as it is stored."""
        rows = [(LABELS[name], value) for name, value in self.resolved.given().items()]
        below = (self._quantities(), self._notes())
        return html_table(f"situation: {self.resolved}", ("condition", "read as"), rows, below)

    def _quantities(self) -> str:
        found = find(self.store, self.resolved, None, self.grade)
        named = dict.fromkeys(m.row["quantity"].replace("_", " ") for m in found if m.gives_verdict)
        return f"something is said of: {', '.join(named)}" if named else "nothing is said of it"

    def _notes(self) -> str:
        dataset = dataset_of(self.store)
        said = [f"dataset {dataset['version']}, {dataset['digest'][:12]}", *self.resolved.notes]
        return "; ".join(said)
