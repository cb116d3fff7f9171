"""Show the audit of a log as text, in 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from weldref.core.situation import LABELS
from weldref.core.wording import distance
from weldref.data.own import BY_OWN, line
from weldref.logs.audit import Counts, LogAudit, Offender
from weldref.logs.columns import Column
from weldref.logs.drift import Drift
from weldref.text import clean, paragraph, table

UNIT_FROM = {
    "heading": "as the heading says",
    "option": "as you said",
    "bare": "no unit stated: --units {units}",
}


def audit_text(audit: LogAudit) -> str:
    """Write the answer to an audit of a log."""
    own = audit.own_tables
    instead = own is not None and own["mode"] == "instead"
    parts = [
        paragraph(
            f"{audit.log}: {audit.records:,} records, {audit.conditions:,} distinct conditions, "
            f"{audit.rows:,} {'own' if instead else 'published'} rows that could apply"
        ),
        table(
            ("column", "read as"),
            [(_short(c.heading, 30), _read_as(c, audit.units)) for c in audit.columns.used],
        ),
    ]
    if audit.columns.unknown:
        named = ", ".join(clean(heading) for heading in audit.columns.unknown)
        parts.append(paragraph(f"columns not used: {named} (name one with --map FIELD=HEADING)"))
    parts += [
        "",
        *([f"verdicts {BY_OWN}:"] if instead else []),
        _counts(audit.counts, instead=instead),
    ]
    parts += [
        paragraph(f"no verdict on {_words(count.quantity)}: {_reasons(count)}")
        for count in audit.counts
        if count.reasons
    ]
    parts += [paragraph(asks_line(count)) for count in audit.counts if count.asks]
    if audit.worst:
        parts += ["", "farthest outside, as a share of the end of the range:", _worst(audit.worst)]
    if audit.drifts:
        parts += [
            "",
            paragraph(
                "largest drifts: the mean of the first and of the second half of a joint's time, "
                "and the slope of a straight line; a description, not a verdict:"
            ),
            _drifts(audit.drifts),
        ]
    if audit.output:
        parts += ["", paragraph(f"every verdict is in {audit.output}")]
    version, digest = audit.dataset["version"], audit.dataset["digest"][:12]
    parts += ["", paragraph(audit.reminder), "", f"dataset {version}, {digest}"]
    if own is not None:
        says = f"every verdict is {BY_OWN}" if instead else "own rows were ignored"
        parts.append(paragraph(f"{line(own)}: {says}"))
    return "\n".join(parts)


def _read_as(column: Column, units: str) -> str:
    if column.unit is None or column.unit_from is None:
        return _words(column.field)
    said = UNIT_FROM[column.unit_from].format(units=units)
    return f"{_words(column.field)}, {column.unit} ({said})"


def _counts(counts: Sequence[Counts], *, instead: bool) -> str:
    nothing = "no range" if instead else "unpublished"
    header = ("readings", "inside", "low", "high", "differ", "depends", nothing, "no verdict")
    numbers = [
        [
            f"{n:,}"
            for n in (
                count.readings,
                count.inside,
                count.low,
                count.high,
                count.sources_differ,
                count.depends,
                count.no_published_range,
                sum(count.reasons.values()),
            )
        ]
        for count in counts
    ]
    widths = [max(len(row[place]) for row in (header, *numbers)) for place in range(len(header))]
    names = ["", *(_words(count.quantity) for count in counts)]
    first = max(len(name) for name in names)
    return "\n".join(
        name.ljust(first) + "".join(f" {c:>{w}}" for c, w in zip(row, widths, strict=True))
        for name, row in zip(names, (header, *numbers), strict=True)
    )


def asks_line(count: Counts) -> str:
    """Write what would settle the readings that depend.

    >>> from weldref.logs.audit import Question
    >>> asks = (Question("electrode_size", "diameter", 15000, 12300),
    ...     Question("technique", None, 9, 9))
    >>> print(asks_line(Counts("current", 0, 0, 0, 0, 0, 15009, 0, {}, asks)))
    current depends on what the log does not say: a diameter would settle 12,300 of 15,009 \
readings; 9 turn on the technique, which no column of a log says
    >>> asks = (Question("thickness", "thickness", 2, 0),)
    >>> print(asks_line(Counts("current", 0, 0, 0, 0, 0, 2, 0, {}, asks)))
    current depends on what the log does not say: a thickness first, and more, for 2 readings
    """
    said = []
    for one in count.asks:
        named = LABELS[one.condition]
        if one.column is None:
            said.append(f"{one.readings:,} turn on the {named}, which no column of a log says")
        elif not one.settled:
            said.append(f"a {_words(one.column)} first, and more, for {one.readings:,} readings")
        else:
            said.append(f"a {_words(one.column)} would settle {one.settled:,} of {count.depends:,}")
            said[-1] += " readings" if len(said) == 1 else ""
    return f"{_words(count.quantity)} depends on what the log does not say: {'; '.join(said)}"


def _reasons(count: Counts) -> str:
    return ", ".join(f"{number:,} {reason}" for reason, number in count.reasons.items())


def _worst(offenders: Sequence[Offender]) -> str:
    rows = []
    for found in offenders:
        who = " ".join(_short(word, 10) for word in (found.joint, found.welder) if word)
        more = f" and {len(found.windows) - 1} more" if len(found.windows) > 1 else ""
        share = f" ({found.share:.0%})" if found.share is not None else ""
        rows.append(
            (
                found.record,
                who or "-",
                f"{_words(found.quantity)} {found.value:g} {found.unit}",
                distance(found.verdict, found.by, found.unit) + share,
                f"{found.windows[0]}{more}",
            )
        )
    return table(("record", "joint", "reading", "verdict", "rests on"), rows)


def _drifts(drifts: Sequence[Drift]) -> str:
    rows = [
        (
            _short(drift.joint, 10),
            f"{_words(drift.quantity)}, {drift.unit}",
            f"{drift.first_mean:.4g} ({drift.first_readings:,})",
            f"{drift.second_mean:.4g} ({drift.second_readings:,})",
            f"{drift.change:+.1%}",
            f"{drift.slope:+.3g} per h",
        )
        for drift in drifts
    ]
    header = ("joint", "quantity", "first (readings)", "second", "change", "slope")
    return table(header, rows)


def _short(text: str, most: int) -> str:
    """Shorten a text from the log.

    >>> _short("north side, seam 12", 10)
    'north s...'
    """
    shown = clean(text)
    return shown if len(shown) <= most else f"{shown[: most - 3]}..."


def _words(name: str) -> str:
    return name.replace("_", " ")
