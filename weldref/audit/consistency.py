"""Check that process, filler metal, base metal and gas go together."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.finding import Finding, Rule, rule
from weldref.audit.strengths import ends, of_filler, of_metal
from weldref.core.cautions import METAL_OF_FILLER
from weldref.core.gas import Composition
from weldref.core.lookup import GRADES
from weldref.core.situation import TAKES
from weldref.errors import InputError
from weldref.procedures.model import Pass, Text


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
                    next_step="correct the process or the filler metal",
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
                next_step="correct the form or the classification",
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
                next_step="correct the filler metal or the base metal",
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
    """Compare specified minimum tensile strengths, in a unit in which the tables print both."""
    unheld: dict[str, str] = {}
    for name, place in case.filler_classes():
        of_its = of_filler(case.store, case.kinds("filler_class", name))
        metals = {metal: (of_metal(case.store, metal), at) for metal, at in case.metals}
        graded = {m: p for m, (_, p) in metals.items() if _is_grade_of_steel(case, m)}
        if not of_its and graded and case.term("filler_class", name):
            unheld.setdefault(name, place)
            continue
        for metal, (rows, metal_place) in metals.items():
            pairs = [
                (unit, filler[0], base[0])
                for unit in ("ksi", "MPa")
                if (filler := ends(of_its, unit)) and (base := ends(rows, unit))
            ]
            if not pairs:
                if of_its and metal in graded:
                    unheld.setdefault(metal, metal_place)
                continue
            unit, filler_row, row = pairs[0]
            its, wanted = filler_row[unit.casefold()], row[unit.casefold()]
            if its < wanted:
                yield this.finding(
                    "question",
                    f"{name} has {its:g} {unit} at least, {metal} {wanted:g} {unit}",
                    place=place or metal_place,
                    value=name,
                    expected=f"at least {wanted:g} {unit}",
                    source_id=row["source_id"],
                    locator=row["locator"],
                    grade=max(row["how_read"], filler_row["how_read"], key=GRADES.index),
                    next_step="confirm that undermatching is meant",
                )
    if unheld:
        yield this.finding(
            "not checked",
            f"the tables hold no tensile strength of {', '.join(unheld)}, or none in the other's "
            "unit: filler metal and base metal were not compared",
            place=next(iter(unheld.values())),
            also_at=list(unheld.values())[1:],
            value=", ".join(unheld),
            source_id="",
            next_step="compare the specifications",
        )


def _is_grade_of_steel(case: Case, metal: str) -> bool:
    """A grade with a strength of its own, and no family or group of a code."""
    kinds = case.kinds("material", metal)
    group = metal.startswith("P-No.") or "Category" in metal
    return "ferritic steel" in kinds and any(c.isdigit() for c in metal) and not group


@rule(
    "gas-and-process",
    "consistency",
    "Does the shielding gas fit the process, and is gas or flux stated?",
    "aws-awo-2014",
    "examples",
    "read",
)
def gas_and_process(case: Case, this: Rule) -> Iterator[Finding]:
    """GTAW takes inert gas, a gas-shielded process needs a gas, submerged arc a flux."""
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
            if process == "SAW" and process not in told and not _names_flux(case):
                told.add("SAW")
                yield this.finding(
                    "missing",
                    f"{label}: SAW without a flux",
                    place=weld.place,
                    expected="flux with its classification",
                    next_step="state the flux",
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
                next_step="correct the gas",
            )


def _names_flux(case: Case) -> bool:
    fillers = case.procedure.fillers
    classes = " ".join(str(one.text or one.classification or "") for one in fillers)
    return any(one.flux for one in fillers) or bool(re.search(r"\bF\d{1,3}[AP]\d|flux", classes))


def _composition(case: Case, gas: Text | None) -> Composition | None:
    if gas is None:
        return None
    try:
        return case.vocabulary.gas(gas.text)[1]
    except InputError:
        return None
