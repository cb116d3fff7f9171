"""Tell which joint, weld and position of the pictures a situation is."""

from __future__ import annotations

from typing import Literal

from weldref.core.situation import Situation

Shape = Literal["square", "v", "double-v", "bevel", "tee", "lap", "corner"]
Weld = Literal["fillet", "groove"]

SHAPES: dict[str, Shape] = {
    "lap fillet": "lap",
    "corner fillet": "corner",
    "corner groove": "bevel",
    "T-joint groove": "bevel",
    "fillet": "tee",
    "corner joint": "corner",
    "square groove": "square",
    "single-V groove": "v",
    "double-V groove": "double-v",
    "single-bevel groove": "bevel",
}
"""Terms of the joint with a picture, the narrower before the broader."""

NUMBERS = {
    "flat": "1", "flat and horizontal": "", "horizontal": "2", "vertical": "3", "overhead": "4",
    "5G": "5", "6G": "6", "5F": "5",
}  # fmt: skip
"""Which of the test positions a term of position is, or is a kind of."""


def shape_of(situation: Situation) -> Shape | None:
    """Return the joint's picture; None where the joint was not said, or not which groove."""
    joint = situation.terms.get("joint")
    if joint is None:
        return None
    return next((shape for term, shape in SHAPES.items() if term in joint.broader), None)


def weld_of(situation: Situation) -> Weld | None:
    """Tell a fillet weld from a groove weld, by the joint or by the position."""
    joint, position = situation.terms.get("joint"), situation.terms.get("position")
    if joint is not None and {"fillet", "corner joint"} & set(joint.broader):
        return "fillet"
    if joint is not None and "groove" in joint.broader:
        return "groove"
    if position is not None and position.name[:1].isdigit():
        return "fillet" if "F" in position.name else "groove"
    return None


def position_of(situation: Situation) -> tuple[str, str]:
    """Return the number of the position, 1 to 6 or empty, and "up" or "down" where said."""
    position = situation.terms.get("position")
    if position is None:
        return "", ""
    number = next((NUMBERS[term] for term in position.broader if NUMBERS.get(term)), "")
    way = next((way for way in ("up", "down") if position.name.endswith(way)), "")
    return number, way
