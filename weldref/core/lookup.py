"""Which published rows apply to a situation? Nothing is interpolated.

A row applies if none of the conditions that it states contradicts the situation. A condition
that it states and the situation leaves open becomes a named assumption, and so does one that
is narrower than what was given.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from weldref.core.bands import SLACK, inside_sql
from weldref.core.gas import Gases
from weldref.core.situation import LABELS, Situation
from weldref.core.terms import TREE_OF
from weldref.data.schemas.bases import VERDICT_BASES
from weldref.data.store import Store
from weldref.errors import InputError

GRADES = ("read", "secondary", "memory")

# How a row's condition stands to the situation. Zero and above: it matches, at that distance.
ASSUMED, NARROWER, CONTRADICTS = -1, -2, -3

NOMINAL = 0.02
"""A thickness printed as one nominal size also serves its twin in the other unit system
(3.2 mm for 1/8 in); the greatest difference between two such names, as a share."""

# Conditions that a situation cannot state: where a row has one, it is always an assumption.
UNSTATABLE = ("tungsten_class", "technique", "pass", "other_condition")


@dataclass(frozen=True, slots=True)
class Match:
    """One row of the windows with how each of its conditions stands to the situation."""

    row: dict[str, Any]
    codes: dict[str, int]
    assumptions: tuple[str, ...]
    grade: str
    """The row's evidence grade, or that of the group membership it rests on if weaker."""

    @property
    def applies(self) -> bool:
        """Whether no condition contradicts the situation."""
        return CONTRADICTS not in self.codes.values()

    @property
    def contradicted(self) -> tuple[str, ...]:
        """The conditions that do not fit."""
        return tuple(name for name, code in self.codes.items() if code == CONTRADICTS)

    @property
    def matched(self) -> frozenset[str]:
        """The conditions that the row states and the situation meets."""
        return frozenset(name for name, code in self.codes.items() if code >= 0)

    @property
    def assumed(self) -> frozenset[str]:
        """The conditions that the row adds to the situation."""
        return frozenset(n for n, code in self.codes.items() if code in (ASSUMED, NARROWER))

    @property
    def gives_verdict(self) -> bool:
        """Whether the row says what one may set, and says it without doubt."""
        return self.row["basis"] in VERDICT_BASES and self.row["status"] is None


def find(
    store: Store,
    situation: Situation,
    quantity: str | None = None,
    grade: str = "memory",
    *,
    own: bool = False,
) -> list[Match]:
    """Return the rows that apply, most specific first, then best grade.

    Parameters
    ----------
    store, situation
        The open store and the resolved question.
    quantity
        Stored name of a quantity; all quantities when left out.
    grade
        The lowest evidence grade to accept.
    own
        Whether to return own rows, which stand in a table apart, and not those on which
        verdicts rest.
    """
    found = compare(store, situation, quantity, grade, own=own)
    return [match for match in found if match.applies]


def nearby(
    store: Store, situation: Situation, quantity: str, grade: str = "memory", most: int = 5
) -> list[Match]:
    """Return rows of the same quantity that fit all but one or two conditions, nearest first."""
    near = [
        match
        for match in compare(store, situation, quantity, grade)
        if not match.applies
        and match.gives_verdict
        and "process" not in match.contradicted
        and "environment" not in match.contradicted
        and len(match.contradicted) <= 2
        and match.matched
    ]
    near.sort(key=lambda m: (len(m.contradicted), -len(m.matched), GRADES.index(m.grade)))
    seen: set[tuple[Any, ...]] = set()
    different = []
    for match in near:
        statement = tuple(match.row[c] for c in ("source_id", "min", "max", "typical", "unit"))
        if statement not in seen:
            seen.add(statement)
            different.append(match)
    return different[:most]


def compare(
    store: Store, situation: Situation, quantity: str | None, grade: str, *, own: bool = False
) -> list[Match]:
    """Return every row of a quantity with how its conditions stand to the situation.

    Raises
    ------
    InputError
        If the grade is none of `GRADES`.
    """
    if grade not in GRADES:
        raise InputError(f"grade: '{grade}' is not a grade; give {', '.join(GRADES)}")
    accepted = GRADES[: GRADES.index(grade) + 1]
    codes, parameters = _codes(store, situation)
    columns = ", ".join(f"{sql} AS code_{name}" for name, sql in codes.items())
    rows = store.rows(
        f"""
        SELECT w.*, d.name AS source, {columns}
        FROM {"own_windows" if own else "windows"} w JOIN documents d USING (source_id)
        WHERE list_contains($accepted, how_read) AND ($quantity IS NULL OR quantity = $quantity)
        """,  # noqa: S608
        {"accepted": list(accepted), "quantity": quantity, **parameters},
    )
    matches = [_match(row, list(codes), situation) for row in rows]
    matches = [match for match in matches if match.grade in accepted]
    matches.sort(
        key=lambda m: (
            -len(m.matched),
            len(m.assumptions),
            GRADES.index(m.grade),
            m.row["window_id"],
        )
    )
    return matches


def _codes(store: Store, situation: Situation) -> tuple[dict[str, str], dict[str, Any]]:
    """Write the SQL that compares each condition, and its parameters."""
    codes: dict[str, str] = {}
    parameters: dict[str, Any] = {}
    for name in TREE_OF:
        term = situation.terms.get(name)
        codes[name] = _listed(name, given=term is not None)
        if term is not None:
            parameters[f"{name}_same"] = list(term.broader)
            parameters[f"{name}_depth"] = list(term.broader.values())
            parameters[f"{name}_narrower"] = sorted(term.narrower)
    codes["electrode_size"] = _listed("electrode_size", given=situation.size is not None)
    if situation.size is not None:
        parameters["electrode_size_same"] = list(situation.sizes) or [situation.size]
        parameters["electrode_size_depth"] = list(situation.sizes.values()) or [0]
        parameters["electrode_size_narrower"] = []
    codes["gas"] = _listed("gas", given=situation.composition is not None)
    if situation.composition is not None:
        gases = Gases(store)
        wider = gases.wider(situation.composition)
        parameters["gas_same"] = wider
        parameters["gas_depth"] = [
            int(gases.compositions[gas] != situation.composition) for gas in wider
        ]
        parameters["gas_narrower"] = gases.narrower(situation.composition)
    codes["environment"] = f"""
        CASE WHEN environment IS NULL THEN NULL
        WHEN {situation.under_water} THEN 0 ELSE {CONTRADICTS} END"""
    codes["thickness"] = f"""
        CASE WHEN thickness_min_si IS NULL AND thickness_max_si IS NULL THEN NULL
        ELSE {ASSUMED} END"""
    if situation.thickness is not None:
        parameters["thick"] = situation.thickness.si
        codes["thickness"] = thickness_code("$thick")
    return codes, parameters


def thickness_code(thick: str) -> str:
    """Write the SQL that compares a row's thickness band with a thickness in metres."""
    band = inside_sql(
        thick,
        "thickness_min_si",
        "thickness_max_si",
        "thickness_min_inclusive",
        "thickness_max_inclusive",
    )
    return f"""
        CASE WHEN thickness_min_si IS NULL AND thickness_max_si IS NULL THEN NULL
        WHEN thickness_min_si = thickness_max_si
            AND abs(thickness_min_si / {thick} - 1) < {SLACK} THEN 0
        WHEN thickness_min_si = thickness_max_si
            AND abs(thickness_min_si / {thick} - 1) <= {NOMINAL} THEN 1
        WHEN NOT {band} THEN {CONTRADICTS}
        ELSE 0 END"""


def _listed(name: str, *, given: bool) -> str:
    if not given:
        return f"CASE WHEN {name} IS NULL THEN NULL ELSE {ASSUMED} END"
    return f"""
        CASE WHEN {name} IS NULL THEN NULL
        WHEN list_contains(${name}_same, {name})
            THEN ${name}_depth[list_position(${name}_same, {name})]
        WHEN list_contains(${name}_narrower, {name}) THEN {NARROWER}
        ELSE {CONTRADICTS} END"""


def _match(row: dict[str, Any], names: list[str], situation: Situation) -> Match:
    popped = {name: row.pop(f"code_{name}") for name in names}
    codes = {name: int(code) for name, code in popped.items() if code is not None}
    codes |= {name: ASSUMED for name in UNSTATABLE if row[name] is not None}
    given = situation.given()
    assumptions = []
    for name, code in codes.items():
        value = thickness_text(row) if name == "thickness" else row[name]
        label = LABELS[name]
        if code == ASSUMED:
            assumptions.append(f"holds for {label} {value}; you did not say")
        elif code == NARROWER:
            assumptions.append(f"holds for {label} {value}; you said {given[name]}")
        elif code == 1 and name == "thickness":
            assumptions.append(f"printed for {value} thickness; you said {given[name]}")
        elif code == 1 and name == "electrode_size":
            assumptions.append(f"printed for {value}, sold as the same size as {given[name]}")
    grade = row["how_read"]
    material = situation.terms.get("material")
    if material is not None and row["material"] in material.membership:
        membership = material.membership[row["material"]]
        grade = max(grade, membership, key=GRADES.index)
        assumptions.append(f"takes {material.name} as {row['material']} ({membership})")
    return Match(row, codes, tuple(assumptions), grade)


def thickness_text(row: dict[str, Any]) -> str:
    """Write a row's thickness band as printed.

    >>> thickness_text({"thickness_min": 0.75, "thickness_min_inclusive": False,
    ...     "thickness_max": 1.5, "thickness_max_inclusive": True, "thickness_unit": "in"})
    'over 0.75 to 1.5 in'
    """
    low, high, unit = row["thickness_min"], row["thickness_max"], row["thickness_unit"]
    if low is None and high is None:
        return ""
    if low == high:
        return f"{low:g} {unit}"
    above = "" if row["thickness_min_inclusive"] else "over "
    if high is None:
        return f"{low:g} {unit} and up" if not above else f"over {low:g} {unit}"
    below = "up to" if row["thickness_max_inclusive"] else "below"
    if low is None:
        return f"{below} {high:g} {unit}"
    return f"{above}{low:g} {'to' if below == 'up to' else 'to below'} {high:g} {unit}"
