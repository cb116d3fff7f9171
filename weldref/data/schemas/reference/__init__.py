"""The reference tables: what standards, codes and handbooks print beside the windows.

One class is one file of ``datasets/reference``; its docstring says what a row states. A
column that holds several values parts them by "; ". A column called ``as_printed`` keeps the
source's own text wherever it had to be taken apart. In a column pair ``..._over`` and
``..._to`` the lower edge is outside the band and the upper edge inside; where the edges of a
band differ from row to row, ``..._inclusive`` says which belong to it (empty: not stated).
"""

from __future__ import annotations

from weldref.data.schemas.fields import Table
from weldref.data.schemas.reference import (
    base_metals,
    fillers,
    heat,
    iso,
    practice,
    safety,
    setup,
    welds,
)
from weldref.data.schemas.reference.base import SHARED, Reference
from weldref.data.schemas.reference.examples import WorkedExamples

__all__ = ["REFERENCE_TABLES", "SHARED", "WorkedExamples"]

REFERENCE_TABLES: dict[str, type[Table]] = {
    str(model.Config.name): model
    for module in (safety, fillers, base_metals, iso, welds, heat, practice, setup)
    for model in vars(module).values()
    if isinstance(model, type) and issubclass(model, Reference) and model is not Reference
}
"""Every table of ``datasets/reference`` by the stem of its file."""
