"""Show the list of what to read next as text for a terminal."""

from __future__ import annotations

from itertools import groupby

from weldref.exchange.evidence import Evidence, Unanswered
from weldref.text import paragraph, table

FOUND = {
    "nothing": "no row",
    "general": "general, or under a condition",
    "memory": "recalled only",
    "also seen": "seen in use only",
}


def evidence_text(found: Evidence, most: int = 15) -> str:
    """Write what is to be read next; at most so many documents."""
    weak = [one for one in found.graded if one.memory or one.secondary]
    weak.sort(key=lambda one: -(one.memory or 0) - (one.secondary or 0))
    documents = [one for one in found.to_read if one.printed]
    blocks = [
        "tables by rows that nobody has seen in their source:",
        table(
            ("table", "rows", "read", "quoted", "memory"),
            [(one.name, one.rows, one.read, one.secondary, one.memory) for one in weak[:most]],
        )
        + _more(len(weak), most),
        "documents to read, by the rows whose grade a reading could raise:",
        table(
            ("memory", "quoted", "source", "document"),
            [(d.memory, d.secondary, d.source_id, d.document) for d in documents[:most]],
        )
        + _more(len(documents), most),
    ]
    without = [one for one in found.to_read if not one.printed]
    if without:
        named = ", ".join(f"{d.memory + d.secondary} of {d.source_id}" for d in without)
        blocks.append(paragraph(f"Rows with no document behind them, to be replaced: {named}."))
    blocks.append(
        paragraph(
            f"Common situations, our choice and not a count of use: of {found.situations} "
            f"(process, metal, thickness, quantity) {found.situations - len(found.unanswered)} "
            "have a row that was read or quoted and that fits. The others:"
        )
    )
    blocks.append(table(("process", "metal", "quantity", "what is there", "inches"), _rows(found)))
    return "\n\n".join(blocks)


def _rows(found: Evidence) -> list[tuple[str, ...]]:
    """Put the thicknesses of one process, metal and quantity on one line."""

    def alike(one: Unanswered) -> tuple[str, ...]:
        return one.process, one.material, one.quantity.replace("_", " "), FOUND[one.found]

    order = sorted(found.unanswered, key=lambda one: (list(FOUND).index(one.found), *alike(one)))
    return [
        (*same, ", ".join(one.thickness for one in ones))
        for same, ones in groupby(order, key=alike)
    ]


def _more(there: int, most: int) -> str:
    return f"\n... and {there - most} more (--rows, --json)" if there > most else ""
