"""The worked examples that the tests check against."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.
# ruff: noqa: D106

from __future__ import annotations

import json

import pandas as pd
import pandera.pandas as pa

from weldref.data.schemas.fields import Table, choice, key, number
from weldref.data.schemas.reference.base import Reference


def _opens_as_object(cell: str) -> bool:
    try:
        return isinstance(json.loads(cell), dict)
    except ValueError:
        return False


EXAMPLE_TOPICS = (
    "arc_energy",
    "burn_off",
    "carbon_equivalent",
    "consistency",
    "constitution",
    "cooling",
    "cracking",
    "cup_size",
    "cutting",
    "deposition",
    "designation",
    "filler_requirement",
    "filter_shade",
    "heat_input",
    "load_voltage",
    "local_exhaust",
    "minimum_fillet",
    "minimum_pjp",
    "peak_temperature",
    "polarity",
    "preheat",
    "qualification",
    "sheet_gauge",
    "shielding_gas_code",
    "starting_current",
    "storage",
    "torch_cooling",
    "tungsten_class",
    "unit_conversion",
    "weld_size",
    "weld_strength",
    "weld_weight",
    "window_check",
)
"""What a worked example is about."""


class WorkedExamples(Reference):
    """A case with a known answer, for tests: published, or computed from a published rule."""

    example_id: str = key("name of the example")
    kind: str = choice(
        "published: the answer is in the source; computed: it is our own arithmetic",
        ("published", "computed"),
    )
    topic: str = choice("what it is about", EXAMPLE_TOPICS)
    inputs: str = key("what is given, a JSON object", holds="object")
    expected: str = key("the answer, a JSON object", holds="object")
    tolerance: float = number(
        "permitted deviation in the unit of the answer (0 exact, empty: stated as about)",
        unit_in="expected",
        at_least=0,
        empty=True,
    )

    class Config(Table.Config):
        name = "worked_examples"
        unique = ["example_id"]

    @pa.check("inputs", "expected", error="give a JSON object")
    @classmethod
    def is_json_object(cls, values: pd.Series[str]) -> pd.Series[bool]:
        """Parse every cell."""
        return values.map(_opens_as_object)
