"""Write an answer in one line, the short form for terminal, notebook and dashboard."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from weldref.core.situation import LABELS
from weldref.data.schemas.bases import COMMON_PRACTICE

if TYPE_CHECKING:
    from weldref.core.cases import Answer, Ask
    from weldref.core.verdict import Judgement, Reading, Row

MOST_ANSWERS = 8
"""How many answers to a question are written out."""


def as_said(value: str) -> str:
    """Write a condition without the mark that a document only implies it.

    >>> as_said("implied: argon, by hand")
    'argon, by hand'
    """
    return value.replace("implied: ", "")


def span(row: Row) -> str:
    """Write a row's range as printed.

    >>> from types import SimpleNamespace as R
    >>> span(R(min=110.0, max=160.0, typical=None, unit="A"))
    '110 to 160 A'
    """
    if row.min is not None and row.max is not None:
        text = f"{row.min:g} to {row.max:g} {row.unit}"
        return text if row.typical is None else f"{text}, typical {row.typical:g}"
    if row.min is not None:
        return f"at least {row.min:g} {row.unit}"
    if row.max is not None:
        return f"at most {row.max:g} {row.unit}"
    return f"{row.typical:g} {row.unit}"


def question(ask: Ask, unit: str) -> str:
    """Write a question with the word that each answer gives, in one line.

    >>> from weldref.core.cases import Answer, Ask
    >>> high, inside = Answer("3/32 in", "high", 20.0), Answer("1/8 in", "inside", 0.0)
    >>> question(Ask("electrode_size", (high, inside), Answer("", "no published range", None)), "A")
    'which diameter? 3/32 in: high by 20 A; 1/8 in: inside; another: nothing published'
    """
    said = [
        f"{as_said(answer.value)}: {answer_words(answer, unit)}"
        for answer in ask.answers[:MOST_ANSWERS]
    ]
    if (left := len(ask.answers) - MOST_ANSWERS) > 0:
        said.append(f"{left} more")
    other = "otherwise" if ask.condition in OWN_WORDS else "another"
    said.append(f"{other}: {answer_words(ask.other, unit)}")
    return f"{asks(ask.condition)} {'; '.join(said)}"


OWN_WORDS = ("other_condition",)
"""Conditions in a document's own words, which hold or not; there is no list of them."""


def asks(condition: str) -> str:
    """Write the question for a condition.

    >>> asks("electrode_size"), asks("other_condition")
    ('which diameter?', 'does this hold?')
    """
    return "does this hold?" if condition in OWN_WORDS else f"which {LABELS[condition]}?"


def answer_words(answer: Answer, unit: str) -> str:
    """Write what follows from one answer to a question.

    >>> from weldref.core.cases import Answer
    >>> answer_words(Answer("3/32 in", "high", 20.0), "A")
    'high by 20 A'
    """
    if answer.verdict == "no published range":
        return "nothing published"
    return distance(answer.verdict, answer.by, unit)


def distance(verdict: str, by: float | None, unit: str) -> str:
    """Write a verdict with how far outside the value is.

    >>> distance("high", 90.0, "A"), distance("inside", 0.0, "A")
    ('high by 90 A', 'inside')
    """
    if by and verdict in ("low", "high"):
        return f"{verdict} by {settable(by)} {unit}"
    return verdict


def settable(by: float) -> str:
    """Write a distance as exactly as anybody sets it.

    >>> settable(1.81102), settable(1234.5), settable(0.130979)
    ('1.81', '1234', '0.131')
    """
    return f"{by:.3g}" if by < 100 else f"{by:.0f}"


def recalled_line(judgement: Judgement, unit: str, say: Callable[..., str] = str.format) -> str:
    """Write what recalled trade practice says of a value, marked as such; `say` may translate."""
    rows = judgement.rows or judgement.conditional or judgement.general
    spans = list(dict.fromkeys(span(row) for row in rows))
    shown = " or ".join(spans[:3]) + (" ..." if len(spans) > 3 else "")
    practice = all(row.source_id == COMMON_PRACTICE for row in rows)
    text = (
        say("trade practice, recalled, no printed source: {shown}", shown=shown)
        if practice
        else say("recalled, not confirmed in print: {shown}", shown=shown)
    )
    word = judgement.verdict
    if judgement.ask and len(judgement.ask.answers) == 1:
        (answer,) = judgement.ask.answers
        text += f" ({say(LABELS[judgement.ask.condition])} {say(as_said(answer.value))})"
        word = answer.verdict
    elif judgement.ask:
        return f"{text}; {question(judgement.ask, unit)}"
    yours = {
        "inside": say("yours is inside it"),
        "high": say("yours is above"),
        "low": say("yours is below"),
    }.get(word)
    return f"{text}; {yours}" if yours else text


def reading_line(reading: Reading) -> str:
    """Write the verdict on one value, with the fit and the grade of what it rests on."""
    said = distance(reading.verdict, reading.by, reading.unit)
    line = f"{reading.quantity.replace('_', ' ')} {reading.value:g} {reading.unit}: {said}"
    rests_on = [word for word in (reading.fit, reading.grade) if word]
    shown = rests_on and reading.verdict != "no published range"
    return f"{line} ({', '.join(rests_on)})" if shown else line


def next_line(readings: Iterable[Reading]) -> str:
    """Write what to do next: the question to answer, why there is no verdict, what is recalled.

    Empty if there is nothing of that kind.
    """
    for one in readings:
        if one.ask:
            return question(one.ask, one.unit)
        if one.nothing_passes:
            return "no verdict: no published range is for such a set-up"
        if one.from_memory and one.verdict == "no published range":
            return recalled_line(one.from_memory, one.unit)
    return ""


def html_table(
    caption: str, header: Sequence[str], rows: Iterable[Sequence[object]], notes: Iterable[str]
) -> str:
    """Write a small table for a notebook, with sentences below it.

    >>> html_table("a <b>", ["size"], [["1/8 in"]], ["Mind this."])
    '<table><caption>a &lt;b&gt;</caption><thead><tr><th scope="col">size</th></tr></thead>\
<tbody><tr><td>1/8 in</td></tr></tbody></table><p>Mind this.</p>'
    """

    def line(cells: Iterable[object], tag: str) -> str:
        shown = ("" if cell is None else escape(str(cell)) for cell in cells)
        return f"<tr>{''.join(f'<{tag}>{cell}</{tag.split()[0]}>' for cell in shown)}</tr>"

    head, body = line(header, 'th scope="col"'), "".join(line(row, "td") for row in rows)
    below = "".join(f"<p>{escape(note)}</p>" for note in notes)
    return (
        f"<table><caption>{escape(caption)}</caption><thead>{head}</thead>"
        f"<tbody>{body}</tbody></table>{below}"
    )
