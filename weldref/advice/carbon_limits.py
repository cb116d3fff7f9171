"""Find the highest carbon equivalent a grade can have, from its composition limits."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from weldref.advice.handbook import Statement
from weldref.core.bands import inside
from weldref.data.store import open_store
from weldref.errors import InputError
from weldref.formulas.carbon import CARBON_EQUIVALENTS, carbon_equivalent_upper_bound
from weldref.formulas.composition import ELEMENTS
from weldref.formulas.formula import REGISTRY
from weldref.grades import weakest


def _plain(text: str) -> str:
    """Reduce a name to the letters and digits that tell grades apart.

    >>> _plain("ASTM A572 Gr. 50") == _plain("A572-50")
    True
    """
    words = re.sub(r"\b(?:astm|aisi|sae|en|grade|gr|type)\b\.?", " ", text.casefold())
    return re.sub(r"[^a-z0-9]", "", words)


def grade_carbon_equivalent(
    grade: str, equivalent: str = "carbon-equivalent-iiw", thickness: float | None = None
) -> list[Statement]:
    """Return upper bounds of a grade's carbon equivalent, one for each printed table of limits.

    Parameters
    ----------
    grade
        Standard and grade: "A36", "A572 50", "S355J2", "1018".
    equivalent
        A carbon-equivalent formula by name, one that takes the composition alone.
    thickness
        Thickness in m, if the limits depend on it; every band when left out.

    Returns
    -------
    list of Statement
        A bound from the limits is not the equivalent of a heat: elements without a limit, which
        the note names, can raise a heat above it.

    Raises
    ------
    InputError
        If no table has the grade, or the formula is not known or takes more than a composition.

    Examples
    --------
    ASTM A572 Grade 50 plate and bar, Table 2: C 0.23, Mn 1.35 at most.

    >>> [round(s.value, 3) for s in grade_carbon_equivalent("A572 50")][0]
    0.455
    """
    by_composition = [
        name
        for name in CARBON_EQUIVALENTS
        if all(symbol.letter in ELEMENTS for symbol in REGISTRY[name].symbols.values())
    ]
    if equivalent not in by_composition:
        more = (
            "takes more than a composition" if equivalent in CARBON_EQUIVALENTS else "is not known"
        )
        raise InputError(f"equivalent: '{equivalent}' {more}; give {', '.join(by_composition)}")
    rows = open_store().rows(
        """
        SELECT c.*, d.name AS source
        FROM base_metal_composition c JOIN documents d USING (source_id)
        WHERE status IS NULL ORDER BY standard, grade, product, thickness_over, source_id
        """
    )
    tables: _Limits = {}
    names: dict[str, str] = {}
    for row in rows:
        name = " ".join(filter(None, (row["standard"], row["grade"])))
        names[_plain(name)] = name
        names.setdefault(_plain(row["grade"] or name), name)
        if _plain(grade) in (_plain(name), _plain(row["grade"] or name)):
            band = (row["thickness_over"], row["thickness_to"], row["thickness_unit"])
            table = _Table(name, row["product"], *band, row["source_id"])
            tables.setdefault(table, []).append(row)
    if not tables:
        from difflib import get_close_matches

        near = get_close_matches(_plain(grade), names, n=4, cutoff=0.5)
        hint = f"; did you mean {', '.join(names[n] for n in near)}?" if near else ""
        raise InputError(f"grade: no composition limits are held for '{grade}'{hint}")
    return [
        _bound(table, limits, equivalent)
        for table, limits in _with_wider(tables).items()
        if table.holds(thickness)
    ]


class _Table(NamedTuple):
    """What one printed table of limits is for: a grade, a product and a band of thickness."""

    name: str
    product: str | None
    over: float | None
    to: float | None
    unit: str | None
    source_id: str

    def holds(self, thickness: float | None) -> bool:
        """Tell whether the band holds a thickness in metres; None fits any."""
        if thickness is None or self.unit is None:
            return True
        value = thickness / (0.0254 if self.unit == "in" else 0.001)
        return inside(value, self.over, self.to, low_included=False)

    def encloses(self, other: _Table) -> bool:
        """Tell whether the band holds all of another band of the same source.

        >>> every = _Table("S355J2", "flat", None, None, None, "en")
        >>> every.encloses(_Table("S355J2", "flat", 0.0, 16.0, "mm", "en"))
        True
        """
        same = ("name", "product", "source_id")
        if any(getattr(self, field) != getattr(other, field) for field in same):
            return False
        if self.unit not in (None, other.unit) or (self.over or 0.0) > (other.over or 0.0):
            return False
        return self.to is None or (other.to is not None and self.to >= other.to)


_Limits = dict[_Table, list[dict[str, Any]]]


def _with_wider(tables: _Limits) -> _Limits:
    """Give each band also the limits that its source prints for wider bands.

    A wider band that has no carbon limit then says nothing more and is left out.
    """
    found, only_wider = {}, set()
    for table, limits in tables.items():
        own = {row["element"] for row in limits}
        wider = [other for other in tables if other != table and other.encloses(table)]
        found[table] = limits + [
            row for other in wider for row in tables[other] if row["element"] not in own
        ]
        only_wider |= {o for o in wider if all(r["element"] != "C" for r in tables[o])}
    return {table: limits for table, limits in found.items() if table not in only_wider}


def _bound(table: _Table, limits: list[dict[str, Any]], equivalent: str) -> Statement:
    name, product, over, to, unit, source_id = table
    maxima = {row["element"]: row["max"] for row in limits if row["max"] is not None}
    band = ""
    if unit is not None:
        band = " ".join(
            filter(None, (f"over {over:g}" if over else "", f"to {to:g}" if to else "", unit))
        )
    first = limits[0]
    value, how_read, note = None, first["how_read"], "no limit of carbon is printed"
    if "C" in maxima:
        result = carbon_equivalent_upper_bound(equivalent, maxima)
        value, note = result.value, "; ".join(result.caveats)
        how_read = weakest((result.grade, *(row["how_read"] for row in limits)))
    return Statement(
        what=equivalent,
        value=value,
        unit="%",
        condition=", ".join(filter(None, (name, product, band))),
        source_id=source_id,
        source=first["source"],
        locator=first["locator"],
        how_read=how_read,
        note=note,
    )
