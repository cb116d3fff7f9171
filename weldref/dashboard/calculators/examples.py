"""Give invented values, shown faintly in an empty field as a pattern to follow.

They are ours and no advice: values of a class that builds handrails and a ramp.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any


@cache
def _examples() -> dict[tuple[str, str], str]:
    """Read the value of each input by formula; a formula without a name is any."""
    with Path(__file__).with_suffix(".csv").open(encoding="utf-8", newline="") as file:
        return {(row["formula"], row["input"]): row["value"] for row in csv.DictReader(file)}


def example(formula: str, parameter: str, choices: tuple[str, ...] = ()) -> str:
    """Give a pattern for one field; a word of a list when the field has one.

    >>> example("fillet-area", "leg"), example("wrc-1992-position", "nickel")
    ('1/4 in', '9.5 %')
    """
    known = _examples()
    found = known.get((formula, parameter)) or known.get(("", parameter), "")
    return choices[0] if choices and found not in choices else found


_ONE_WAY = {
    "heat-input-by-rule": ("voltage", "current", "travel_speed"),
    "susceptibility-index": ("hydrogen_level",),
    "filter-shade": ("current",),
    "preheat": ("electrode", "process"),
}
"""What an example needs beside the inputs without a default, where one input replaces another."""


def whole_example(
    explained: Mapping[str, Any], choices: Mapping[str, tuple[str, ...]]
) -> dict[str, str]:
    """Give an example of every input that the answer needs, and of every element.

    `explained` is what `weldref.calculate.by_name.explain` says of the formula; `choices` holds
    the words that a parameter takes, by parameter.
    """
    name = str(explained["name"])
    one_way = _ONE_WAY.get(name)
    return {
        p["name"]: example(name, p["name"], choices.get(p["name"], ()))
        for p in explained["parameters"]
        if p["needed"] or (p["name"] in one_way if one_way else "100 %" in p["accepted"])
    }
