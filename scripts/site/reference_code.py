"""Pages of the Python functions, the formulas and the rules, from what the code says of itself."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Mapping

import parts
from layout import cell, code, sentence, table

import weldref
from weldref import handouts
from weldref.audit.finding import Rule
from weldref.audit.procedure_audit import all_rules
from weldref.calculate.by_name import SHOWN, Lookup, all_formulas
from weldref.calculate.lookups import LOOKUPS
from weldref.data.catalogue import document_names
from weldref.data.store import open_store
from weldref.formulas.formula import Formula, Symbol
from weldref.grades import GRADE_WORDS

FOLDER = "reference/formulas"
CHECKED = "weldref/formulas/README.md"
"""The page that says what each formula was checked against; the site takes its subjects."""

SUBJECT = re.compile(
    r"^## (?P<title>[^\n]+)\n(?:(?!^## ).)*?<!-- formulas: .+?-->(?P<rows>.*?)<!-- /formulas -->",
    re.DOTALL | re.MULTILINE,
)
PARTS = (
    "weldref.core.verdict.Reading",
    "weldref.core.verdict.Row",
    "weldref.core.verdict.Judgement",
    "weldref.core.check.Together",
    "weldref.advice.card.Card",
    "weldref.calculate.by_name.Answer",
    "weldref.exchange.cite.Citation",
)
"""What the answers are made of."""


def python_page() -> str:
    """Write the page of the public functions."""
    functions = [n for n in weldref.__all__ if inspect.isroutine(getattr(weldref, n))]
    others = [n for n in weldref.__all__ if n not in functions]
    names = [
        *(f"weldref.{name}" for name in functions),
        *(f"weldref.handouts.{name}" for name in handouts.__all__),
        *(f"weldref.{name}" for name in others),
        *PARTS,
    ]
    return (
        "# Python\n\n`import weldref` is enough; what a function needs is loaded when it is first "
        "called. Bad input raises `InputError` with one sentence that says what is accepted.\n\n"
        + "\n\n".join(f"::: {name}" for name in names)
        + "\n"
    )


def formula_pages() -> dict[str, str]:
    """Write a page for each subject, one of the look-ups, and the list of all."""
    names = document_names(open_store())
    written = {f"{FOLDER}/index.md": ""}
    listed = []
    for title, formulas in subjects().items():
        page = title.lower().replace(" ", "-")
        listed += [_line(one, page, GRADE_WORDS[one.grade]) for one in formulas]
        path = f"{FOLDER}/{page}.md"
        written[path] = (
            f"# {title}\n\n"
            + "\n".join(_formula(one, names) for one in formulas)
            + "\n## What they were checked against\n\n"
            + parts.part(f"{CHECKED}: {title}", path)
        )
    listed += [_line(one, "look-ups", "of each row") for one in LOOKUPS.values()]
    written[f"{FOLDER}/look-ups.md"] = (
        "# Look-ups\n\nQuestions to the reference tables that are asked like a formula. The answer "
        "is rows, each with its own source and grade.\n\n"
        + "\n".join(map(_lookup, LOOKUPS.values()))
    )
    checked = parts.part(f"{CHECKED}: How to read the tables", f"{FOLDER}/index.md")
    written[f"{FOLDER}/index.md"] = (
        "# Formulas\n\nA formula takes values with units in either system and gives its result in "
        "both: `weldref compute NAME key=value`. It says its grade, its source, and when a value "
        "is outside its range. A computed value is not an approval.\n\n"
        f"{checked}\n{table(('name', 'what it gives', 'grade'), sorted(listed))}"
    )
    return written


def subjects() -> dict[str, list[Formula]]:
    """Return the formulas by the heading of the subject under which they were checked."""
    text = (parts.ROOT / CHECKED).read_text(encoding="utf-8")
    return {
        found["title"]: [
            all_formulas()[name]
            for name in re.findall(r"^\| `([\w-]+)`", found["rows"], re.MULTILINE)
        ]
        for found in SUBJECT.finditer(text)
    }


def _line(one: Formula | Lookup, page: str, grade: str) -> tuple[str, str, str]:
    return (f"[{code(one.name)}]({page}.md#{one.name})", cell(one.title), grade)


def _formula(one: Formula, names: dict[str, str]) -> str:
    function = inspect.unwrap(one.function)
    units = ", ".join(SHOWN.get(one.result.unit, (one.result.unit or "plain number",)))
    sources = "".join(
        f"- {cell(names.get(s.source_id, s.source_id))}, {cell(s.locator)} "
        f"({GRADE_WORDS[s.how_read]}{s.note and f'; {cell(s.note)}'})\n"
        for s in one.sources
    )
    return (
        f"## {one.name} {{ #{one.name} }}\n\n"
        f"```text\n{one.equation}\n```\n\n"
        f"::: {function.__module__}.{function.__name__}\n"
        "    options:\n"
        "      show_root_heading: false\n"
        "      show_root_toc_entry: false\n"
        "      show_docstring_parameters: false\n"
        "      show_docstring_returns: false\n"
        "      show_docstring_raises: false\n"
        "      show_signature: false\n\n"
        f"{_symbols(one.symbols, one.name, one.defaults)}\n"
        f"Result: {cell(one.result.letter)}, {cell(one.result.meaning)} ({cell(units)}). "
        f"Valid: {cell(one.valid)}. Grade: {GRADE_WORDS[one.grade]}. "
        f"In Python: {code(f'{function.__module__}.{function.__name__}')}.\n\n{sources}\n"
    )


def _lookup(one: Lookup) -> str:
    left_out = set(one.symbols) - set(one.needed)
    return (
        f"## {one.name} {{ #{one.name} }}\n\n{sentence(one.title)}\n\n"
        f"{_symbols(one.symbols, one.name, left_out)}"
    )


def _symbols(symbols: Mapping[str, Symbol], name: str, left_out: Iterable[str]) -> str:
    return table(
        ("parameter", "meaning", "accepted"),
        [
            (
                f"{code(key)}{{ #{name}.{key} }} {cell(symbol.letter)}",
                cell(symbol.meaning),
                _accepted(symbol) + ("" if key not in left_out else "; may be left out"),
            )
            for key, symbol in symbols.items()
        ],
    )


def _accepted(symbol: Symbol) -> str:
    return "words or a value with its unit" if symbol.unit == "text" else cell(symbol.accepted())


def rules_page() -> str:
    """Write the page of the audit's rules."""
    names = document_names(open_store())
    text = (
        "# Audit rules\n\nWhat `weldref audit` asks of a procedure, in the order of the report. A "
        "rule that rests on memory says so in each finding.\n"
    )
    families = dict.fromkeys(rule.family for rule in all_rules())
    for family in families:
        rows = [
            (
                f"{code(rule.name)}{{ #{rule.name} }}",
                cell(rule.asks),
                _origin(names, rule),
            )
            for rule in all_rules()
            if rule.family == family
        ]
        text += f"\n## {family.capitalize()}\n\n"
        text += table(("rule", "what it asks", "rests on"), rows)
    return text


def _origin(names: dict[str, str], rule: Rule) -> str:
    if not rule.source_id:
        return "the rows that a finding names"
    place = f"{names.get(rule.source_id, rule.source_id)}, {rule.locator}".strip(", ")
    return cell(f"{place} ({GRADE_WORDS.get(rule.grade, rule.grade)})")
