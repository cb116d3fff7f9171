"""Compare product type, weld, filler metal, current and dates of a welder's certificate.

Nothing is guessed that a document does not state.
"""

from __future__ import annotations

import calendar
import datetime
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from weldref.audit.case import Case
from weldref.audit.covering import Line, Pair, Row, State
from weldref.audit.covering_choices import has_filler, polarities
from weldref.audit.covering_joints import weld_of
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import Procedure, gather

Says = Callable[[Case], list[str]]


@dataclass(frozen=True, slots=True)
class Held:
    """A procedure and a certificate under one variable of its standard.

    `rows` are the rows about it, of which the first is cited; `claims` and `tests` are what
    procedure and certificate say.
    """

    case: Case
    tested: Case
    rows: list[Row]
    claims: list[str] = field(default_factory=list)
    tests: list[str] = field(default_factory=list)

    @property
    def variable(self) -> str:
        """The variable, as the tables name it."""
        return str(self.rows[0]["variable"])

    def line(self, state: State, qualified: str = "", why: str = "") -> Line:
        """Make the line of the variable."""
        row = self.rows[0]
        claim, tested = ", ".join(self.claims), ", ".join(self.tests)
        named = row.get("clause", row["locator"])
        says = ""
        if state in ("covered", "not covered"):
            reach = "valid" if self.variable == "validity" else "the welder is qualified for"
            what = f"{self.variable.partition(',')[0]} {claim}: {reach} {qualified}"
            says = f"{self.case.code} {named}: {what}"
        return Pair(self.case, self.tested, row | {"clause": named}).line(
            state, claim=claim, tested=tested, qualified=qualified, why=why, says=says
        )

    def covers(self, covered: bool, qualified: str, why: str = "") -> Line:
        """Say whether the certificate covers what the procedure says."""
        return self.line("covered" if covered else "not covered", qualified, why)

    def check(self, why: str, qualified: str = "") -> Line:
        """Leave the comparison to a person."""
        return self.line("you must check", qualified, why)

    def other(self, why: str) -> Line:
        """Say for which other work the rule is."""
        return self.line("does not apply", why=why)

    def unsaid(self) -> Line:
        """Say which side does not state the variable."""
        silent = "the certificate" if self.claims else "the procedure"
        return self.line("not stated", why=f"{silent} does not say it")

    def saying(self, says: Says) -> Held:
        """The same, with what both documents say of the variable."""
        return replace(self, claims=says(self.case), tests=says(self.tested))


Compare = Callable[[Held], Line]


def compared(says: Says, judge: Compare, processes: Iterable[str] = (), why: str = "") -> Compare:
    """Compare what both documents say; with `processes` the variable is for these alone."""

    def compare(held: Held) -> Line:
        if processes and not set(processes) & set(held.case.processes):
            return held.other(why)
        held = held.saying(says)
        return judge(held) if held.claims and held.tests else held.unsaid()

    return compare


def _product(held: Held) -> Line:
    """A test on pipe over 25 mm covers plate; one on plate covers pipe of 500 mm and over.

    Smaller pipe only where it is rotated (ISO 9606-1), or in the flat positions (ISO 9606-2).
    The edges themselves are for a person where the print lost its signs (ISO 9606-1).
    """
    case, tested = held.case, held.tested
    size, claim = _least(tested), _least(case)
    if size is not None:
        if size > 0.026:
            return held.covers(True, "pipe and plate")
        if claim is not None:
            return held.covers(True, "pipe, by its diameter")
        return held.check("the pipe of the test is of 25 mm or less")
    if tested.procedure.pipe_diameter:
        return held.check("the diameter of the test is in no known unit")
    if claim is None:
        if case.procedure.pipe_diameter:
            return held.check("the least diameter is not stated")
        return held.covers(True, "plate")
    aluminium = case.code == "ISO 9606-2"
    if claim > (0.499 if aluminium else 0.501):
        return held.covers(True, "plate, and pipe of 500 mm and over")
    if claim > 0.499:
        return held.check("500 mm is the edge itself, of which the print lost its sign")
    least, flat = (0.15, {"PA", "PB", "PC"}) if aluminium else (0.075, {"PA", "PB", "PC", "PD"})
    qualified = (
        f"plate, pipe of 500 mm and over, and {'' if aluminium else 'rotating '}pipe of "
        f"{least * 1000:g} mm and over in {', '.join(sorted(flat))}"
    )
    said = " ".join(map(str, gather(case.procedure, "positions", "passes.position")))
    positions = set(re.findall(r"\bP[A-J]\b|\b[HJ]-L045\b|\b[1-6][GF]R?\b", said))
    if claim < least * 0.99 or (positions and not positions <= flat | {"1G", "2G", "1F", "2F"}):
        return held.covers(False, qualified)
    rotated = aluminium or "rotat" in said.casefold()
    if claim > least * 1.01 and positions and rotated:
        return held.covers(True, qualified)
    return held.check("whether the pipe is rotated is not stated", qualified)


def _least(case: Case) -> float | None:
    sizes = (
        case.si(one.low if one.low is not None else one.typical, one, "length")
        for one in case.procedure.pipe_diameter
    )
    return min((size for size in sizes if size is not None), default=None)


def _pipe(case: Case) -> list[str]:
    """Pipe by its diameter; without one it is plate, unless nothing is said of the metal at all."""
    if sizes := ", ".join(map(str, case.procedure.pipe_diameter)):
        return [f"pipe {sizes}"]
    return ["plate"] if case.procedure.base_metals else []


def type_of_weld(held: Held) -> Line:
    """A butt weld covers butt welds, a fillet weld fillet welds; pipe covers branches too.

    ISO 9606-2 lets a butt weld cover fillets where most of the work is butt welding.
    """
    named = gather(held.case.procedure.joint, "text", "kind", "weld")
    if "branch" in " ".join(map(str, named)).casefold():
        why = "branches go by a butt weld in pipe, from 60 degrees, and the branch's diameter"
        return replace(held.saying(_weld), claims=["branch connection"]).check(why)
    return compared(_weld, _butt_or_fillet)(held)


def _weld(case: Case) -> list[str]:
    return [weld] if (weld := weld_of(case.procedure)) else []


def _butt_or_fillet(held: Held) -> Line:
    if (held.tests, held.claims) == (["butt"], ["fillet"]):
        if held.case.code == "ISO 9606-2":
            return held.check(
                "a butt weld covers fillets only where most of the work is butt welding"
            )
        if "supplementary" in _all_words(held.tested.procedure):
            return held.check("whether the fillet test piece was large enough")
    return held.covers(held.claims == held.tests, f"{held.tests[0]} welds")


_GROUPS = tuple(
    (re.compile(pattern), group)
    for pattern, group in (
        # ISO 9606-1, 5.5.1: FM3 chromium to 3.75 %, FM4 over 3.75 to 12 %.
        (r".*-B(?:6|8|9|91|92)L?(?:-.*)?|[EWGST] ?CrMo(?:5|9|91)\b.*", "FM4"),
        (r".*-B[123]L?(?:-.*)?|[EWGST] ?CrMo[12]?(?:Si|L|V|\b).*", "FM3"),
        # FM1 non-alloy and fine grain steels, FM2 high-strength steels.
        (r"E(?:60|70)\d\d.*|ER70S-(?!B).*|E7\dT.*|E70C-.*|[GW]?[2-4]Si1?", "FM1"),
        (r"[EGTW] (?:35|38|42|46|50) .*", "FM1"),
        (r"E(?:9|10|11|12)0\d\d(?:M|-D2|-G)|E1[0-2]0\d\d.*|ER1[0-2]0S-.*", "FM2"),
        (r"[EGTW] (?:55|62|69|79|89) .*", "FM2"),
    )
)
"""Filler material groups by the form of a designation, if that is enough: our reading."""


def filler_groups(case: Case) -> list[str]:
    """The filler material groups FM1 to FM6: as stated, or by the filler metal; "?" if unknown.

    >>> from weldref.data.store import open_store
    >>> from weldref.procedures.model import Filler, Text
    >>> def groups(*names):
    ...     fillers = tuple(Filler(classification=Text(name)) for name in names)
    ...     return filler_groups(Case(open_store(), Procedure(fillers=fillers)))
    >>> groups("E7018"), groups("E9018-B3", "E9015-B91"), groups("E308L-16"), groups("X1")
    (['FM1'], ['FM3', 'FM4'], ['FM5'], ['? (X1)'])
    """
    text = " ".join(str(one.text or "") for one in case.procedure.fillers)
    stated = re.findall(r"\bFM\s?([1-6])\b", text)
    if stated:
        return [f"FM{one}" for one in dict.fromkeys(stated)]
    families = {"stainless steel": "FM5", "nickel alloy": "FM6", "nickel": "FM6"}
    found: dict[str, None] = {}
    for name, _ in case.filler_classes():
        kinds = case.kinds("filler_class", name)
        family = next((METAL_OF_FILLER[kind] for kind in kinds if kind in METAL_OF_FILLER), "")
        group = next((group for form, group in _GROUPS if form.fullmatch(name)), None)
        found[families.get(family) or group or f"? ({name})"] = None
    return list(found)


def _transfer(held: Held) -> Line:
    """A test in short-circuiting transfer covers all modes; another one all but that."""
    short = "short-circuiting"
    qualified = "all transfer modes" if short in held.tests else f"all modes but {short}"
    return held.covers(short in held.tests or short not in held.claims, qualified)


def _modes(case: Case) -> list[str]:
    texts = [mode for weld in case.procedure.passes for mode in case.transfer_modes(weld)]
    names = (
        case.term("transfer_mode", text.text) for text in texts or case.procedure.transfer_modes
    )
    return list(dict.fromkeys(name for name in names if name))


def _filler(case: Case) -> list[str]:
    """What a document says, or its process tells: silence is not work without filler metal."""
    processes = " ".join(map(str, gather(case.procedure, "processes", "passes.process")))
    fillers = " ".join(str(one.text or "") for one in case.procedure.fillers)
    unfilled = r"\b(?:without|no) filler|\bautogenous\b"
    autogenous = re.search(unfilled, f"{fillers} {processes}", re.IGNORECASE)
    if autogenous or re.search(r"\b142\b", processes):
        return ["without filler"]
    consumed = {"SMAW", "GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW"} & set(case.processes)
    return ["with filler"] if has_filler(case) or consumed else []


def _with_filler(held: Held) -> Line:
    """A test with filler covers work without; of aluminium the family counts too."""
    if held.tests == ["without filler"]:
        return held.covers(held.claims == held.tests, "without filler")
    of_aluminium = "AlMg type" in {row["test_value"] for row in held.rows}
    if not of_aluminium or held.claims == ["without filler"]:
        return held.covers(True, "with and without filler")
    families = held.saying(_family)
    if not families.claims or not families.tests:
        return replace(
            held, claims=families.claims or held.claims, tests=families.tests or held.tests
        ).check("the family of a filler, AlMg or AlSi, is unknown")
    if families.tests == ["AlMg"]:
        return families.covers(True, "AlMg and AlSi fillers")
    return families.covers(families.claims == families.tests, families.tests[0])


def _family(case: Case) -> list[str]:
    digits = {m[1] for name, _ in case.filler_classes() if (m := re.search(r"([45])\d{3}", name))}
    return [{"4": "AlSi", "5": "AlMg"}[digits.pop()]] if len(digits) == 1 else []


def _cored(held: Held) -> Line:
    """Solid and metal cored wire cover each other; basic cores cover the others."""
    reach = {"S": {"S", "M"}, "M": {"S", "M"}, "B": {"B", "R"}, "R": {"R"}}
    reached = set().union(*(reach[one] for one in held.tests))
    row = next(r for r in held.rows if str(r["test_value"]).startswith(held.tests[0]))
    return held.covers(set(held.claims) <= reached, row["qualified"], row["condition"] or "")


def _cores(case: Case) -> list[str]:
    """S solid, M metal cored, B basic cored, R any other core; empty where one is unknown."""
    found: dict[str, None] = {}
    for name, _ in case.filler_classes():
        kinds = case.kinds("filler_class", name)
        if "solid wire or rod" in kinds:
            found["S"] = None
        elif "metal cored wire" in kinds:
            found["M"] = None
        elif "flux cored wire" in kinds:
            basic = re.search(r"T\d?-5|^T \d\d \S+ (?:\S+ )?B\b", name)
            found["B" if basic else "R"] = None
        else:
            return []
    return list(found)


def _current(held: Held) -> Line:
    """GTAW of aluminium: direct or alternating current, as tested (ISO 9606-2)."""
    return held.covers(set(held.claims) <= set(held.tests), ", ".join(held.tests))


def _currents(case: Case) -> list[str]:
    return list(dict.fromkeys("AC" if one == "AC" else "DC" for one in polarities(case)))


# Dates

_FORMS = ("%Y-%m-%d", "%d %B %Y", "%d %b %Y", "%B %d, %Y", "%b %d, %Y", "%d.%m.%Y", "%Y/%m/%d")
_DATE = re.compile(
    r"\d{4}[-/]\d\d[-/]\d\d|\d{1,2}\.\d{1,2}\.\d{4}|\d{1,2} [A-Z][a-z]+ \d{4}"
    r"|[A-Z][a-z]+ \d{1,2}, \d{4}"
)
_YEARS = {"ISO 9606-1": {"a": 3, "b": 2}, "ISO 9606-2": {"": 2}, "ISO 14732": {"a": 6, "b": 3}}
"""Years for which a certificate is valid, by the option that it names (9.3; ISO 14732: 6.3)."""


def day_in(text: str) -> datetime.date | None:
    """The day that a text names; None if there is none, or day and month may be mixed up.

    >>> day_in("valid until 2027-03-01"), day_in("12 March 2026"), day_in("03/04/2026")
    (datetime.date(2027, 3, 1), datetime.date(2026, 3, 12), None)
    """
    found = _DATE.search(text)
    for form in _FORMS if found else ():
        try:
            return datetime.datetime.strptime(found[0] if found else "", form).date()
        except ValueError:
            continue
    return None


def validity(held: Held, today: datetime.date) -> Line:
    """Check whether a certificate is still valid on a day, as far as its dates show."""
    one = held.tested.procedure
    entries = [(entry.name.casefold(), entry.text) for entry in (*one.other, *one.tests)]
    until = _newest(text for name, text in entries if re.search(r"valid|expir|prolong", name))
    confirmed = _newest(text for name, text in entries if "confirm" in name)
    made = day_in(str(one.date or ""))
    shown = "; ".join(
        f"{what} {day.isoformat()}"
        for what, day in (("tested", made), ("valid until", until), ("confirmed", confirmed))
        if day
    )
    held = replace(held, claims=[f"on {today.isoformat()}"], tests=[shown])
    if until is None and made is None:
        return held.line("not stated", why="the certificate states no date that is read")
    years = _YEARS[held.tested.code or "ISO 9606-1"]
    option = re.search(r"9\.3\s*\(?([abc])\b|6\.3\s*\(?([abc])\b", _all_words(one))
    letter = next(filter(None, option.groups()), "") if option else ""
    end = until
    if end is None and made is not None and letter != "c":
        longest = years.get(letter) or max(years.values())
        end = _after(made, longest * 12)
    half = _after(max(day for day in (made, confirmed) if day), 6) if made or confirmed else None
    qualified = f"until {end.isoformat()}" if end else "as long as it is confirmed (option c)"
    if end is not None and today > end:
        why = "it has run out, unless it was prolonged: see the certificate itself"
        return held.covers(False, qualified, why)
    if half is not None and today > half:
        why = f"no confirmation after {half.isoformat()} is stated; it is due every six months"
        return held.covers(False, qualified, why) if confirmed else held.check(why, qualified)
    if until is not None or letter or len(years) == 1:
        return held.covers(True, qualified)
    return held.check("the option of prolongation (9.3 a, b or c) is not stated", qualified)


def _all_words(one: Procedure) -> str:
    return " ".join(map(str, gather(one, "standards", "remarks", "other.text")))


def _newest(texts: Iterable[str]) -> datetime.date | None:
    days = (day_in(part) for text in texts for part in re.split(r"[;\n]", text))
    return max((day for day in days if day), default=None)


def _after(day: datetime.date, months: int) -> datetime.date:
    """The day so many months later; the end of a month stays in its month."""
    years, month = divmod(day.month - 1 + months, 12)
    last = calendar.monthrange(day.year + years, month + 1)[1]
    return datetime.date(day.year + years, month + 1, min(day.day, last))


COMPARED: dict[str, Compare] = {
    "product type": compared(_pipe, _product),
    "type of weld": type_of_weld,
    "transfer mode": compared(
        _modes, _transfer, ("GMAW",), "for welding with solid or metal cored wire"
    ),
    "filler": compared(_filler, _with_filler),
    "filler type": compared(
        _cores, _cored, ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW"), "for welding with a wire"
    ),
    "current": compared(_currents, _current, ("GTAW",), "for process 141"),
}
"""The comparison of each variable, by the first part of its name in the tables."""
