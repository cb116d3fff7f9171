"""Compare product type, filler metal, gas and dates of a welder's certificate with a procedure.

What a document does not show is never guessed.
"""

from __future__ import annotations

import calendar
import datetime
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from weldref.audit.case import Case
from weldref.audit.covering import Line, Pair, Row, State, terms
from weldref.audit.covering_choices import has_filler
from weldref.audit.covering_joints import weld_of
from weldref.core.cautions import METAL_OF_FILLER
from weldref.procedures.model import Procedure, gather

Words = tuple[str, str]
"""What procedure and certificate say."""


@dataclass(frozen=True, slots=True)
class Held:
    """A procedure and a certificate under one variable of its standard, with the rows about it."""

    case: Case
    tested: Case
    variable: str
    rows: list[Row]

    def line(
        self,
        state: State,
        words: Words = ("", ""),
        qualified: str = "",
        why: str = "",
        *,
        row: Row | None = None,
        clause: str | None = None,
    ) -> Line:
        """Make the line of a comparison.

        `row` is the row that says so and `clause` its clause, where they are not the first row's
        and its locator.
        """
        row = row or self.rows[0]
        named = row["locator"] if clause is None else clause
        says = ""
        if state in ("covered", "not covered"):
            reach = "valid" if self.variable == "validity" else "the welder is qualified for"
            what = f"{self.variable.partition(',')[0]} {words[0]}: {reach} {qualified}"
            says = f"{self.case.code} {named}: {what}"
        pair = Pair(self.case, self.tested, row | {"clause": named})
        return pair.line(
            state, claim=words[0], tested=words[1], qualified=qualified, why=why, says=says
        )

    def covers(
        self, covered: bool, words: Words, qualified: str, why: str = "", **more: object
    ) -> Line:
        """Make the line of a comparison that could be made."""
        state: State = "covered" if covered else "not covered"
        return self.line(state, words, qualified, why, **more)  # type: ignore[arg-type]

    def check(self, words: Words, why: str, qualified: str = "") -> Line:
        """Make the line of what a person has to compare."""
        return self.line("you must check", words, qualified, why)

    def other(self, why: str) -> Line:
        """Make the line of a rule for other work."""
        return self.line("does not apply", why=why)

    def unsaid(self, claimed: object, words: Words) -> Line:
        """Make the line of what one side does not say."""
        who = "the certificate" if claimed else "the procedure"
        return self.line("not stated", words, why=f"{who} does not say it")


Judge = Callable[[Held, list[str], list[str]], Line]


def compared(
    says: Callable[[Case], list[str]], judge: Judge, processes: Iterable[str] = (), why: str = ""
) -> Callable[[Held], Line]:
    """Compare what both documents say; with `processes` the variable is for these alone."""

    def compare(held: Held) -> Line:
        if processes and not set(processes) & set(held.case.processes):
            return held.other(why)
        claims, tests = says(held.case), says(held.tested)
        if not claims or not tests:
            return held.unsaid(claims, (", ".join(claims), ", ".join(tests)))
        return judge(held, claims, tests)

    return compare


def words_of(claims: list[str], tests: list[str]) -> Words:
    """Write what both documents say."""
    return ", ".join(claims), ", ".join(tests)


def product(held: Held) -> Line:
    """A test on pipe over 25 mm covers plate; one on plate covers pipe of 500 mm and over.

    Smaller pipe only where it is rotated (ISO 9606-1), or in the flat positions (ISO 9606-2).
    The edges themselves are for a person where the print lost its signs (ISO 9606-1).
    """
    case, tested = held.case, held.tested
    size, claim = _least(tested), _least(case)
    words = (_pipe(case.procedure), _pipe(tested.procedure))
    if size is not None:
        if size > 0.026:
            return held.covers(True, words, "pipe and plate")
        if claim is not None:
            return held.covers(True, words, "pipe, by its diameter")
        return held.check(words, "the pipe of the test is of 25 mm or less")
    if tested.procedure.pipe_diameter:
        return held.check(words, "the diameter of the test is in no known unit")
    if claim is None:
        if case.procedure.pipe_diameter:
            return held.check(words, "the least diameter is not stated")
        return held.covers(True, words, "plate")
    aluminium = case.code == "ISO 9606-2"
    if claim > (0.499 if aluminium else 0.501):
        return held.covers(True, words, "plate, and pipe of 500 mm and over")
    if claim > 0.499:
        return held.check(words, "500 mm is the edge itself, of which the print lost its sign")
    least, flat = (0.15, {"PA", "PB", "PC"}) if aluminium else (0.075, {"PA", "PB", "PC", "PD"})
    qualified = (
        f"plate, pipe of 500 mm and over, and {'' if aluminium else 'rotating '}pipe of "
        f"{least * 1000:g} mm and over in {', '.join(sorted(flat))}"
    )
    said = " ".join(map(str, gather(case.procedure, "positions", "passes.position")))
    positions = set(re.findall(r"\bP[A-J]\b|\b[HJ]-L045\b|\b[1-6][GF]R?\b", said))
    if claim < least * 0.99 or (positions and not positions <= flat | {"1G", "2G", "1F", "2F"}):
        return held.covers(False, words, qualified)
    rotated = aluminium or "rotat" in said.casefold()
    if claim > least * 1.01 and positions and rotated:
        return held.covers(True, words, qualified)
    return held.check(words, "whether the pipe is rotated is not stated", qualified)


def _least(case: Case) -> float | None:
    sizes = (
        case.si(one.low if one.low is not None else one.typical, one, "length")
        for one in case.procedure.pipe_diameter
    )
    return min((size for size in sizes if size is not None), default=None)


def _pipe(procedure: Procedure) -> str:
    sizes = ", ".join(map(str, procedure.pipe_diameter))
    return f"pipe {sizes}" if sizes else "plate"


def type_of_weld(held: Held) -> Line:
    """A butt weld covers butt welds, a fillet weld fillet welds; pipe covers branches too.

    ISO 9606-2 lets a butt weld cover fillets where most of the work is butt welding.
    """
    claims, tests = (weld_of(one.procedure) for one in (held.case, held.tested))
    words = (claims, tests)
    named = gather(held.case.procedure.joint, "text", "kind", "weld")
    if "branch" in " ".join(map(str, named)).casefold():
        why = "branches go by a butt weld in pipe, from 60 degrees, and the branch's diameter"
        return held.check(("branch connection", tests), why)
    if not claims or not tests:
        return held.unsaid(claims, words)
    if (tests, claims) == ("butt", "fillet"):
        if held.case.code == "ISO 9606-2":
            why = "a butt weld covers fillets only where most of the work is butt welding"
            return held.check(words, why)
        if "supplementary" in _all_words(held.tested.procedure):
            return held.check(words, "whether the fillet test piece was large enough")
    return held.covers(claims == tests, words, f"{tests} welds")


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


def _transfer(held: Held, claims: list[str], tests: list[str]) -> Line:
    """A test in short-circuiting transfer covers all modes; another one all but that."""
    short = "short-circuiting"
    qualified = "all transfer modes" if short in tests else f"all modes but {short}"
    covered = short in tests or short not in claims
    return held.covers(covered, words_of(claims, tests), qualified)


def _modes(case: Case) -> list[str]:
    texts = [mode for weld in case.procedure.passes for mode in case.transfer_modes(weld)]
    names = (
        case.term("transfer_mode", text.text) for text in texts or case.procedure.transfer_modes
    )
    return list(dict.fromkeys(name for name in names if name))


def with_filler(held: Held) -> Line:
    """A test with filler covers work without; of aluminium the family counts too."""
    claims, tests = has_filler(held.case), has_filler(held.tested)
    said = ("with filler" if claims else "without filler",
            "with filler" if tests else "without filler")  # fmt: skip
    if not tests:
        return held.covers(not claims, said, "without filler")
    if "AlMg type" not in {row["test_value"] for row in held.rows} or not claims:
        return held.covers(True, said, "with and without filler")
    claimed, test = _family(held.case), _family(held.tested)
    named = (claimed or said[0], test or said[1])
    if claimed is None or test is None:
        return held.check(named, "the family of a filler, AlMg or AlSi, is unknown")
    both = test == "AlMg"
    return held.covers(both or claimed == test, named, "AlMg and AlSi fillers" if both else test)


def _family(case: Case) -> str | None:
    digits = {m[1] for name, _ in case.filler_classes() if (m := re.search(r"([45])\d{3}", name))}
    return {"4": "AlSi", "5": "AlMg"}[digits.pop()] if len(digits) == 1 else None


def _cored(held: Held, claims: list[str], tests: list[str]) -> Line:
    """Solid and metal cored wire cover each other; basic cores cover the others."""
    reach = {"S": {"S", "M"}, "M": {"S", "M"}, "B": {"B", "R"}, "R": {"R"}}
    reached = set().union(*(reach[one] for one in tests))
    row = next(r for r in held.rows if str(r["test_value"]).startswith(tests[0]))
    words = words_of(claims, tests)
    return held.covers(set(claims) <= reached, words, row["qualified"], row["condition"] or "")


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


def _current(held: Held, claims: list[str], tests: list[str]) -> Line:
    """GTAW of aluminium: direct or alternating current, as tested (ISO 9606-2)."""
    words = words_of(claims, tests)
    return held.covers(set(claims) <= set(tests), words, words[1])


def _currents(case: Case) -> list[str]:
    names = terms(case, "polarity", "polarities", "passes.polarity")
    return list(dict.fromkeys("AC" if name == "AC" else "DC" for name in names))


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
    for form in _FORMS if found else ():
        try:
            return datetime.datetime.strptime(found[0] if found else "", form).date()
        except ValueError:
            continue
    return None


def validity(held: Held, today: datetime.date) -> Line:
    """Whether a certificate is still valid on a day, as far as its dates show it."""
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
    words = (f"on {today.isoformat()}", shown)
    if until is None and made is None:
        return held.line("not stated", words, why="the certificate states no date that is read")
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
        return held.covers(False, words, qualified, why)
    if half is not None and today > half:
        why = f"no confirmation after {half.isoformat()} is stated; it is due every six months"
        if not confirmed:
            return held.check(words, why, qualified)
        return held.covers(False, words, qualified, why)
    if until is not None or letter or len(years) == 1:
        return held.covers(True, words, qualified)
    why = "the option of prolongation (9.3 a, b or c) is not stated"
    return held.check(words, why, qualified)


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


COMPARED: dict[str, Callable[[Held], Line]] = {
    "product type": product,
    "type of weld": type_of_weld,
    "transfer mode": compared(
        _modes, _transfer, ("GMAW",), "for welding with solid or metal cored wire"
    ),
    "filler": with_filler,
    "filler type": compared(
        _cores, _cored, ("GMAW", "FCAW", "FCAW-G", "FCAW-S", "SAW"), "for welding with a wire"
    ),
    "current, process 141": compared(_currents, _current, ("GTAW",), "for process 141"),
}
"""Variables that are compared here, as the tables name them."""
