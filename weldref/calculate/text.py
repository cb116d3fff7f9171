"""Show formulas and their results as text for a terminal of 80 columns."""

from __future__ import annotations

from typing import Any

from weldref.calculate.by_name import Answer
from weldref.calculate.checked import checked_line
from weldref.grades import GRADE_WORDS
from weldref.text import paragraph, table

REMINDER = (
    "A computed value is not an approval: the governing code, the consumable maker's data and a "
    "qualified person decide."
)
_MEMORY = "graded memory: the formula or a coefficient was recalled, not seen in print"


def listing_text(rows: list[dict[str, Any]]) -> str:
    """List the formulas with grade and source."""
    return table(
        ("name", "grade", "what it gives [source]"),
        [
            (
                row["name"],
                GRADE_WORDS.get(row["grade"], row["grade"]),
                row["title"] + (f" [{'; '.join(row['sources'])}]" if row["sources"] else ""),
            )
            for row in rows
        ],
    )


def explanation_text(explained: dict[str, Any]) -> str:
    """Explain a formula: equation, parameters, validity and sources."""
    parts = [paragraph(f"{explained['name']}: {explained['title']}")]
    if explained["equation"]:
        parts.append(paragraph(explained["equation"], "  "))
        unit = f" ({explained['unit']})" if explained["unit"] else ""
        parts.append(paragraph(f"result: {explained['result']}{unit}"))
    parts.append("")
    parts.append(
        table(
            ("parameter", "", "meaning; what is accepted"),
            [
                (
                    parameter["name"],
                    parameter["letter"],
                    f"{parameter['meaning']}; {parameter['accepted']}"
                    + ("" if parameter["needed"] else _default(parameter["default"])),
                )
                for parameter in explained["parameters"]
            ],
        )
    )
    parts.append("")
    parts.append(paragraph(f"valid: {explained['valid']}"))
    parts.append(f"grade: {GRADE_WORDS.get(explained['grade'], explained['grade'])}")
    if explained["checked"] is not None:
        parts.append(checked_line(explained["checked"]))
    parts += [_source(source) for source in explained["sources"]]
    return "\n".join(parts)


def _default(value: object) -> str:
    return " (may be left out)" if value is None else f" (if left out: {value})"


def _source(source: dict[str, Any]) -> str:
    note = f"; {source['note']}" if source["note"] else ""
    place = f"{source['source_id']}, {source['locator']}"
    return paragraph(f"source: {place} ({GRADE_WORDS[source['how_read']]}{note})")


def answer_text(answer: Answer) -> str:
    """Write a computed value, or the rows a look-up found."""
    if answer.rows or not answer.sources:
        return _rows_text(answer)
    if answer.low:
        lines = [f"lowest:  {answer.low}", f"highest: {answer.high}"]
    else:
        lines = [" = ".join(answer.shown)]
    lines[0] = f"{answer.name}\n{lines[0]}"
    parts = [*lines, f"grade: {GRADE_WORDS[answer.grade or 'memory']}"]
    if answer.grade == "memory":
        parts.append(_MEMORY)
    parts.append(checked_line(answer.checked or ()))
    parts += [paragraph(f"note: {caveat}") for caveat in answer.caveats]
    if answer.parts:
        each = (f"{name} {' = '.join(texts)}" for name, texts in answer.shown_parts.items())
        parts.append(paragraph("parts: " + "; ".join(each).replace("_", " ")))
    parts += [_source(source) for source in answer.sources]
    parts.append(paragraph(REMINDER))
    return "\n".join(parts)


def _rows_text(answer: Answer) -> str:
    said = [row for row in answer.rows if row["what"] != "note"]
    if not said:
        return f"{answer.name}\nnothing is published for this"
    shown = []
    for row in said:
        value = "no value" if row["value"] is None else f"{row['value']:.4g} {row['unit']}".strip()
        place = f"{row['source_id']}, {row['locator'] or 'place not noted'}"
        details = [row["condition"], row["note"]]
        if row.get("governing"):
            details.insert(0, "governing")
        text = "; ".join(filter(None, details))
        shown.append((row["what"], value, GRADE_WORDS[row["how_read"]], f"{place}: {text}"))
    parts = [answer.name, table(("what", "value", "how read", "source, place: condition"), shown)]
    parts += [paragraph(f"note: {row['note']}") for row in answer.rows if row["what"] == "note"]
    parts.append(paragraph(REMINDER))
    return "\n".join(parts)
