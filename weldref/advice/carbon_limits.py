"""How high can a grade's carbon equivalent be? From its composition limits: an upper bound."""

from __future__ import annotations

import re
from typing import Any

from weldref.advice.handbook import Statement
from weldref.core.bands import inside
from weldref.data.store import open_store
from weldref.errors import InputError
from weldref.formulas.carbon import CARBON_EQUIVALENTS, carbon_equivalent_upper_bound
from weldref.formulas.formula import weakest


def _plain(text: str) -> str:
    """Reduce a name to what tells grades apart.

    >>> _plain("ASTM A572 Gr. 50") == _plain("A572-50")
    True
    """
    words = re.sub(r"\b(?:astm|aisi|sae|en|grade|gr|type)\b\.?", " ", text.casefold())
    return re.sub(r"[^a-z0-9]", "", words)


def grade_carbon_equivalent(
    grade: str, equivalent: str = "carbon-equivalent-iiw", thickness: float | None = None
) -> list[Statement]:
    """Upper bounds of a grade's carbon equivalent, one for each printed table of limits.

    Parameters
    ----------
    grade
        Standard and grade: "A36", "A572 50", "S355J2", "1018".
    equivalent
        A carbon-equivalent formula by name.
    thickness
        Thickness in m, where limits go by thickness; every band when left out.

    Returns
    -------
    list of Statement
        A bound from the limits is not the equivalent of a heat; elements without a limit, named
        in the note, can take a heat above it.

    Raises
    ------
    InputError
        If no table has the grade, or the formula is not known.

    Examples
    --------
    ASTM A572 Grade 50 plate and bar, Table 2: C 0.23, Mn 1.35 at most.

    >>> [round(s.value, 3) for s in grade_carbon_equivalent("A572 50")][0]
    0.455
    """
    if equivalent not in CARBON_EQUIVALENTS:
        raise InputError(
            f"equivalent: '{equivalent}' is not known; give {', '.join(CARBON_EQUIVALENTS)}"
        )
    rows = open_store().rows(
        """
        SELECT c.*, d.name AS source
        FROM base_metal_composition c JOIN documents d USING (source_id)
        WHERE status IS NULL ORDER BY standard, grade, product, thickness_over, source_id
        """
    )
    tables: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    names: dict[str, str] = {}
    for row in rows:
        name = " ".join(filter(None, (row["standard"], row["grade"])))
        names[_plain(name)] = name
        names.setdefault(_plain(row["grade"] or name), name)
        if _plain(grade) in (_plain(name), _plain(row["grade"] or name)):
            key = (name, row["product"], row["thickness_over"], row["thickness_to"],
                   row["thickness_unit"], row["source_id"])  # fmt: skip
            tables.setdefault(key, []).append(row)
    if not tables:
        from difflib import get_close_matches

        near = get_close_matches(_plain(grade), names, n=4, cutoff=0.5)
        hint = f"; did you mean {', '.join(names[n] for n in near)}?" if near else ""
        raise InputError(f"grade: no composition limits are held for '{grade}'{hint}")
    return [
        statement
        for key, limits in tables.items()
        if _thickness_fits(key[2], key[3], key[4], thickness)
        for statement in [_bound(key, limits, equivalent)]
    ]


def _thickness_fits(
    over: float | None, to: float | None, unit: str | None, thickness: float | None
) -> bool:
    if thickness is None or unit is None:
        return True
    value = thickness / (0.0254 if unit == "in" else 0.001)
    return inside(value, over, to, low_included=False)


def _bound(key: tuple[Any, ...], limits: list[dict[str, Any]], equivalent: str) -> Statement:
    name, product, over, to, unit, source_id = key
    maxima = {row["element"]: row["max"] for row in limits if row["max"] is not None}
    band = ""
    if unit is not None:
        band = " ".join(
            filter(None, (f"over {over:g}" if over else "", f"to {to:g}" if to else "", unit))
        )
    condition = ", ".join(filter(None, (name, product, band)))
    first = limits[0]
    if "C" not in maxima:
        return Statement(
            equivalent, None, "%", condition, source_id, first["source"], first["locator"],
            first["how_read"], "no limit of carbon is printed",
        )  # fmt: skip
    result = carbon_equivalent_upper_bound(equivalent, maxima)
    return Statement(
        what=equivalent,
        value=result.value,
        unit="%",
        condition=condition,
        source_id=source_id,
        source=first["source"],
        locator=first["locator"],
        how_read=weakest((result.grade, *(row["how_read"] for row in limits))),
        note="; ".join(result.caveats),
    )
