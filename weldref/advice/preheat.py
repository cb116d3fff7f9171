"""List the preheat for one joint by every published method, side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from weldref.core.bands import inside_sql
from weldref.core.cautions import Caution, cautions_for
from weldref.core.lookup import Match, find, traits_of
from weldref.core.situation import Situation, describe
from weldref.core.units import Units, UnitSystem
from weldref.core.verdict import by_document
from weldref.data.store import Store, open_store
from weldref.errors import InputError
from weldref.formulas.carbon import carbon_equivalent
from weldref.formulas.preheat import preheat_en1011_method_b, susceptibility_index
from weldref.grades import weakest

METHOD_A = (
    "EN 1011-2 method A is a set of diagrams (carbon equivalent, combined thickness, heat input "
    "and hydrogen scale): read the preheat from the figure; no closed form is published"
)
MORE_IS_NOT_SAFER = ("aluminium-preheat", "quenched-tempered", "austenitic-interpass")
"""Cautions of metals on which a higher preheat does harm."""

REPEATS = {"ti-809-26": "AWS D1.1"}
"""Documents whose table is that of another: what they print is no second opinion."""

STANDS_APART = (
    "{metal} hardens beside the weld: no minimum printed for steel in general holds for it. What "
    "holds is a table that names it and, from its mill certificate, EN 1011-2 method B and the "
    "AWS D1.1 annex within their ranges"
)


@dataclass(frozen=True, slots=True)
class Method:
    """The minimum preheat by one method, or why it gives none.

    `celsius` is None where the method needs more input or has no row, or where what it prints is
    for a broader metal than one that stands apart; `note` says which. `scope` is the code that
    it binds under, and `repeats` the code whose table it repeats.
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
    scope: str = ""
    repeats: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """All methods for one joint; nothing is averaged and no winner is chosen.

    `lowest` and `highest` leave out what only repeats another table. `governing` holds the answers
    of the code that the user named, if any.
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
        The code that governs, by its number or words of it ("AWS D1.1", "D1.1:2015", "AWS") or by
        its source id: its answers are given apart as the governing ones.

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
    known = [m.celsius for m in methods if m.celsius is not None and not m.repeats]
    return Comparison(
        situation=situation.given(),
        methods=tuple(methods),
        lowest=min(known, default=None),
        highest=max(known, default=None),
        governing=() if code is None else tuple(_of_code(store, methods, code)),
        pointers=(METHOD_A, *_apart(store, situation)),
        warnings=tuple(c for c in cautions_for(store, situation) if c.caution in MORE_IS_NOT_SAFER),
    )


def _apart(store: Store, situation: Situation) -> tuple[str, ...]:
    """Say which methods hold for a metal whose preheat is its own; nothing for any other."""
    metal = situation.terms["material"]
    apart = bool(set(metal.broader) & traits_of(store).apart)
    return (STANDS_APART.format(metal=metal.name),) if apart else ()


def _of_code(store: Store, methods: list[Method], code: str) -> list[Method]:
    """Pick the methods of the document that a code names by whole words of its number."""
    wanted = re.sub(r"[^a-z0-9.]", "", code.casefold()).strip(".")
    if len(wanted) < 2 or not re.search("[a-z]", wanted):
        raise InputError(
            f"code: '{code}' is not a document's name; give its number, for example AWS D1.1"
        )
    rows = store.rows(
        """
        SELECT source_id, concat_ws(' ', document_number, regexp_extract(edition, '[0-9]{4}')) AS n
        FROM sources WHERE list_contains($ids, source_id)
        """,
        {"ids": sorted({method.source_id for method in methods})},
    )
    named = {row["source_id"] for row in rows if _is_called(wanted, row["source_id"], row["n"])}
    if not named:
        names = ", ".join(sorted({m.source_id for m in methods}))
        raise InputError(f"code: '{code}' gives no preheat here; the methods come from {names}")
    return [method for method in methods if method.source_id in named]


def _is_called(wanted: str, source_id: str, number: str) -> bool:
    """Tell whether a name without its spaces is a source id, or words of a number in their order.

    >>> _is_called("awsd1.1m", "", "AWS D1.1/D1.1M 2015"), _is_called("d1", "", "AWS D1.1")
    (True, False)
    """
    # A part's number belongs to its standard's: 1011-2 is one word.
    words = re.findall(r"[a-z0-9]+(?:\.\d\w*|(?<=\d)-\d\w*)*", number.casefold())
    any_of_them = "".join(f"(?:{re.escape(word.replace('-', ''))})?" for word in words)
    return wanted == source_id.replace("-", "") or re.fullmatch(any_of_them, wanted) is not None


def _tables(store: Store, situation: Situation, system: UnitSystem) -> list[Method]:
    """What the tables of codes print, each document speaking as in a check: print, then memory."""
    speaking = [
        match
        for match in find(store, situation, "preheat")
        if match.gives_verdict and match.row["min"] is not None
    ]
    printed = [match for match in speaking if match.grade != "memory"]
    recalled = [match for match in speaking if match.grade == "memory"]
    kelvin = Units(store)
    kept = [
        match
        for same_grade in (printed, recalled)
        for matches in by_document(same_grade, system).values()
        for match in matches
    ]
    spoken = {match.row["scope"] for match in kept if match.row["source_id"] not in REPEATS}
    return [_from_table(match, kelvin, spoken) for match in kept]


def _from_table(match: Match, kelvin: Units, spoken: set[str | None]) -> Method:
    """Write a row as a method; one too broad for the metal gives no number."""
    row = match.row
    notes = [str(one) for one in match.assumptions]
    original = REPEATS.get(row["source_id"], "")
    repeats = original if original in spoken else ""
    if repeats:
        notes.append(f"repeats the table of {repeats}: no second document")
    general = "material" in match.ignores
    if general:
        notes.append("general, and no minimum for this metal")
    elif "thickness" in match.ignores:
        notes.append("names no thickness")
    # 32 F comes as a hair below 0 C, which rounds to -0; adding 0 takes the sign away.
    celsius = round(kelvin.convert(row["min_si"], "C"), 6) + 0.0
    return Method(
        method=f"table, {row['basis']}",
        celsius=None if general else celsius,
        printed=f"at least {row['min']:g} {row['unit']}",
        source_id=row["source_id"],
        source=row["source"],
        locator=row["locator"],
        how_read=match.grade,
        parts={},
        note="; ".join(notes),
        scope=row["scope"] or "",
        repeats=repeats,
    )


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
    letter = inside_sql("$pcm", None, "pcm_below", high_included="false")
    band = inside_sql(
        "$inches",
        "thickness_min",
        "thickness_max",
        "thickness_min_inclusive",
        "thickness_max_inclusive",
    )
    rows: list[dict[str, Any]] = store.rows(
        f"""
        WITH letter AS (
            SELECT susceptibility_group AS g FROM d11_susceptibility_groups
            WHERE hydrogen_level = $level AND {letter} ORDER BY pcm_below LIMIT 1
        )
        SELECT p.*, d.name AS source FROM d11_annex_preheat p JOIN documents d USING (source_id)
        WHERE susceptibility_group = (SELECT g FROM letter) AND restraint = $restraint AND {band}
        ORDER BY preheat_min DESC NULLS LAST
        """,  # noqa: S608  SQL of our own
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
    meeting = "two bands meet here: the higher counts" if len(rows) > 1 else ""
    return Method(
        method=method,
        celsius=(row["preheat_min"] - 32.0) / 1.8,
        printed=f"at least {row['preheat_min']:g} F, group {row['susceptibility_group']}",
        source_id=row["source_id"],
        source=row["source"],
        locator=row["locator"],
        how_read=weakest((row["how_read"], pcm.grade, index.grade)),
        parts=parts,
        note="; ".join(filter(None, [meeting, *pcm.caveats, *index.caveats, row["status"]])),
    )
