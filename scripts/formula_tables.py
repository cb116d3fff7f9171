"""The tables of the formulas' page: what each formula gives, and what it was checked against."""

from __future__ import annotations

import csv
import io
import sys
from functools import cache
from pathlib import Path

from weldref.calculate.by_name import SHOWN, all_formulas
from weldref.data.store import open_store
from weldref.formulas.formula import Formula
from weldref.grades import GRADE_WORDS

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.formulas.checks import CHECKS, Comparison, two_digits

SUBJECTS = {
    "heat input": ("heat", "heat_rules"),
    "carbon equivalents": ("carbon",),
    "preheat": ("preheat",),
    "cooling": ("bead_ends", "cooling", "cooling_rate", "solidification", "temperature_field"),
    "cracking and hardness": ("cracking", "haz_hardness"),
    "stainless constitution": ("constitution",),
    "areas": ("fillet", "groove"),
    "deposit and cost": ("cost", "deposit", "wire"),
    "strength": ("strength",),
    "gas": ("gas", "purge"),
    "everyday": ("everyday",),
}
"""Sections of the page and the modules whose formulas they show."""

NOT_CHECKED = "no outside check: transcription/own arithmetic only"
SMALL = 1e-3
"""Below this a library's rounding shows, which may differ from machine to machine."""


@cache
def checks() -> list[tuple[str, str, str, str, str]]:
    """List subject, formula, kind, what it was compared with, and the difference."""
    module_of = {name: made.function.__module__ for name, made in all_formulas().items()}
    return [
        (subject, name, *comparison)
        for subject, modules in SUBJECTS.items()
        for name, module in module_of.items()
        if module.rpartition(".")[2] in modules
        for comparison in _comparisons(name)
    ]


def checks_csv() -> str:
    """Write the list of the checks, which ships with the formulas."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["subject", "formula", "kind", "against", "difference"])
    writer.writerows(checks())
    return out.getvalue()


def table(subject: str) -> str:
    """Write the table of one section."""
    lines = [
        "| formula | what it gives | grade | checked against | difference |",
        "|---|---|---|---|---|",
    ]
    shown = ""
    for under, name, _, against, difference in checks():
        if under == subject:
            made = all_formulas()[name]
            first = [f"`{name}`", _gives(made), GRADE_WORDS[made.grade]]
            cells = [*(["", "", ""] if name == shown else first), _cell(against), difference]
            lines.append(f"| {' | '.join(cells)} |")
            shown = name
    return "\n".join(lines) + "\n"


def summary() -> str:
    """Count what the formulas were checked against."""
    kinds = {
        name: {check.kind for check in CHECKS if check.formula == name} for name in all_formulas()
    }
    outside = sum(bool(found & {"published", "library"}) for found in kinds.values())
    print_, library, relation = (
        sum(kind in found for found in kinds.values())
        for kind in ("published", "library", "identity")
    )
    return (
        f"Of {len(kinds)} formulas:\n\n"
        f"- {outside} were checked against something outside the project: {print_} against print, "
        f"{library} against a\n  reference library ({print_ + library - outside} against both);\n"
        f"- {len(kinds) - outside} were not. {relation} of them were compared with another formula "
        "here or with the same equation in\n  other units, which finds a slip and says nothing "
        "about the equation.\n"
    )


def _gives(formula: Formula) -> str:
    unit = SHOWN.get(formula.result.unit, (formula.result.unit,))[0]
    return _cell(formula.title + (f" ({unit})" if unit else ""))


def _comparisons(name: str) -> list[tuple[str, str, str]]:
    """Write the checks of a formula; those against one place become one line."""
    places: dict[tuple[str, str, str], list[Comparison]] = {}
    for check in CHECKS:
        if check.formula == name:
            place = (check.kind, check.source_id or check.library, check.against)
            places.setdefault(place, []).append(check.compare())
    return [
        (place[0], _against(*place), _difference(found))
        for place, found in sorted(places.items(), key=lambda item: item[0][0])
    ]


def _against(kind: str, origin: str, text: str) -> str:
    if kind == "none":
        return f"{NOT_CHECKED}; {text}" if text else NOT_CHECKED
    if kind == "identity":
        return f"{NOT_CHECKED}; compared with {text}"
    if kind == "library":
        return f"{origin}: {text}"
    ((name, how_read),) = [
        (row["name"], row["how_read"])
        for row in open_store().rows(
            "SELECT name, how_read FROM documents JOIN sources USING (source_id) "
            "WHERE source_id = $1",
            [origin],
        )
    ]
    quoted = "" if how_read == "read" else f" ({GRADE_WORDS[how_read]})"
    return f"{name}{quoted}; {text} [{origin}]"


def _difference(found: list[Comparison]) -> str:
    check = found[0].check
    if check.kind == "none":
        return "–"
    of = f"largest of {len(found)}: " if len(found) > 1 else ""
    unit = f" {check.unit}" if check.unit else ""
    worst = max(found, key=lambda one: abs(one.difference))
    if check.kind != "library" and all(one.equal for one in found):
        return "exact"
    if check.kind == "library" and abs(worst.difference) < SMALL:
        return f"{of}under {SMALL:g}{unit}"
    return f"{of}{two_digits(worst.difference)}{unit}"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
