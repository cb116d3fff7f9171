"""Compare product type, filler metal, gas and dates of a welder's certificate with a procedure.

Each comparison takes the rows of one variable and says what becomes of it; `welder.py` makes the
line. What a document does not show is never guessed.
"""

from __future__ import annotations

import calendar
import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from weldref.audit.case import Case
from weldref.audit.covering import Row, State, metres
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import Procedure, gather

Rows = list[Row]


@dataclass(frozen=True, slots=True)
class Said:
    """What becomes of a variable: the state, both sides, what is qualified, and why.

    `row` is the row that says so and `clause` its clause, where they are not the first row's.
    """

    state: State
    claim: str = ""
    tested: str = ""
    qualified: str = ""
    why: str = ""
    row: Row | None = None
    clause: str | None = None


def product(case: Case, tested: Case, _rows: Rows) -> Said:
    """A test on pipe over 25 mm covers plate; one on plate covers pipe of 500 mm and over.

    Smaller pipe only where it is rotated (ISO 9606-1), or in the flat positions (ISO 9606-2).
    The edges themselves are for a person where the print lost its signs (ISO 9606-1).
    """
    size, claim = _least(tested), _least(case)
    words = (_pipe(case.procedure), _pipe(tested.procedure))
    if size is not None:
        if size > 0.026:
            return Said("covered", *words, "pipe and plate")
        if claim is not None:
            return Said("covered", *words, "pipe, by its diameter")
        return Said("you must check", *words, why="the pipe of the test is of 25 mm or less")
    if tested.procedure.pipe_diameter:
        return Said("you must check", *words, why="the diameter of the test is in no known unit")
    if claim is None:
        if case.procedure.pipe_diameter:
            return Said("you must check", *words, why="the least diameter is not stated")
        return Said("covered", *words, "plate")
    aluminium = case.code == "ISO 9606-2"
    if claim > (0.499 if aluminium else 0.501):
        return Said("covered", *words, "plate, and pipe of 500 mm and over")
    if claim > 0.499:
        why = "500 mm is the edge itself, of which the print lost its sign"
        return Said("you must check", *words, why=why)
    least, flat = (0.15, {"PA", "PB", "PC"}) if aluminium else (0.075, {"PA", "PB", "PC", "PD"})
    qualified = (
        f"plate, pipe of 500 mm and over, and {'' if aluminium else 'rotating '}pipe of "
        f"{least * 1000:g} mm and over in {', '.join(sorted(flat))}"
    )
    positions = set(re.findall(r"\bP[A-J]\b|\b[HJ]-L045\b|\b[1-6][GF]R?\b", _positions(case)))
    if claim < least * 0.99 or (positions and not positions <= flat | {"1G", "2G", "1F", "2F"}):
        return Said("not covered", *words, qualified)
    rotated = aluminium or "rotat" in _positions(case).casefold()
    if claim > least * 1.01 and positions and rotated:
        return Said("covered", *words, qualified)
    return Said("you must check", *words, qualified, "whether the pipe is rotated is not stated")


def type_of_weld(case: Case, tested: Case, _rows: Rows) -> Said:
    """A butt weld covers butt welds, a fillet weld fillet welds; pipe covers branches too.

    ISO 9606-2 lets a butt weld cover fillets where most of the work is butt welding.
    """
    claims, tests = (_weld(one.procedure) for one in (case, tested))
    words = (claims, tests)
    named = gather(case.procedure.joint, "text", "kind", "weld")
    if "branch" in " ".join(map(str, named)).casefold():
        why = "branches go by a butt weld in pipe, from 60 degrees, and the branch's diameter"
        return Said("you must check", "branch connection", tests, why=why)
    if not claims or not tests:
        return unsaid(bool(claims), words)
    if claims == tests:
        return Said("covered", *words, f"{tests} welds")
    if tests == "butt" and claims == "fillet" and case.code == "ISO 9606-2":
        why = "a butt weld covers fillets only where most of the work is butt welding"
        return Said("you must check", *words, why=why)
    if tests == "butt" and claims == "fillet" and "supplementary" in _all_words(tested.procedure):
        return Said("you must check", *words, why="whether the fillet test piece was large enough")
    return Said("not covered", *words, f"{tests} welds")


def _weld(procedure: Procedure) -> str:
    joint = procedure.joint
    return "fillet" if joint.is_fillet else "butt" if joint.is_groove else ""


def _positions(case: Case) -> str:
    return " ".join(map(str, gather(case.procedure, "positions", "passes.position")))


def _least(case: Case) -> float | None:
    sizes = [
        metres(case, one.low if one.low is not None else one.typical, one)
        for one in case.procedure.pipe_diameter
    ]
    return min((size for size in sizes if size is not None), default=None)


def _pipe(procedure: Procedure) -> str:
    sizes = ", ".join(map(str, procedure.pipe_diameter))
    return f"pipe {sizes}" if sizes else "plate"


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
"""Filler material groups by the form of a designation, where it says enough: our reading."""


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


def transfer(case: Case, tested: Case, _rows: Rows) -> Said:
    """A test in short-circuiting transfer covers all modes; another one all but that."""
    claims, tests = (_modes(one) for one in (case, tested))
    words = (", ".join(claims), ", ".join(tests))
    if not {"GMAW"} & set(case.processes):
        return Said("does not apply", why="for welding with solid or metal cored wire")
    if not claims or not tests:
        return unsaid(bool(claims), words)
    if "short-circuiting" in tests:
        return Said("covered", *words, "all transfer modes")
    short = "short-circuiting" in claims
    return Said("not covered" if short else "covered", *words, "all modes but short-circuiting")


def _modes(case: Case) -> list[str]:
    texts = [mode for weld in case.procedure.passes for mode in case.transfer_modes(weld)]
    names = (
        case.term("transfer_mode", text.text) for text in texts or case.procedure.transfer_modes
    )
    return list(dict.fromkeys(name for name in names if name))


def with_filler(case: Case, tested: Case, rows: Rows) -> Said:
    """A test with filler covers work without; of aluminium the family counts too."""
    claims, tests = (
        bool(gather(one.procedure, "fillers", "passes.filler_class")) for one in (case, tested)
    )
    words = {True: "with filler", False: "without filler"}
    said = (words[claims], words[tests])
    if not tests:
        return Said("not covered" if claims else "covered", *said, "without filler")
    families = {row["test_value"] for row in rows}
    if "AlMg type" not in families or not claims:
        return Said("covered", *said, "with and without filler")
    claimed, test = (_family(one) for one in (case, tested))
    named = (claimed or said[0], test or said[1])
    if claimed is None or test is None:
        why = "the family of a filler, AlMg or AlSi, is unknown"
        return Said("you must check", *named, why=why)
    covered = claimed == test or test == "AlMg"
    return Said("covered" if covered else "not covered", *named,
                "AlMg and AlSi fillers" if test == "AlMg" else test)  # fmt: skip


def _family(case: Case) -> str | None:
    digits = {m[1] for name, _ in case.filler_classes() if (m := re.search(r"([45])\d{3}", name))}
    return {"4": "AlSi", "5": "AlMg"}[digits.pop()] if len(digits) == 1 else None


def cored(case: Case, tested: Case, rows: Rows) -> Said:
    """Solid and metal cored wire cover each other; basic cores cover the others."""
    claims, tests = (_cores(one) for one in (case, tested))
    words = (", ".join(claims), ", ".join(tests))
    if not {"GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW"} & set(case.processes):
        return Said("does not apply", why="for welding with a wire")
    if not claims or not tests:
        return unsaid(bool(claims), words)
    reach = {"S": {"S", "M"}, "M": {"S", "M"}, "B": {"B", "R"}, "R": {"R"}}
    reached = set().union(*(reach[one] for one in tests))
    row = next(r for r in rows if str(r["test_value"]).startswith(tests[0]))
    state: State = "covered" if set(claims) <= reached else "not covered"
    return Said(state, *words, row["qualified"], row["condition"] or "")


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


def current(case: Case, tested: Case, _rows: Rows) -> Said:
    """GTAW of aluminium: direct or alternating current, as tested (ISO 9606-2)."""
    if "GTAW" not in case.processes:
        return Said("does not apply", why="for process 141")
    claims, tests = (_currents(one) for one in (case, tested))
    words = (", ".join(claims), ", ".join(tests))
    if not claims or not tests:
        return unsaid(bool(claims), words)
    return Said("covered" if set(claims) <= set(tests) else "not covered", *words, words[1])


def _currents(case: Case) -> list[str]:
    texts = gather(case.procedure, "polarities", "passes.polarity")
    names = [case.term("polarity", text.text) for text in texts]
    return list(dict.fromkeys("AC" if name == "AC" else "DC" for name in names if name))


def unsaid(claimed: bool, words: tuple[str, str]) -> Said:
    """Say that one side says nothing."""
    who = "the certificate" if claimed else "the procedure"
    return Said("not stated", *words, why=f"{who} does not say it")


# Dates

_FORMS = ("%Y-%m-%d", "%d %B %Y", "%d %b %Y", "%B %d, %Y", "%b %d, %Y", "%d.%m.%Y", "%Y/%m/%d")
_DATE = re.compile(
    r"\d{4}[-/]\d\d[-/]\d\d|\d{1,2}\.\d{1,2}\.\d{4}|\d{1,2} [A-Z][a-z]+ \d{4}"
    r"|[A-Z][a-z]+ \d{1,2}, \d{4}"
)
_YEARS = {"ISO 9606-1": {"a": 3, "b": 2}, "ISO 9606-2": {"": 2}, "ISO 14732": {"a": 6, "b": 3}}
"""Years for which a certificate is valid, by the option that it names (9.3; ISO 14732: 6.3)."""


def day_in(text: str) -> datetime.date | None:
    """The day that a text names; None where none is, or where day and month may be mixed up.

    >>> day_in("valid until 2027-03-01"), day_in("12 March 2026"), day_in("03/04/2026")
    (datetime.date(2027, 3, 1), datetime.date(2026, 3, 12), None)
    """
    found = _DATE.search(text)
    if found is None:
        return None
    for form in _FORMS:
        try:
            return datetime.datetime.strptime(found[0], form).date()
        except ValueError:
            continue
    return None


def validity(tested: Case, today: datetime.date) -> Said:
    """Whether a certificate is still valid on a day, as far as its dates show it."""
    one = tested.procedure
    entries = [(entry.name.casefold(), entry.text) for entry in (*one.other, *one.tests)]
    until = _newest(text for name, text in entries if re.search(r"valid|expir|prolong", name))
    confirmed = _newest(text for name, text in entries if "confirm" in name)
    made = day_in(str(one.date or ""))
    shown = "; ".join(
        f"{what} {day.isoformat()}"
        for what, day in (("tested", made), ("valid until", until), ("confirmed", confirmed))
        if day
    )
    when = f"on {today.isoformat()}"
    if until is None and made is None:
        return Said("not stated", when, shown, why="the certificate states no date that is read")
    years = _YEARS[tested.code or "ISO 9606-1"]
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
        return Said("not covered", when, shown, qualified, why)
    if half is not None and today > half:
        why = f"no confirmation after {half.isoformat()} is stated; it is due every six months"
        return Said(
            "you must check" if not confirmed else "not covered", when, shown, qualified, why
        )
    settled = until is not None or letter or len(years) == 1
    return Said(
        "covered" if settled else "you must check", when, shown, qualified,
        "" if settled else "the option of prolongation (9.3 a, b or c) is not stated",
    )  # fmt: skip


def _all_words(one: Procedure) -> str:
    return " ".join(map(str, gather(one, "standards", "remarks", "other.text")))


def _newest(texts: Any) -> datetime.date | None:
    days = [day for text in texts for part in re.split(r"[;\n]", text) if (day := day_in(part))]
    return max(days) if days else None


def _after(day: datetime.date, months: int) -> datetime.date:
    """The day so many months later; the end of a month stays in its month."""
    years, month = divmod(day.month - 1 + months, 12)
    last = calendar.monthrange(day.year + years, month + 1)[1]
    return datetime.date(day.year + years, month + 1, min(day.day, last))


COMPARED: dict[str, Callable[[Case, Case, Rows], Said]] = {
    "product type": product,
    "type of weld": type_of_weld,
    "transfer mode": transfer,
    "filler": with_filler,
    "filler type": cored,
    "current, process 141": current,
}
"""Variables that are compared here, as the tables name them."""

REMARKS = {
    "acceptance": "about the test weld, not what it covers",
    "test methods, butt": "about the test weld, not what it covers",
    "test methods, fillet and branch": "about the test weld, not what it covers",
    "test piece, plate": "about the test weld, not what it covers",
    "test piece, fusion welding": "about the test weld, not what it covers",
    "filler material group, meaning": "says what the groups mean",
    "not essential, recorded": "not essential: any change is covered",
    "technique, 311": "for oxy-fuel welding",
    "combined certificate": "for several test pieces on one certificate",
    "procedure test passed": "for an operator who welded a procedure test",
}
"""What is no range that could be compared, and why."""
