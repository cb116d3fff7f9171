"""List what a procedure and a test record say of each variable of a code.

`topics.csv` finds the topic of a variable by its words, and where a document states it: at all of
the paths, or at the first one with a value if "|" is between them. A name of `COLLECTED` combines
several places.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache

from weldref.audit.case import Case
from weldref.audit.finding import table
from weldref.procedures.model import Procedure, Range, Text, gather


def stated(procedure: Procedure, *paths: str) -> list[list[object]]:
    """List the values at each path; "gases[backing].flow" is of the gases with that role.

    >>> from weldref.procedures.model import Gas
    >>> backed = Procedure(gases=(Gas(role="backing", composition=Text("argon")),))
    >>> [len(one) for one in stated(backed, "gases[backing].composition", "title")]
    [1, 0]
    """
    found: list[list[object]] = []
    for path in paths:
        if of_role := re.fullmatch(r"gases\[(\w+)\]\.(\w+)", path):
            gases = [gas for gas in procedure.gases if gas.role == of_role[1]]
            found.append([one for gas in gases for one in gather(gas, of_role[2])])
        else:
            found.append(gather(procedure, path))
    return found


def _fillers(case: Case) -> list[object]:
    names = [name for name, _ in case.filler_classes()]
    return [*names, *gather(case.procedure, "passes.filler_class")]


def _treatments(case: Case, *, after_welding: bool) -> list[object]:
    return [
        " ".join(map(str, gather(one, "kind", "text", "temperature", "time")))
        for one in case.procedure.heat_treatments
        if (one.kind.casefold() == "pwht") == after_welding
    ]


COLLECTED: dict[str, Callable[[Case], Iterable[object]]] = {
    "base metals": lambda case: [
        metal.text or metal.spec or metal.p_number or metal.group
        for metal in case.procedure.base_metals
    ],
    "fillers": _fillers,
    "F-numbers and fillers": lambda case: [
        *(f"F-{number}" for number in gather(case.procedure, "fillers.f_number")),
        *_fillers(case),
    ],
    "treatments after welding": lambda case: _treatments(case, after_welding=True),
    "other treatments": lambda case: _treatments(case, after_welding=False),
    "current and voltage": lambda case: [
        part for weld in case.procedure.passes for part in (weld.current, weld.voltage)
    ],
}


@cache
def _topic(variable: str) -> dict[str, str] | None:
    rows = table("topics.csv")
    return next((row for row in rows if re.search(row["words"], variable.casefold())), None)


def topic(variable: str) -> str | None:
    """The topic of a variable; None if it is only a statement.

    >>> topic("plate thickness CJP"), topic("nonessential variable")
    ('thickness', None)
    """
    found = _topic(variable)
    return found["name"] if found else None


def said(case: Case, variable: str, *, tested: bool = False) -> tuple[str, str]:
    """What a document states of a variable, and where; both empty if it states nothing.

    `tested` is for a test record, where the coupon counts.
    """
    found = _topic(variable)
    if found is None:
        return "", ""
    places = found["tested"] if tested else found["claimed"] or found["tested"]
    if collect := COLLECTED.get(places):
        values = list(collect(case))
    else:
        groups = (stated(case.procedure, *one.split()) for one in places.split("|"))
        each = ([value for part in group for value in part] for group in groups)
        values = next(filter(None, each), [])
    values = [one for one in values if one is not None and str(one).strip()]
    place = next((one.place for one in values if isinstance(one, (Text, Range)) and one.place), "")
    return "; ".join(dict.fromkeys(str(one).strip() for one in values)), place
