"""Check that process, filler metal, base metal and gas go together."""

from __future__ import annotations

import re
from collections.abc import Iterator

from weldref.audit.case import GAS_PROCESSES, Case
from weldref.audit.finding import Finding, Rule, rule, source_of
from weldref.audit.strengths import ends, of_filler, of_metal
from weldref.core.cautions import METAL_OF_FILLER
from weldref.core.situation import TAKES
from weldref.grades import weakest
from weldref.procedures.model import Pass

Labelled = tuple[Pass, str, str | None]
"""A pass with its label and process."""


def passes(case: Case) -> Iterator[Labelled]:
    """Each pass with its label and process."""
    for weld in case.procedure.passes:
        label = weld.label.text if weld.label else "pass"
        # A bare number would look like an item of a list.
        named = f"pass {label}" if re.fullmatch(r"\d[\dn\s,-]*", label) else label
        yield weld, named, case.process_of(weld)


FAMILIES = frozenset(("ferritic steel", "stainless steel", "aluminium"))


@rule("process-and-filler")
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
                    "process", [place or weld.place], value=name, expected=" or ".join(accepted),
                    label=label, process=process, name=name, form=accepted[0],
                )  # fmt: skip
    for filler in case.procedure.fillers:
        form = filler.form.text.casefold() if filler.form else ""
        text = filler.classification or filler.text
        kinds = case.kinds("filler_class", text.text) if text else frozenset()
        solid = "solid wire or rod" in kinds
        if filler.form and solid and ("cored" in form or "flux" in form):
            named = filler.form.text
            yield this.finding("form", [filler.form.place], value=named, form=named, text=text)


@rule("filler-and-metal")
def filler_and_metal(case: Case, this: Rule) -> Iterator[Finding]:
    """A carbon steel filler on stainless steel, aluminium or the reverse."""
    for name, place in case.filler_classes():
        kinds = case.kinds("filler_class", name)
        wanted = {METAL_OF_FILLER[kind] for kind in kinds if kind in METAL_OF_FILLER}
        # Stainless filler on carbon steel is a known choice for dissimilar joints.
        if not wanted or wanted == {"stainless steel"}:
            continue
        for metal, _ in case.metals:
            known = case.kinds("material", metal) & FAMILIES
            if known and not wanted & known:
                yield this.finding(
                    at=[place], value=name, name=name, wanted=wanted.pop(), metal=metal,
                    known=", ".join(sorted(known)),
                )  # fmt: skip
                break


@rule("filler-strength")
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
                grade = weakest((row["how_read"], filler_row["how_read"]))
                yield this.finding(
                    "weaker", [place or metal_place], source=source_of(row | {"how_read": grade}),
                    value=name, name=name, its=its, unit=unit, metal=metal, wanted=wanted,
                )  # fmt: skip
    if unheld:
        names = ", ".join(unheld)
        yield this.finding("unheld", list(unheld.values()), value=names, names=names)


def _is_grade_of_steel(case: Case, metal: str) -> bool:
    """Whether a metal is a grade of steel with its own strength, not a family or a group."""
    kinds = case.kinds("material", metal)
    group = metal.startswith("P-No.") or "Category" in metal
    return "ferritic steel" in kinds and any(c.isdigit() for c in metal) and not group


@rule("gas-and-process")
def gas_and_process(case: Case, this: Rule) -> Iterator[Finding]:
    """GTAW needs inert gas, a gas-shielded process a gas, submerged arc a flux."""
    told: set[str | None] = set()
    for weld, label, process in passes(case):
        gas = case.gas(weld)
        active = {"CO2", "O2"} & set((case.gas_in(gas.text) if gas else None) or {})
        if process in told:
            continue
        if gas is None and process in GAS_PROCESSES:
            yield this.finding("no gas", [weld.place], label=label, process=process)
        elif gas is None and process == "SAW" and not _names_flux(case):
            yield this.finding("no flux", [weld.place], label=label)
        elif gas is not None and process == "GTAW" and active:
            holds = " and ".join(sorted(active))
            yield this.finding(
                "active", [gas.place], value=gas.text, label=label, gas=gas, active=holds
            )
        else:
            continue
        told.add(process)


def _names_flux(case: Case) -> bool:
    fillers = case.procedure.fillers
    classes = " ".join(str(one.text or one.classification or "") for one in fillers)
    return any(one.flux for one in fillers) or bool(re.search(r"\bF\d{1,3}[AP]\d|flux", classes))
