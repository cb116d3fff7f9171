"""Make the address on a sheet that opens the dashboard, and its QR code."""

from __future__ import annotations

import io
from urllib.parse import urlencode

from weldref.core.situation import Situation

FIELD_OF = {
    "filler_class": "electrode",
    "electrode_size": "diameter",
    "tungsten_class": "tungsten",
    "scope": "code",
}
"""The dashboard's field for a condition, where its name differs."""


def situation_address(base: str, situation: Situation) -> str:
    """Write the address that opens the dashboard at a situation."""
    fields = situation_fields(situation)
    return f"{base}/?{urlencode(fields)}" if fields else base


def situation_fields(situation: Situation) -> dict[str, str]:
    """Name each condition as the dashboard's address does."""
    return {
        FIELD_OF.get(name, name): value
        for name, value in situation.given().items()
        if name != "environment"
    }


def code_svg(address: str) -> str:
    """Draw an address as a QR code, black on white, as SVG."""
    import segno

    out = io.BytesIO()
    code = segno.make(address, error="m", micro=False)
    code.save(out, kind="svg", border=4, xmldecl=False, nl=False, omitsize=True, light="#ffffff")
    return out.getvalue().decode("utf-8")
