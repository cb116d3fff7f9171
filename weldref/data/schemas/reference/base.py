"""What every reference table shares."""
# pandera reads the Config classes: they need neither docstrings nor ClassVar annotations.

from __future__ import annotations

import pandas as pd
import pandera.pandas as pa
from pandera.api.pandas.container import DataFrameSchema

from weldref.data.schemas.fields import Table, how_read, locator, source_id, status, text

SHARED = ("source_id", "locator", "how_read", "status", "remark")
"""The columns that end every reference table."""


LENGTH_UNITS = ("in", "mm")

BAND_PAIRS = (("min", "max"), ("over", "to"))
"""Endings of the column names that hold the lower and the upper edge of one band."""


class Reference(Table):
    """Base of the reference tables: where each statement stands and how it was read."""

    source_id: str = source_id()
    locator: str = locator()
    how_read: str = how_read()
    status: str = status()
    remark: str = text("what a reader should know: printed pairs, conditions, doubts")

    @classmethod
    def to_schema(cls) -> DataFrameSchema:
        """Build the schema with the shared columns last."""
        schema = super().to_schema()
        for name in SHARED:
            schema.columns[name] = schema.columns.pop(name)
        return schema

    @pa.dataframe_check(error="the upper edge of a band may not lie below its lower edge")
    @classmethod
    def band_is_not_upside_down(cls, frame: pd.DataFrame) -> pd.Series[bool]:
        """Compare every lower edge with the upper edge that belongs to it."""
        good = pd.Series(True, index=frame.index)
        for low in map(str, frame.select_dtypes("number").columns):
            for low_end, high_end in BAND_PAIRS:
                high = low.removesuffix(low_end) + high_end
                if low != high and low.endswith(low_end) and high in frame:
                    good &= ~(frame[low] > frame[high])
        return good
