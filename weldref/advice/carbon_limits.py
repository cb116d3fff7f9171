"""Find the highest carbon equivalent a grade can have, from its composition limits."""

from __future__ import annotations

import re
from typing import Any

from weldref.advice.handbook import Statement
from weldref.core.bands import inside
from weldref.data.store import open_store
from weldref.errors import InputError
from weldref.formulas.carbon import CARBON_EQUIVALENTS, carbon_equivalent_upper_bound
from weldref.grades import weakest


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
    tables: _Tables = {}
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
        _bound(key, limits, equivalent)
        for key, limits in _with_wider(tables).items()
        if _thickness_fits(key[2], key[3], key[4], thickness)
    ]


_Tables = dict[tuple[Any, ...], list[dict[str, Any]]]


def _with_wider(tables: _Tables) -> _Tables:
    """Give each band the limits that its table prints for wider bands or for every thickness.

    A wider band that prints no carbon then says nothing that the bands inside it do not.
    """
    found, only_wider = {}, set()
    for key, limits in tables.items():
        own = {row["element"] for row in limits}
        wider = [other for other in tables if other != key and _encloses(other, key)]
        found[key] = limits + [
            row for other in wider for row in tables[other] if row["element"] not in own
        ]
        only_wider |= {o for o in wider if all(r["element"] != "C" for r in tables[o])}
    return {key: limits for key, limits in found.items() if key not in only_wider}


def _encloses(outer: tuple[Any, ...], inner: tuple[Any, ...]) -> bool:
    """Tell whether one band of a source's table holds all of another: names, over, to, unit.

    >>> every = ("S355J2", "flat", None, None, None, "en")
    >>> _encloses(every, ("S355J2", "flat", 0.0, 16.0, "mm", "en"))
    True
    """
    if (*outer[:2], outer[5]) != (*inner[:2], inner[5]) or outer[4] not in (None, inner[4]):
        return False
    below = (outer[2] or 0.0) <= (inner[2] or 0.0)
    return below and (outer[3] is None or (inner[3] is not None and outer[3] >= inner[3]))


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
