"""Which preheat? Every published method for one joint, side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from weldref.cautions import Caution, cautions_for
from weldref.errors import InputError
from weldref.formulas.carbon import carbon_equivalent
from weldref.formulas.formula import weakest
from weldref.formulas.preheat import preheat_en1011_method_b, susceptibility_index
from weldref.lookup import Match, find
from weldref.situation import Situation, describe
from weldref.store import Store, open_store
from weldref.units import Units, UnitSystem
from weldref.verdict import in_system, most_specific

METHOD_A = (
    "EN 1011-2 method A is a set of diagrams (carbon equivalent, combined thickness, heat input "
    "and hydrogen scale): read the preheat from the figure; no closed form is published"
)
MORE_IS_NOT_SAFER = ("aluminium-preheat", "quenched-tempered", "austenitic-interpass")
"""Cautions of metals on which a higher preheat does harm."""


@dataclass(frozen=True, slots=True)
class Method:
    """The minimum preheat by one method, or why it gives none.

    `celsius` is None where the method needs more input or has no row; `note` says which.
    """

    method: str
    celsius: float | None
    printed: str
    source_id: str
    source: str
    locator: str | None
    how_read: str
    parts: Mapping[str, float]
    note: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """All methods for one joint; nothing is averaged and no winner is chosen.

    `governing` holds the answers of the code that the user named, if any.
    """

    situation: dict[str, str]
    methods: tuple[Method, ...]
    lowest: float | None
    highest: float | None
    governing: tuple[Method, ...]
    pointers: tuple[str, ...]
    warnings: tuple[Caution, ...]


def compare_preheat(
    *,
    material: str,
    thickness: str | float,
    process: str | None = None,
    electrode: str | None = None,
    composition: Mapping[str, float] | None = None,
    hydrogen: float | None = None,
    hydrogen_level: str | None = None,
    restraint: str | None = None,
    heat_input: float | None = None,
    code: str | None = None,
    units: UnitSystem = "us",
) -> Comparison:
    """Put the minimum preheat of every published method beside each other.

    Parameters
    ----------
    material, thickness, process, electrode
        The joint, in any common spelling; the tables of codes go by these.
    composition
        Mass percent by chemical symbol, from a mill certificate; the formulas go by it.
    hydrogen
        Diffusible hydrogen in mL/100 g (EN 1011-2 method B).
    hydrogen_level, restraint
        "H1", "H2" or "H3", and "low", "medium" or "high" (AWS D1.1 annex).
    heat_input
        Heat input with thermal efficiency, J/m (EN 1011-2 method B).
    code
        Part of a document's name: its answers are given apart as the governing ones.

    Raises
    ------
    InputError
        If a condition, an element or a level is not accepted.

    Examples
    --------
    AWS D1.1:2015, Table 3.3: A36, 1 in, low-hydrogen electrode: 50 F, that is 10 degC.

    >>> found = compare_preheat(
    ...     material="A36", thickness="1 in", process="SMAW", electrode="E7018", code="AWS D1.1"
    ... )
    >>> [(m.printed, round(m.celsius)) for m in found.governing if m.celsius is not None]
    [('at least 50 F', 10)]
    """
    store = open_store()
    situation = describe(
        store,
        material=material,
        thickness=thickness,
        process=process,
        electrode=electrode,
        units=units,
    )
    if situation.thickness is None:
        raise InputError("thickness: every method depends on it; give it")
    inches = situation.thickness.unit in ("in", "ft")
    methods = _tables(store, situation, "us" if inches else "metric")
    methods += [
        _method_b(store, situation, composition, hydrogen, heat_input),
        _d11_annex(store, situation, composition, hydrogen_level, restraint),
    ]
    known = [method.celsius for method in methods if method.celsius is not None]
    return Comparison(
        situation=situation.given(),
        methods=tuple(methods),
        lowest=min(known, default=None),
        highest=max(known, default=None),
        governing=tuple(_of_code(methods, code)) if code else (),
        pointers=(METHOD_A,),
        warnings=tuple(c for c in cautions_for(store, situation) if c.caution in MORE_IS_NOT_SAFER),
    )


def _of_code(methods: list[Method], code: str) -> list[Method]:
    wanted = code.casefold().replace(" ", "").replace("-", "")
    found = [
        m
        for m in methods
        if wanted in f"{m.source_id}{m.source}".casefold().replace(" ", "").replace("-", "")
    ]
    if not found:
        names = ", ".join(sorted({m.source_id for m in methods}))
        raise InputError(f"code: '{code}' gives no preheat here; the methods come from {names}")
    return found


def _tables(store: Store, situation: Situation, system: UnitSystem) -> list[Method]:
    """What the tables of codes print, each document speaking as in a check."""
    by_source: dict[str, list[Match]] = defaultdict(list)
    for match in find(store, situation, "preheat"):
        if match.gives_verdict and match.row["min"] is not None:
            by_source[match.row["source_id"]].append(match)
    kelvin = Units(store)
    methods = []
    for matches in by_source.values():
        for match in most_specific(in_system(matches, system)):
            row = match.row
            methods.append(
                Method(
                    method=f"table, {row['basis']}",
                    celsius=round(kelvin.convert(row["min_si"], "C"), 6),
                    printed=f"at least {row['min']:g} {row['unit']}",
                    source_id=row["source_id"],
                    source=row["source"],
                    locator=row["locator"],
                    how_read=match.grade,
                    parts={},
                    note="; ".join(match.assumptions),
                )
            )
    return methods


def _name(store: Store, source_id: str) -> str:
    (row,) = store.rows("SELECT name FROM documents WHERE source_id = $id", {"id": source_id})
    return str(row["name"])


def _without(store: Store, method: str, source_id: str, locator: str, needs: list[str]) -> Method:
    note = "needs " + ", ".join(needs)
    name = _name(store, source_id)
    return Method(method, None, "", source_id, name, locator, "memory", {}, note)


def _method_b(
    store: Store,
    situation: Situation,
    composition: Mapping[str, float] | None,
    hydrogen: float | None,
    heat_input: float | None,
) -> Method:
    needs = [
        name
        for name, given in (
            ("composition", composition),
            ("hydrogen", hydrogen),
            ("heat input", heat_input),
        )
        if given is None
    ]
    method = "EN 1011-2 method B"
    if composition is None or hydrogen is None or heat_input is None:
        return _without(store, method, "en-1011-2", "C.3", needs)
    assert situation.thickness is not None  # noqa: S101  compare_preheat has asked for it
    cet = carbon_equivalent("carbon-equivalent-cet", composition)
    found = preheat_en1011_method_b(
        cet=cet.value, thickness=situation.thickness.si, hydrogen=hydrogen, heat_input=heat_input
    )
    return Method(
        method=method,
        celsius=found.value,
        printed="formula",
        source_id="en-1011-2",
        source=_name(store, "en-1011-2"),
        locator="C.3, as formula C.8 of DIN EN 1011-2",
        how_read=weakest((found.grade, cet.grade)),
        parts={"CET": cet.value, **found.parts},
        note="; ".join((*cet.caveats, *found.caveats)),
    )


def _d11_annex(
    store: Store,
    situation: Situation,
    composition: Mapping[str, float] | None,
    hydrogen_level: str | None,
    restraint: str | None,
) -> Method:
    method, source_id, locator = "AWS D1.1 annex, hydrogen control", "aws-d1-1-2004", "Table XI-2"
    needs = [
        name
        for name, given in (
            ("composition", composition),
            ("hydrogen level", hydrogen_level),
            ("restraint", restraint),
        )
        if given is None
    ]
    if composition is None or hydrogen_level is None or restraint is None:
        return _without(store, method, source_id, locator, needs)
    restraints = ("low", "medium", "high")
    if restraint not in restraints:
        raise InputError(f"restraint: '{restraint}' is not accepted; give {', '.join(restraints)}")
    assert situation.thickness is not None  # noqa: S101  compare_preheat has asked for it
    pcm = carbon_equivalent("carbon-equivalent-pcm", composition)
    index = susceptibility_index(pcm=pcm.value, hydrogen_level=hydrogen_level)
    rows: list[dict[str, Any]] = store.rows(
        """
        WITH letter AS (
            SELECT susceptibility_group AS g FROM d11_susceptibility_groups
            WHERE hydrogen_level = $level AND $pcm < pcm_below ORDER BY pcm_below LIMIT 1
        )
        SELECT p.*, d.name AS source FROM d11_annex_preheat p JOIN documents d USING (source_id)
        WHERE susceptibility_group = (SELECT g FROM letter) AND restraint = $restraint
        AND (thickness_min IS NULL OR $inches > thickness_min
            OR ($inches = thickness_min AND thickness_min_inclusive))
        AND (thickness_max IS NULL OR $inches < thickness_max
            OR ($inches = thickness_max AND thickness_max_inclusive))
        """,
        {
            # The letter stands in the table by Pcm; rounding the index can give another.
            "level": hydrogen_level,
            "pcm": pcm.value,
            "restraint": restraint,
            "inches": situation.thickness.si / 0.0254,
        },
    )
    parts = {"Pcm": pcm.value, "susceptibility index": index.value}
    if not rows or rows[0]["preheat_min"] is None:
        name = _name(store, source_id)
        note = "; ".join([*pcm.caveats, "no number in the table for this case"])
        return Method(method, None, "", source_id, name, locator, "memory", parts, note)
    row = rows[0]
    return Method(
        method=method,
        celsius=(row["preheat_min"] - 32.0) / 1.8,
        printed=f"at least {row['preheat_min']:g} F, group {row['susceptibility_group']}",
        source_id=row["source_id"],
        source=row["source"],
        locator=row["locator"],
        how_read=weakest((row["how_read"], pcm.grade, index.grade)),
        parts=parts,
        note="; ".join(filter(None, [*pcm.caveats, *index.caveats, row["status"] or ""])),
    )
