"""The words of answers with what they mean, taken from the code that gives them."""

from __future__ import annotations

from typing import get_args

from layout import cell, code, table

from weldref.audit.finding import SEVERITIES
from weldref.commands.parser import exit_code
from weldref.core.verdict import Word
from weldref.dashboard.fragments import BASES
from weldref.data.catalogue import tables
from weldref.data.schemas.bases import SEEN_BASES, STATUSES, VERDICT_BASES
from weldref.grades import FULL, GRADE_WORDS
from weldref.text import MEANINGS

VERDICTS: dict[str, str] = {
    word: meaning.rstrip(".") for words, meaning in MEANINGS.items() for word in words.split(", ")
}
STATUS_MEANINGS = {
    "uncertain": "the reading is in doubt",
    "misprint": "the source contradicts itself; kept as printed",
}
EXIT_CODES = {
    0: "all inside, or nothing to report",
    1: "low, high or sources differ; an audit found something; two datasets differ",
    2: "bad input: one sentence says what is accepted",
    3: "no published range; an audit could not check everything",
    4: "depends on something that was not said",
}


def lists() -> dict[str, str]:
    """Write every list by the name that pages use."""
    words = get_args(Word)
    return {
        "verdicts": table(
            ("word", "means", "exit code"),
            [(f"**{word}**", cell(VERDICTS[word]), str(exit_code(word))) for word in words],
        ),
        "grades": table(
            ("grade", "in text answers", "means", "gives a verdict"),
            [
                (f"**{g}**", GRADE_WORDS[g], cell(FULL[g]), "no" if g == "memory" else "yes")
                for g in GRADE_WORDS
            ],
        ),
        "bases": table(
            ("word", "means", "gives a verdict"),
            [(code(b), cell(BASES[b]), "yes") for b in VERDICT_BASES]
            + [(code(b), cell(BASES[b]), 'no: shown as "also seen"') for b in SEEN_BASES],
        ),
        "statuses": table(
            ("word", "means", "gives a verdict"),
            [(code(s), STATUS_MEANINGS[s], "no: shown") for s in STATUSES],
        ),
        "severities": table(
            ("word", "means"),
            [(f"**{word}**", cell(meaning)) for word, meaning in SEVERITIES.items()],
        ),
        "exit codes": table(
            ("code", "means"), [(str(number), meaning) for number, meaning in EXIT_CODES.items()]
        ),
        "rows by grade": table(
            ("table", "rows", "read", "quoted", "memory"),
            [
                (code(t.name), str(t.rows), str(t.read), str(t.secondary), str(t.memory))
                for t in tables()
                if t.read is not None
            ],
        ),
    }
