"""The table of set-up rules: what cannot go together, and what seldom does."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

from typing import Any

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.fields import Table, choice, key, number, reference, text, truth
from weldref.data.schemas.reference.base import Reference

STRENGTHS = ("cannot be", "unusual", "worth knowing")
"""How much a rule says, strongest first."""

TOPICS = (
    "polarity",
    "tungsten",
    "gas",
    "transfer mode",
    "position",
    "filler",
    "size",
    "joint",
    "backing",
    "process",
    "preheat",
    "preheat method",
)

_CLASSES = "(a term, or a class with x for a digit and * for anything)"


def _terms(description: str, tree: str) -> Any:
    return reference(f"{description}; any of several", f"{tree}.term", empty=True, many=True)


def _edge(description: str, unit: str) -> Any:
    return number(description, unit=unit, at_least=0, empty=True)


class SetupRules(Reference):
    """What cannot go together in a set-up, what is unusual, and what is worth knowing of it."""

    rule_id: str = key("name of the rule", unique=True)
    topic: str = choice("what the rule is about", TOPICS)
    strength: str = choice("how much the rule says", STRENGTHS)
    holds_back: str = truth(
        "whether no value passes in such a set-up: the printed ranges are not for it", empty=False
    )
    process: str = _terms("process", "processes")
    transfer_mode: str = _terms("transfer mode", "transfer_modes")
    material: str = _terms("base metal", "materials")
    filler_class: str = text(f"class of filler metal {_CLASSES}; any of several", many=True)
    tungsten_class: str = _terms("class of the tungsten electrode", "tungsten_terms")
    electrode_size: str = reference(
        "labels of the electrode's size; any of several",
        "electrode_sizes.size",
        empty=True,
        many=True,
    )
    size_min: float = _edge("electrode size from", "in")
    size_min_inclusive: str = truth("whether that size belongs to the rule")
    size_max: float = _edge("electrode size to", "in")
    size_max_inclusive: str = truth("whether that size belongs to the rule")
    thickness_min: float = _edge("thickness from", "in")
    thickness_min_inclusive: str = truth("whether that thickness belongs to the rule")
    thickness_max: float = _edge("thickness to", "in")
    thickness_max_inclusive: str = truth("whether that thickness belongs to the rule")
    joint: str = _terms("joint or weld", "joints")
    position: str = _terms("position", "positions")
    polarity: str = _terms("polarity", "polarities")
    scope: str = _terms("code of the work", "specifications")
    gas_components: str = reference(
        "components of the gas whose shares are added up",
        "gas_components.component",
        empty=True,
        many=True,
    )
    share_min: float = _edge("their share from", "%")
    share_min_inclusive: str = truth("whether that share belongs to the rule")
    share_max: float = _edge("their share to", "%")
    share_max_inclusive: str = truth("whether that share belongs to the rule")
    environment: str = choice("surroundings of the work", ("under water",), empty=True)
    quantity: str = reference(
        "quantity that has to be proposed; electrode_diameter and base_metal_thickness are those "
        "of the situation",
        "quantities.quantity",
        empty=True,
    )
    value_min: float = number("value from", unit_in="unit", empty=True)
    value_min_inclusive: str = truth("whether that value belongs to the rule")
    value_max: float = number("value to", unit_in="unit", empty=True)
    value_max_inclusive: str = truth("whether that value belongs to the rule")
    unit: str = reference("unit of the value", "units.unit", empty=True)
    per: str = reference(
        "quantity by which the value is divided first", "quantities.quantity", empty=True
    )
    per_unit: str = reference("unit in which it is divided", "units.unit", empty=True)
    exceeds: str = reference(
        "the other quantity that the value exceeds", "quantities.quantity", empty=True
    )
    unless_process: str = _terms("silent for these processes", "processes")
    unless_transfer_mode: str = _terms("silent in these transfer modes", "transfer_modes")
    unless_material: str = _terms("silent on these base metals", "materials")
    unless_filler_class: str = text(
        f"silent with these classes of filler metal {_CLASSES}", many=True
    )
    unless_position: str = _terms("silent in these positions", "positions")
    unless_polarity: str = _terms("silent on these polarities", "polarities")
    what: str = key("what is said")
    why: str = key("the reason")
    exception: str = text("where it is done all the same")

    class Config(Table.Config):
        name = "setup_rules"
        unique = ["rule_id"]

    @pa.dataframe_check(error="give a condition: a rule without one would always apply")
    @classmethod
    def rests_on_something(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Ask each rule for a condition or a quantity."""
        columns = list(frame.columns)
        asked = columns[columns.index("process") : columns.index("unless_process")]
        return frame[asked].notna().any(axis=1)

    @pa.dataframe_check(error="a rule that says 'cannot be' holds back: give true")
    @classmethod
    def nothing_passes_what_cannot_be(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Ask each rule of what cannot be to hold back."""
        return (frame["strength"] != "cannot be") | (frame["holds_back"] == "true")

    @pa.dataframe_check(error="an edge needs what it bounds, and its `_inclusive` true or false")
    @classmethod
    def edges_are_whole(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Ask for the owner of each edge, and for what shares and values belong to."""
        good = pd.Series(True, index=frame.index)
        for edge in ("size", "thickness", "share", "value"):
            for end in ("min", "max"):
                column = f"{edge}_{end}"
                good &= frame[column].notna() == frame[f"{column}_inclusive"].notna()
        shares = frame[["share_min", "share_max"]].notna().any(axis=1)
        values = frame[["value_min", "value_max"]].notna().any(axis=1)
        good &= shares == frame["gas_components"].notna()
        good &= values == frame["unit"].notna()
        good &= frame["per"].notna() == frame["per_unit"].notna()
        good &= (values ^ frame["exceeds"].notna()) == frame["quantity"].notna()
        return good & ~(values & frame["exceeds"].notna())
