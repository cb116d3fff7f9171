"""State what holds for the dataset as a whole: name, version, licences, who made it."""

from __future__ import annotations

from typing import Any

from weldref.data.folder import DATASET_RELEASED, DATASET_VERSION

NAME = "weldref"
TITLE = "Published welding-parameter ranges, every number with its source"
DESCRIPTION = (
    "Every row is one published statement: under these conditions, this minimum, maximum or "
    "typical value, in the unit as printed, with its source, the place in the source and how it "
    "was read. Nothing is averaged, blended, interpolated or extrapolated. Inside a published "
    "range is not safe, qualified or sound."
)
LICENCE: dict[str, Any] = {
    "name": "CC0-1.0",
    "title": "Creative Commons Zero v1.0 Universal",
    "path": "https://creativecommons.org/publicdomain/zero/1.0/",
}
"""Of the compiled data; the code has a licence of its own, in the file LICENSE."""

AUTHORS = "The weldref authors"


def statement() -> dict[str, Any]:
    """Return what every export says of itself, in the terms of a Data Package.

    >>> statement()["licenses"][0]["name"]
    'CC0-1.0'
    """
    return {
        "name": NAME,
        "title": TITLE,
        "description": DESCRIPTION,
        "version": DATASET_VERSION,
        "created": f"{DATASET_RELEASED}T00:00:00Z",
        "licenses": [LICENCE],
        "contributors": [{"title": AUTHORS, "roles": ["author"]}],
    }
