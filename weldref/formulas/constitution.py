"""Stainless weld metal: chromium and nickel equivalents and their place on a diagram.

Compositions are in mass percent of the weld metal (mix base metals and filler first, with
`dilution_mix`). The diagrams' axes are computed; **no ferrite number is predicted**, because no
line set of any diagram, no fitted equation and no analysis with a measured ferrite number was
seen in a source. Every position on a diagram says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.composition import by_letter, element_symbols, outside_ranges, weighted_sum
from weldref.formulas.formula import Outcome, Source, Symbol, formula

NO_FERRITE_NUMBER = "no ferrite number is predicted: no line set of the diagram was read"
EQUIVALENTS_NOT_SHOWN = "which equivalents the windows are for was not visible in their sources"

RATIO_WINDOWS = {"304L": (1.52, 1.9), "316L": (1.42, 1.9), "any": (1.5, 1.9)}
"""Creq/Nieq windows as read: two grades (WSRC report), any austenitic weld metal (journal)."""

_RATIO = Symbol("Creq/Nieq", "", "ratio of the equivalents")
_SPREAD = (1.48, 1.55)
"""Limits quoted from memory for the change from primary austenite to primary ferrite."""

_SCHAEFFLER_CREQ = {"Cr": 1.0, "Mo": 1.0, "Si": 1.5, "Nb": 0.5}
_SCHAEFFLER_NIEQ = {"Ni": 1.0, "C": 30.0, "Mn": 0.5}
_DELONG_NIEQ = {**_SCHAEFFLER_NIEQ, "N": 30.0}
_WRC_CREQ = {"Cr": 1.0, "Mo": 1.0, "Nb": 0.7}
_WRC_NIEQ = {"Ni": 1.0, "C": 35.0, "N": 20.0, "Cu": 0.25}
_WRC_RANGE = {
    "Mn": (0.0, 10.0),
    "Mo": (0.0, 3.0),
    "N": (0.0, 0.2),
    "Si": (0.0, 1.0),
    "Creq": (17.0, 31.0),
    "Nieq": (9.0, 18.0),
}
_PARTS = {"Creq": "%", "Nieq": "%"}
_HAMMAR_CREQ = {"Cr": 1.0, "Mo": 1.37, "Si": 1.5, "Nb": 2.0, "Ti": 3.0}
_HAMMAR_NIEQ = {"Ni": 1.0, "Mn": 0.31, "C": 22.0, "N": 14.2, "Cu": 1.0}


def _position(
    contents: Mapping[str, float], creq_of: Mapping[str, float], nieq_of: Mapping[str, float]
) -> Outcome:
    weld = by_letter(contents)
    creq, nieq = weighted_sum(weld, creq_of), weighted_sum(weld, nieq_of)
    if nieq <= 0.0:
        raise InputError("the composition has no nickel equivalent, so no ratio exists")
    return Outcome(creq / nieq, (NO_FERRITE_NUMBER,), parts={"Creq": creq, "Nieq": nieq})


@formula(
    equation="Creq = Cr + Mo + 1.5 Si + 0.5 Nb, Nieq = Ni + 30 C + 0.5 Mn",
    contents=element_symbols("Cr", "Ni", "C", "Mn", "Si", "Mo", "Nb", needed=5),
    result=_RATIO,
    sources=(Source("bssa-schaeffler", "equations in text, two copies agree", "read"),),
    valid="stainless weld metal; no range of composition was printed; nitrogen not counted",
    parts=_PARTS,
)
def schaeffler_position(**contents: float) -> Outcome:
    """Position on the Schaeffler diagram.

    No ferrite number is predicted, and a caveat says so. No composition is flagged as outside the
    diagram, since its range was not printed. The parts "Creq" and "Nieq", %, are the position on
    the axes. Refused if Nieq is zero.

    Examples
    --------
    An exam's composition, 18 Cr 2 Mo 1 Si 0.5 Nb, has Creq 21.75 (exam-schaeffler; the answer
    was worked out from memory, not shown):

    >>> position = schaeffler_position(
    ...     chromium=18, nickel=10, carbon=0.05, manganese=1, silicon=1, molybdenum=2, niobium=0.5
    ... )
    >>> position.parts["Creq"]
    21.75
    """
    return _position(contents, _SCHAEFFLER_CREQ, _SCHAEFFLER_NIEQ)


@formula(
    equation="Creq = Cr + Mo + 1.5 Si + 0.5 Nb, Nieq = Ni + 30 C + 30 N + 0.5 Mn",
    contents=element_symbols("Cr", "Ni", "C", "N", "Mn", "Si", "Mo", "Nb", needed=6),
    result=_RATIO,
    sources=(
        Source("bssa-schaeffler", "equations in text", "read"),
        Source("ss-welding-lecture", "DeLong", "read", "the 30 N term"),
    ),
    valid="stainless weld metal; no range of composition was printed",
    parts=_PARTS,
)
def delong_position(**contents: float) -> Outcome:
    """Position on the DeLong diagram.

    Schaeffler's equivalents with nitrogen. Give the analysed nitrogen: there is no default, since
    0.05 % moves Nieq by 1.5. No ferrite number is predicted, and a caveat says so. No composition
    is flagged as outside the diagram, since its range was not printed. The parts "Creq" and "Nieq",
    %, are the position on the axes. Refused if Nieq is zero.

    Examples
    --------
    >>> position = delong_position(
    ...     chromium=19.5, nickel=9.5, carbon=0.03, nitrogen=0.06, manganese=1.8, silicon=0.4
    ... )
    >>> {name: round(part, 2) for name, part in position.parts.items()}
    {'Creq': 20.1, 'Nieq': 13.1}
    """
    return _position(contents, _SCHAEFFLER_CREQ, _DELONG_NIEQ)


@formula(
    equation="Creq = Cr + Mo + 0.7 Nb, Nieq = Ni + 35 C + 20 N + 0.25 Cu",
    contents=element_symbols("Cr", "Ni", "C", "N", "Mo", "Nb", "Cu", "Mn", "Si", needed=4),
    result=_RATIO,
    sources=(
        Source("constitution-memory", "WRC-1992 equivalents and range", "memory"),
        Source("wrc-1992-paper", "abstract", "read", "only that a copper term was added"),
    ),
    valid="Mn to 10, Mo to 3, N to 0.2, Si to 1 %; Creq 17 to 31, Nieq 9 to 18 (from memory)",
    parts=_PARTS,
)
def wrc_1992_position(**contents: float) -> Outcome:
    """Position on the WRC-1992 diagram.

    No ferrite number is predicted, and a caveat says so. A composition outside the range or a
    position outside the main field has a caveat for each; manganese and silicon are only compared
    with the range, for they are not in the equivalents. The parts "Creq" and "Nieq", %, are the
    position on the axes. Refused if Nieq is zero.

    Examples
    --------
    >>> position = wrc_1992_position(
    ...     chromium=19.5, nickel=9.5, carbon=0.03, nitrogen=0.06, copper=0.2
    ... )
    >>> {name: round(part, 2) for name, part in position.parts.items()}
    {'Creq': 19.5, 'Nieq': 11.8}
    """
    outcome = _position(contents, _WRC_CREQ, _WRC_NIEQ)
    place = by_letter(contents) | dict(outcome.parts)
    return replace(outcome, caveats=outcome.caveats + outside_ranges(place, _WRC_RANGE))


@formula(
    equation=(
        "(Cr + 1.37 Mo + 1.5 Si + 2 Nb + 3 Ti) / (Ni + 0.31 Mn + 22 C + 14.2 N + Cu),"
        " primary ferrite above about 1.5"
    ),
    contents=element_symbols("Cr", "Ni", "C", "N", "Mn", "Si", "Mo", "Nb", "Ti", "Cu", needed=6),
    result=_RATIO,
    sources=(Source("constitution-memory", "Hammar-Svensson ratio", "memory"),),
    valid="austenitic stainless weld metal; no range of composition is known",
    parts=_PARTS,
)
def hammar_svensson_ratio(**contents: float) -> Outcome:
    """Creq/Nieq ratio after Hammar and Svensson.

    The ratio tells which phase solidifies first. Ferrite solidifies first above about 1.5, quoted
    as 1.48 to 1.55: between those figures the result has a caveat. It says nothing about a ferrite
    number. For limits that were read see `creq_nieq_window`. Parts: "Creq" and "Nieq", %. Refused
    if Nieq is zero.

    Examples
    --------
    >>> ratio = hammar_svensson_ratio(
    ...     chromium=19.5, nickel=9.5, carbon=0.03, nitrogen=0.06, manganese=1.8, silicon=0.4
    ... )
    >>> round(ratio.value, 2)
    1.74
    """
    outcome = _position(contents, _HAMMAR_CREQ, _HAMMAR_NIEQ)
    low, high = _SPREAD
    unsure = f"between {low:g} and {high:g} the quoted limits differ on the phase that comes first"
    return replace(outcome, caveats=(unsure,) if low <= outcome.value <= high else ())


@formula(
    equation="margin = min(ratio - low, high - ratio); negative outside",
    result=Symbol("margin", "", "distance to the nearer end of the window"),
    sources=(
        Source("doe-wsrc-2001-00544", "Summary", "read", "304L 1.52 to 1.9, 316L 1.42 to 1.9"),
        Source("int-j-metals-2015-213258", "abstract", "read", "1.5 and 1.9, no grade"),
    ),
    valid="304L, 316L and, by the general limits, other austenitic weld metal",
)
def creq_nieq_window(
    ratio: Annotated[float, Symbol("Creq/Nieq", "", "ratio of the equivalents", above=0.0)],
    grade: Annotated[
        str, Symbol("grade", "", "grade of the weld metal", choices=tuple(RATIO_WINDOWS))
    ],
) -> Outcome:
    """Margin of a Creq/Nieq ratio to the published window.

    Windows as read: 304L 1.52 to 1.9 and 316L 1.42 to 1.9 (solidification mode control); any
    austenitic weld metal 1.5 to 1.9 (below: austenite mode, crack-prone; inside: duplex mode,
    crack-resistant; above: ferrite mode, low resistance).

    The lower ends differ (1.52, 1.42, 1.5), so there is no single limit near 1.5. Where the grade's
    window and the general one disagree on a ratio, a caveat says "sources differ". Which
    equivalents the windows are meant for was not visible, as a caveat of each result says. The ends
    of all three windows are among the parts.

    Examples
    --------
    >>> margin = creq_nieq_window(1.45, "316L")
    >>> round(margin.value, 2), margin.caveats[-1]
    (0.03, 'sources differ: 1.45 is inside the window for 316L, outside the general 1.5 to 1.9')
    """
    low, high = RATIO_WINDOWS[grade]
    general_low, general_high = RATIO_WINDOWS["any"]
    inside, generally_inside = low <= ratio <= high, general_low <= ratio <= general_high
    caveats = [EQUIVALENTS_NOT_SHOWN]
    if ratio < general_low:
        caveats.append(f"below {general_low:g}: austenite mode, crack-prone")
    if ratio > general_high:
        caveats.append(f"above {general_high:g}: ferrite mode, low resistance")
    if inside != generally_inside:
        here, there = ("inside", "outside") if inside else ("outside", "inside")
        caveats.append(
            f"sources differ: {ratio:g} is {here} the window for {grade}, "
            f"{there} the general {general_low:g} to {general_high:g}"
        )
    parts = {
        f"{name} {end}": limit
        for name, window in RATIO_WINDOWS.items()
        for end, limit in zip(("low", "high"), window, strict=True)
    }
    return Outcome(min(ratio - low, high - ratio), tuple(caveats), parts=parts)


@formula(
    equation="X = D1 X1 + D2 X2 + (1 - D1 - D2) Xf",
    result=Symbol("X", "%", "content of the weld metal"),
    sources=(Source("constitution-memory", "linear dilution", "memory"),),
    valid="elements that are neither burnt off nor picked up from gas or slag",
    parts={"filler share": ""},
)
def dilution_mix(
    base_1: Annotated[
        float, Symbol("X1", "%", "content of the first base metal", at_least=0, at_most=100)
    ],
    base_2: Annotated[
        float, Symbol("X2", "%", "content of the second base metal", at_least=0, at_most=100)
    ],
    filler: Annotated[
        float, Symbol("Xf", "%", "content of the filler metal", at_least=0, at_most=100)
    ],
    dilution_1: Annotated[
        float, Symbol("D1", "", "share of the first base metal", at_least=0, at_most=1)
    ],
    dilution_2: Annotated[
        float, Symbol("D2", "", "share of the second base metal", at_least=0, at_most=1)
    ],
) -> Outcome:
    """Content of one element in the weld metal.

    The equation is linear, so it mixes equivalents too. For one base metal give it twice or leave
    one share 0. One stated split for SMAW is 0.15 and 0.15 (engtips-178710, secondary). The
    filler's share is among the parts. Refused if the two shares exceed 1.

    Examples
    --------
    Carbon steel (no chromium) to 304 with 309L, 15 % of each:

    >>> round(dilution_mix(0.0, 18.5, 23.5, dilution_1=0.15, dilution_2=0.15).value, 3)
    19.225
    """
    if dilution_1 + dilution_2 > 1.0 + 1e-12:
        raise InputError("dilution_1 and dilution_2: the two shares together exceed 1")
    filler_share = max(1.0 - dilution_1 - dilution_2, 0.0)
    mixed = dilution_1 * base_1 + dilution_2 * base_2 + filler_share * filler
    return Outcome(mixed, parts={"filler share": filler_share})
