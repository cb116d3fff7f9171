"""Compare every reading of a log with the procedure it was welded to.

The records are placed on the passes of the procedure once for each distinct set of words; every
reading is then compared in SQL with the window of its pass, and so is the heat input that
follows from voltage, current and travel speed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, closing
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from weldref.audit.case import Case
from weldref.audit.consistency import passes
from weldref.audit.published import QUANTITIES, stated_of
from weldref.core.bands import SLACK
from weldref.core.check import NOT_APPROVAL
from weldref.core.units import UnitSystem
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.logs import engine as sql
from weldref.logs.engine import DuckEngine, Engine
from weldref.logs.files import Log, open_log, sentences
from weldref.logs.spark import check_engine, run_by
from weldref.logs.verdicts import measures
from weldref.procedures.model import Pass, Procedure, Range

PLACES = ("joint", "c_process", "c_electrode", "c_diameter")
"""The fields of a log that show to which pass a record belongs."""

HEAT = "heat_input"


@dataclass(frozen=True, slots=True)
class PassCount:
    """Readings of one quantity in one pass beside the window that the procedure states.

    `window` is empty if the procedure states none, and nothing was compared. `farthest` is
    the record farthest outside, `by` how far, in the unit of `window`.
    """

    label: str
    quantity: str
    window: str
    readings: int
    inside: int
    low: int
    high: int
    farthest: int | None
    by: float | None


@dataclass(frozen=True, slots=True)
class AgainstProcedure:
    """The answer: inside only if every record was placed and every reading is inside.

    `unplaced` counts the records that belong to no pass, or to several, by the reason.
    """

    verdict: Literal["inside", "outside", "not compared"]
    log: str
    procedure: str
    records: int
    counts: tuple[PassCount, ...]
    unplaced: dict[str, int]
    reminder: str = NOT_APPROVAL

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain dictionaries and lists."""
        return asdict(self)


def with_joint(columns: Mapping[str, str]) -> dict[str, str]:
    """Name the column of passes as the fields of a log do.

    >>> with_joint({"weld": "seam"})
    {'joint': 'seam'}
    """
    return {("joint" if name == "weld" else name): to for name, to in columns.items()}


def audit_against(
    path: str | Path,
    procedure: Procedure,
    *,
    columns: Mapping[str, str] | None = None,
    unit_of: Mapping[str, str] | None = None,
    units: UnitSystem = "us",
    engine: str = "duckdb",
    store: Store | None = None,
) -> AgainstProcedure:
    r"""Compare every reading of a weld log with the pass of the procedure it belongs to.

    A record belongs to the pass that its weld or joint column names ("root", "pass 2"); without
    one to the only pass that has its process, electrode and size.

    Parameters
    ----------
    path, columns, unit_of, units, engine, store
        As `weldref.audit_log` takes them; the field "weld" names the column of passes.
    procedure
        The procedure that was welded to.

    Raises
    ------
    InputError
        If the file, a column or the engine is not accepted, or the procedure states no pass.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from weldref.procedures.model import Text
    >>> weld = Pass(label=Text("root"), process=Text("SMAW"), current=Range(110, 140, "A"))
    >>> with TemporaryDirectory() as folder:
    ...     log = Path(folder, "posts.csv")
    ...     _ = log.write_text("weld,process,amps\nroot,SMAW,130\nroot,SMAW,150\n")
    ...     found = audit_against(log, Procedure(passes=(weld,)))
    >>> found.verdict, found.counts[0].inside, found.counts[0].high, found.counts[0].by
    ('outside', 1, 1, 10.0)
    """
    check_engine(engine)
    opened = store or open_tables(None)
    case = Case(opened, procedure)
    if not procedure.passes:
        raise InputError("wps: the procedure states no pass; give one with a table of passes")
    mapping = with_joint(columns or {})
    source = Path(path)
    with sentences(source), ExitStack() as stack:
        duck = stack.enter_context(closing(DuckEngine()))
        log = open_log(duck, opened, source, mapping, unit_of or {}, units)
        runner, log = stack.enter_context(run_by(engine, duck, log))
        unplaced = _place(runner, case, log)
        measured = [(one.readings.quantity, one.si) for one in measures(opened, log.readings)]
        if (energy := _energy(measured)) is not None:
            measured.append((HEAT, energy))
        counts = [one for quantity, si in measured
                  for one in _compared(runner, case, log, quantity, si)]  # fmt: skip
    outside = any(count.low or count.high for count in counts)
    compared = any(count.window for count in counts) and not unplaced
    return AgainstProcedure(
        verdict="outside" if outside else "inside" if compared else "not compared",
        log=str(path),
        procedure=procedure.name,
        records=log.records,
        counts=tuple(counts),
        unplaced=dict(unplaced),
    )


def _place(engine: Engine, case: Case, log: Log) -> Counter[str]:
    """Make the table `placed`: to which pass each distinct set of words belongs."""
    known = [name for name in PLACES if _has(log, name)]
    listed = ", ".join(f"l.{name}" for name in known)
    rows = engine.fetch(
        f"SELECT {listed}{', ' if known else ''}count(*) FROM {log.source} l GROUP BY ALL"  # noqa: S608  columns of our own form
    )
    unplaced: Counter[str] = Counter()
    placed: list[tuple[Any, ...]] = []
    for *values, count in rows:
        turn, why = _pass_of(case, dict(zip(known, values, strict=True)))
        if turn is None:
            unplaced[why] += count
        placed.append((*values, -1 if turn is None else turn))
    engine.load("placed", {**dict.fromkeys(known, "VARCHAR"), "turn": "INTEGER"}, placed)
    return unplaced


def _has(log: Log, name: str) -> bool:
    return log.has(name) if name == "joint" else name.removeprefix("c_") in log.conditions


def _pass_of(case: Case, words: Mapping[str, str]) -> tuple[int | None, str]:
    """The pass that a record belongs to, or why that is not known."""
    every = list(passes(case))
    if said := _folded(words.get("joint") or ""):
        named = [turn for turn, (weld, _, _) in enumerate(every)
                 if _folded(weld.label.text if weld.label else str(turn + 1)) == said]  # fmt: skip
        if len(named) == 1:
            return named[0], ""
        if named:
            return None, f"several passes are called '{words['joint']}'"
    fitting = [turn for turn, (weld, _, process) in enumerate(every)
               if _fits(case, weld, process, words)]  # fmt: skip
    if len(fitting) == 1:
        return fitting[0], ""
    if not fitting:
        return None, "no pass has this process, electrode and size"
    return None, "several passes fit; name the pass of each record in a column 'weld'"


def _folded(text: str) -> str:
    return re.sub(r"^(?:pass|run|layer)\b|[\s.#-]+", "", text.casefold())


def _fits(case: Case, weld: Pass, process: str | None, words: Mapping[str, str]) -> bool:
    said = words.get("c_process")
    if said and process and case.process(said) not in (None, process):
        return False
    electrode = words.get("c_electrode")
    classes = {name for name, _ in case.filler_classes(weld)}
    if electrode and classes and not _same_class(case, electrode, classes):
        return False
    size = words.get("c_diameter")
    if not size or not case.sizes(weld):
        return True
    known, *own = (
        set(case.describe({"diameter": label}).sizes) for label in (size, *case.size_labels(weld))
    )
    return not known or any(known & each for each in own)


def _same_class(case: Case, said: str, classes: set[str]) -> bool:
    name = case.term("filler_class", said)
    return name is None or any(case.term("filler_class", one) in (None, name) for one in classes)


def _windows(case: Case, quantity: str) -> dict[int, tuple[Range, float | None, float | None]]:
    """The window of each pass for a quantity, with its ends in SI."""
    found = {}
    for turn, (weld, _, _) in enumerate(passes(case)):
        given = stated_of(case, weld, quantity) if quantity in QUANTITIES else None
        ends = case.ends(given, QUANTITIES[quantity]) if given else (None, None)
        if given and given.stated and ends != (None, None):
            found[turn] = (given, *ends)
    return found


def _energy(measured: Sequence[tuple[str, str]]) -> str | None:
    """The SQL of the arc energy in joule per metre, where all three readings are in the log."""
    first = dict(reversed(measured))
    if not {"voltage", "current", "travel_speed"} <= set(first):
        return None
    return f"({first['voltage']} * {first['current']} / nullif({first['travel_speed']}, 0))"


def _compared(engine: Engine, case: Case, log: Log, quantity: str, si: str) -> Iterator[PassCount]:
    """Count the readings of one quantity by pass: inside, low, high, and the farthest."""
    windows = _windows(case, quantity)
    engine.load(
        "windows",
        {"turn": "INTEGER", "low": "DOUBLE", "high": "DOUBLE"},
        [(turn, low, high) for turn, (_, low, high) in windows.items()],
    )
    known = [name for name in PLACES if _has(log, name)]
    joined = " AND ".join(f"p.{name} IS NOT DISTINCT FROM l.{name}" for name in known) or "true"
    slack = sql.number(SLACK)
    low = f"(w.low IS NOT NULL AND r.si < w.low - {slack} * abs(w.low))"
    high = f"(w.high IS NOT NULL AND r.si > w.high + {slack} * abs(w.high))"
    by = f"CASE WHEN {low} THEN w.low - r.si WHEN {high} THEN r.si - w.high END"
    rows = engine.fetch(
        f"""
        SELECT r.turn, count(*), count(*) FILTER (WHERE {low}), count(*) FILTER (WHERE {high}),
            arg_max(r.record, {{'by': {by}, 'first': -r.record}}) FILTER (WHERE {low} OR {high}),
            max({by})
        FROM (
            SELECT l.record, p.turn, {si} AS si FROM {log.source} l JOIN placed p ON {joined}
        ) r
        LEFT JOIN windows w ON w.turn = r.turn
        WHERE r.turn >= 0 AND r.si IS NOT NULL AND NOT {sql.unreal("r.si")}
        GROUP BY r.turn ORDER BY r.turn
        """  # noqa: S608  columns of our own form
    )
    labels = [label for _, label, _ in passes(case)]
    for turn, count, below, above, record, far in rows:
        given = windows[turn][0] if turn in windows else None
        # A distance in the unit of the window: only the factor counts, not the shift of a scale.
        factor = case.units.by_spelling[given.unit].factor if given else 1.0
        yield PassCount(
            label=labels[turn], quantity=quantity, window=str(given) if given else "",
            readings=count, inside=count - below - above if given else 0, low=below, high=above,
            farthest=None if far is None else record,
            by=None if far is None else float(f"{far / factor:.4g}"),
        )  # fmt: skip


def against_text(found: AgainstProcedure) -> str:
    """Write the answer for a terminal."""
    from weldref.text import paragraph, table

    parts = [paragraph(f"\n{found.log} beside {found.procedure}: {found.verdict}")]
    rows = [
        (one.label, one.quantity.replace("_", " "), one.window or "none stated", one.readings,
         one.inside if one.window else "-", one.low, one.high,
         "" if one.farthest is None else f"record {one.farthest}, by {one.by:g}")
        for one in found.counts
    ]  # fmt: skip
    if rows:
        head = ("pass", "reading", "procedure says", "readings", "inside", "low", "high",
                "farthest")  # fmt: skip
        parts.append(table(head, rows))
    parts += [f"not compared: {count} records: {why}" for why, count in found.unplaced.items()]
    if any(one.quantity == HEAT for one in found.counts):
        parts.append("Heat input is worked out from each record without thermal efficiency (k).")
    parts.append(paragraph(found.reminder))
    return "\n".join(parts)
