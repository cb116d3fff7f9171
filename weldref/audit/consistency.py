"""Do process, filler metal, polarity, gas and position go together?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.finding import Finding, Rule, rule
from weldref.core.cautions import METAL_OF_FILLER
from weldref.core.gas import Composition
from weldref.core.situation import TAKES
from weldref.errors import InputError
from weldref.procedures.model import Pass, Text

NOT_FLAT = re.compile(r"\b(?:V|OH|vertical|overhead|3[GF]|4[GF]|5[GF]|6G|all)\b", re.IGNORECASE)


def passes(case: Case) -> Iterator[tuple[Pass, str, str | None]]:
    """Each pass with its label and process."""
    for weld in case.procedure.passes:
        label = weld.label.text if weld.label else "pass"
        # A bare number would read like that of a list.
        named = f"pass {label}" if re.fullmatch(r"\d[\dn\s,-]*", label) else label
        yield weld, named, case.process_of(weld)


@rule(
    "process-and-filler",
    "consistency",
    "Does the form of the filler metal fit the process?",
    "iso15609-form-636674097",
    "table",
    "read",
)
def process_and_filler(case: Case, this: Rule) -> Iterator[Finding]:
    """A flux cored process with a solid wire, or the reverse."""
    seen: set[tuple[str, str]] = set()
    for weld, label, process in passes(case):
        accepted = TAKES.get(process or "")
        for name, place in case.filler_classes(weld):
            kinds = case.kinds("filler_class", name)
            if not accepted or not kinds or (process or "", name) in seen:
                continue
            seen.add((process or "", name))
            if not kinds & set(accepted):
                yield this.finding(
                    "contradiction",
                    f"{label}: {process} with {name}, which is not a {accepted[0]}",
                    place=place or weld.place,
                    value=name,
                    expected=" or ".join(accepted),
                    next_step="mend the process or the filler metal",
                )
    for filler in case.procedure.fillers:
        form = filler.form.text.casefold() if filler.form else ""
        text = filler.classification or filler.text
        kinds = case.kinds("filler_class", text.text) if text else frozenset()
        solid = "solid wire or rod" in kinds
        if filler.form and solid and ("cored" in form or "flux" in form):
            yield this.finding(
                "contradiction",
                f"the product form '{filler.form.text}' is not that of {text}, a solid wire",
                place=filler.form.place,
                value=filler.form.text,
                expected="solid",
                next_step="mend the form or the classification",
            )


@rule(
    "filler-and-metal",
    "consistency",
    "Is the filler metal of the base metal's family?",
    "aws-inspection-trends-2013",
    "p. 27",
    "read",
)
def filler_and_metal(case: Case, this: Rule) -> Iterator[Finding]:
    """A carbon steel filler on stainless steel, aluminium or the reverse."""
    metals = [(name, case.kinds("material", name), place) for name, place in case.metals]
    for name, place in case.filler_classes():
        wanted = {
            METAL_OF_FILLER[k] for k in case.kinds("filler_class", name) if k in METAL_OF_FILLER
        }
        for metal, kinds, _ in metals:
            known = kinds & {"ferritic steel", "stainless steel", "aluminium"}
            # Stainless filler on carbon steel is a known choice for dissimilar joints.
            if not wanted or not known or wanted & known or wanted == {"stainless steel"}:
                continue
            yield this.finding(
                "contradiction",
                f"{name} is a filler for {wanted.pop()}, the base metal is {metal}",
                place=place,
                value=name,
                expected=f"a filler for {', '.join(sorted(known))}",
                next_step="mend the filler metal or the base metal",
            )
            break


@rule(
    "filler-strength",
    "consistency",
    "Is the filler metal at least as strong as the base metal?",
    "aws-d1-1-2015",
    "Table 3.1 and the filler specifications",
    "read",
)
def filler_strength(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare specified minimum tensile strengths, where both are in the tables."""
    unheld: dict[str, str] = {}
    for name, place in case.filler_classes():
        found = case.store.rows(
            """
            SELECT min AS ksi, how_read FROM filler_strength
            WHERE classification = $name AND property = 'tensile strength' AND unit = 'ksi'
            AND min IS NOT NULL ORDER BY min LIMIT 1
            """,
            {"name": name},
        )
        if not found:
            continue
        filler = found[0]
        for metal, metal_place in case.metals:
            spec, _, grade = metal.partition(" ")
            rows = case.store.rows(
                """
                SELECT tensile_min_ksi AS ksi, source_id, locator, how_read FROM base_metals
                WHERE specification = $spec AND ($grade = '' OR grade = $grade)
                AND tensile_min_ksi IS NOT NULL ORDER BY tensile_min_ksi LIMIT 1
                """,
                {"spec": spec, "grade": grade.replace(" ", "")},
            )
            if not rows and _is_grade_of_steel(case, metal):
                unheld.setdefault(metal, metal_place)
            if rows and filler["ksi"] < rows[0]["ksi"]:
                yield this.finding(
                    "question",
                    f"{name} has {filler['ksi']:g} ksi at least, {metal} {rows[0]['ksi']:g} ksi",
                    place=place or metal_place,
                    value=name,
                    expected=f"at least {rows[0]['ksi']:g} ksi",
                    source_id=rows[0]["source_id"],
                    locator=rows[0]["locator"],
                    grade=max(rows[0]["how_read"], filler["how_read"], key=_ORDER.index),
                    next_step="confirm that undermatching is meant",
                )
    if unheld:
        yield this.finding(
            "note",
            f"the tables hold no tensile strength of {', '.join(unheld)}: the filler metal's was "
            "not compared with it",
            place=next(iter(unheld.values())),
            value=", ".join(unheld),
            source_id="",
            next_step="compare the specifications",
        )


def _is_grade_of_steel(case: Case, metal: str) -> bool:
    """A grade with a strength of its own, and no family or group of a code."""
    kinds = case.kinds("material", metal)
    group = metal.startswith("P-No.") or "Category" in metal
    return "ferritic steel" in kinds and any(c.isdigit() for c in metal) and not group


_ORDER = ("read", "secondary", "memory")


@rule(
    "polarity",
    "consistency",
    "Does the polarity fit the process, the electrode and the metal?",
    "aws-a5-1",
    "Tables 1 to 3",
    "memory",
)
def polarity(case: Case, this: Rule) -> Iterator[Finding]:
    """Compare with the electrode classes' currents and the GTAW polarity table."""
    for weld, label, process in passes(case):
        given = case.polarity(weld)
        term = case.term("polarity", given.text.split("(")[0]) if given else None
        if given is None or term is None:
            continue
        alternating = "AC" in case.kinds("polarity", term)
        for name, _ in case.filler_classes(weld):
            yield from _by_class(case, this, label, process, name, given, term, alternating)
        if process == "GTAW":
            for metal, _ in case.metals:
                yield from _gtaw(case, this, label, metal, given, term, alternating)
        if process == "GMAW" and term == "DCEN":
            yield from _solid_wire(case, this, label, given, term)


def _by_class(
    case: Case,
    this: Rule,
    label: str,
    process: str | None,
    name: str,
    given: Text,
    term: str,
    alternating: bool,
) -> Iterator[Finding]:
    plain = re.sub(r"-.*|[A-Z]$", "", name) if name.startswith("E7018") else name
    if process == "SMAW":
        rows = case.store.rows(
            """
            SELECT current AS currents, source_id, locator, how_read FROM smaw_classes
            WHERE classification IN ($name, $plain) AND current IS NOT NULL
            ORDER BY how_read DESC LIMIT 1
            """,
            {"name": name, "plain": plain},
        )
    elif match := re.search(r"T-?(\d+|GS)", name):
        rows = case.store.rows(
            """
            SELECT polarity AS currents, source_id, locator, how_read FROM fcaw_usability
            WHERE usability = $usability ORDER BY how_read DESC LIMIT 1
            """,
            {"usability": f"T-{match[1]}"},
        )
    else:
        return
    for row in rows:
        allowed = str(row["currents"])
        fits = "AC" in re.findall(r"[A-Z]+", allowed) if alternating else term in allowed
        if not fits and term != "DC":
            yield this.finding(
                "contradiction",
                f"{label}: {given.text} with {name}, whose current is {allowed}",
                place=given.place,
                value=given.text,
                expected=allowed,
                source_id=row["source_id"],
                locator=row["locator"],
                grade=row["how_read"],
                next_step="mend the polarity, or confirm with the consumable maker",
            )


def _solid_wire(case: Case, this: Rule, label: str, given: Text, term: str) -> Iterator[Finding]:
    """No table gives the polarity of a solid wire: the published rows say what is usual."""
    rows = case.store.rows(
        """
        SELECT polarity, any_value(source_id ORDER BY how_read DESC) AS source_id,
            any_value(locator ORDER BY how_read DESC) AS locator, max(how_read) AS how_read,
            count(*) AS n
        FROM windows WHERE process = 'GMAW' AND polarity IS NOT NULL
        GROUP BY polarity ORDER BY n DESC
        """
    )
    if not rows or term in {row["polarity"] for row in rows}:
        return
    usual = " or ".join(f"{row['polarity']} ({row['n']})" for row in rows)
    yield this.finding(
        "question",
        f"{label}: {given.text} with GMAW: no row of the tables states it; those that state a "
        f"polarity state {usual}",
        place=given.place,
        value=given.text,
        expected=str(rows[0]["polarity"]),
        source_id=rows[0]["source_id"],
        locator=rows[0]["locator"] or "",
        grade=rows[0]["how_read"],
        next_step="confirm with the consumable maker",
    )


def _gtaw(
    case: Case, this: Rule, label: str, metal: str, given: Text, term: str, alternating: bool
) -> Iterator[Finding]:
    rows = case.store.rows("SELECT * FROM polarity WHERE process = 'GTAW' AND status IS NULL")
    kinds = case.kinds("material", metal)
    for row in rows:
        stated = case.term("material", str(row["material"]))
        if stated is None or stated not in kinds:
            continue
        same = row["current_type"] == term or (alternating and "AC" in str(row["current_type"]))
        if same and row["advice"] == "not recommended":
            yield this.finding(
                "contradiction",
                f"{label}: {given.text} is not recommended for GTAW of {stated}",
                place=given.place,
                value=given.text,
                expected="another current type",
                source_id=row["source_id"],
                locator=row["locator"],
                grade=row["how_read"],
                next_step="mend the polarity",
            )
            return


@rule(
    "gas-and-transfer",
    "consistency",
    "Can the gas give the transfer mode that is stated?",
    "modern-welding-2020",
    "p. 209 gas selection table",
    "read",
)
def gas_and_transfer(case: Case, this: Rule) -> Iterator[Finding]:
    """Spray under pure carbon dioxide: the tables give it for short-circuiting and globular."""
    for weld, label, process in passes(case):
        gas = case.gas(weld)
        composition = _composition(case, gas)
        for mode in case.transfer_modes(weld):
            if composition is None or process not in ("GMAW", "FCAW-G"):
                continue
            spray = {"spray", "pulsed spray"} & case.kinds("transfer_mode", mode.text.split(",")[0])
            if spray and set(composition) == {"CO2"}:
                yield this.finding(
                    "contradiction",
                    f"{label}: {mode.text} with pure carbon dioxide, which the tables give for "
                    "short-circuiting and globular transfer",
                    place=mode.place,
                    value=f"{mode.text}, {gas}",
                    expected="an argon mixture for spray",
                    next_step="mend the gas or the transfer mode",
                )
                return


@rule(
    "gas-and-process",
    "consistency",
    "Does the shielding gas fit the process, and is it stated?",
    "aws-awo-2014",
    "examples",
    "read",
)
def gas_and_process(case: Case, this: Rule) -> Iterator[Finding]:
    """GTAW takes inert gas; a gas-shielded process needs a gas, a self-shielded one none."""
    told: set[str] = set()
    for weld, label, process in passes(case):
        gas = case.gas(weld)
        if gas is None:
            if process in GAS_PROCESSES and process not in told:
                told.add(process)
                yield this.finding(
                    "missing",
                    f"{label}: {process} without a shielding gas",
                    place=weld.place,
                    expected="composition and flow",
                    next_step="state the gas",
                )
            continue
        composition = _composition(case, gas)
        active = {"CO2", "O2"} & set(composition or {})
        if process == "GTAW" and active and process not in told:
            told.add(process)
            yield this.finding(
                "contradiction",
                f"{label}: GTAW with {gas}, which holds {' and '.join(sorted(active))}",
                place=gas.place,
                value=gas.text,
                expected="inert gas",
                next_step="mend the gas",
            )
        if process == "FCAW-S" and process not in told:
            told.add(process)
            yield this.finding(
                "question",
                f"{label}: self-shielded wire with a shielding gas",
                place=gas.place,
                value=gas.text,
                expected="no gas",
                next_step="mend the process or take the gas out",
            )


def _composition(case: Case, gas: Text | None) -> Composition | None:
    if gas is None:
        return None
    try:
        return case.vocabulary.gas(gas.text)[1]
    except InputError:
        return None


@rule(
    "position-and-class",
    "consistency",
    "Can the electrode class be used in the positions listed?",
    "aws-a5-1",
    "Table 1",
    "memory",
)
def position_and_class(case: Case, this: Rule) -> Iterator[Finding]:
    """A class with position digit 2 or 0 is not for vertical or overhead work."""
    listed = [p for p in case.procedure.positions if NOT_FLAT.search(p.text)]
    for name, place in case.filler_classes():
        digit = re.fullmatch(r"E\d{2,3}([1-4])\d(?:-?[A-Z0-9]+)?", name)
        wire = re.fullmatch(r"E\d([01])T\d*-.*", name)
        flat_only = (digit and digit[1] == "2") or (wire and wire[1] == "0")
        if flat_only and listed:
            yield this.finding(
                "contradiction",
                f"{name} is for flat and horizontal work; position {listed[0].text} is listed",
                place=listed[0].place or place,
                value=listed[0].text,
                expected="flat and horizontal",
                next_step="mend the position or the class",
            )
