"""Preheat from a formula: EN 1011-2 method B, and the susceptibility index of AWS D1.1."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated

from weldref.errors import InputError
from weldref.formulas.formula import Outcome, Source, Symbol, formula, outside

_Hydrogen = Annotated[
    float, Symbol("HD", "mL/100 g", "diffusible hydrogen of the deposit (ISO 3690)", at_least=0.0)
]

HYDROGEN_LEVELS: Mapping[str, tuple[float, Source]] = {
    "H1": (5.0, Source("h-designator-article", "H1, extra low: below 5", "secondary")),
    "H2": (10.0, Source("h-designator-article", "H2, low: below 10", "secondary")),
    "H3": (30.0, Source("aws-d1-1-2004", "H3, not controlled", "memory", "30 is recalled")),
}
"""Hydrogen levels of the AWS D1.1 annex: mL/100 g taken for the index, and where from."""


@formula(
    equation="Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328, d mm, Q kJ/mm",
    result=Symbol("Tp", "degC", "minimum preheat temperature"),
    sources=(
        Source("de-weld-office-2020", "formula C.8", "read", "quotes DIN EN 1011-2"),
        Source("en-1011-2", "C.3", "secondary", "its four parts and its ranges are recalled"),
        Source(
            "stahlbau-textbook-368",
            "p. 368, citing SEW 088 Beiblatt 1",
            "read",
            "the form with 700 and 330, which is shown beside the value",
        ),
    ),
    valid="CET 0.2 to 0.5 %, d 10 to 90 mm, HD 1 to 20 mL/100 g, Q 0.5 to 4.0 kJ/mm (recalled)",
    parts={"cet_part": "K", "thickness_part": "K", "hydrogen_part": "K", "heat_input_part": "K"},
)
def preheat_en1011_method_b(
    cet: Annotated[float, Symbol("CET", "%", "carbon equivalent CET", at_least=0.0, at_most=100.0)],
    thickness: Annotated[float, Symbol("d", "m", "plate thickness", above=0.0)],
    hydrogen: _Hydrogen,
    heat_input: Annotated[
        float, Symbol("Q", "J/m", "heat input with thermal efficiency k", above=0.0)
    ],
    ambient_temperature: Annotated[
        float, Symbol("Ta", "degC", "temperature of the shop", above=-273.15)
    ] = 20.0,
) -> Outcome:
    """Minimum preheat by EN 1011-2 method B.

    The preheat is against hydrogen cracking. Values outside the ranges (recalled) have caveats.
    Single-run fillets, roots and tacks may need about 60 degC less under conditions (recalled);
    they may then exceed a hardness limit (de-weld-office-2020). The temperature is held until the
    joint is finished. A Tp at or below ambient keeps its number and a caveat says that it means no
    preheat.

    The standard reprints an earlier formula with changed factors: SEW 088 Beiblatt 1 has 700 CET
    and - 330. The part "sew_088" gives its result, which is 0.5 degC lower at CET 0.5 and 1.4 degC
    lower at CET 0.2. The other parts are the recalled shares of CET, thickness, hydrogen and heat
    input, which add up to Tp.

    Examples
    --------
    No published worked case was found; by the printed formula:

    >>> found = preheat_en1011_method_b(
    ...     cet=0.40, thickness=0.050, hydrogen=3.0, heat_input=1.5e6
    ... )
    >>> round(found.value, 2), found.grade, found.caveats
    (168.29, 'secondary', ())
    """
    depth, heat = thickness * 1e3, heat_input / 1e6
    of_thickness = 160.0 * math.tanh(depth / 35.0)
    of_hydrogen = 62.0 * hydrogen**0.35
    of_heat = (53.0 * cet - 32.0) * heat
    value = 697.0 * cet + of_thickness + of_hydrogen + of_heat - 328.0
    caveats = (
        *outside("CET", cet, 0.2, 0.5, "%"),
        *outside("thickness", depth, 10.0, 90.0, "mm"),
        *outside("hydrogen", hydrogen, 1.0, 20.0, "mL/100 g"),
        *outside("heat input", heat, 0.5, 4.0, "kJ/mm"),
    )
    if value <= ambient_temperature:
        caveats += (f"{value:.0f} degC is not above ambient: by this formula, no preheat",)
    return Outcome(
        value,
        caveats,
        {
            "sew_088": value + 3.0 * cet - 2.0,
            "cet_part": 750.0 * cet - 150.0,
            "thickness_part": of_thickness - 110.0,
            "hydrogen_part": of_hydrogen - 100.0,
            "heat_input_part": of_heat - 53.0 * cet + 32.0,
        },
    )


@formula(
    equation="CET = parent CET if it exceeds weld-metal CET by 0.03 or more, "
    "else weld-metal CET + 0.03",
    result=Symbol("CET", "%", "CET that governs"),
    sources=(Source("en-1011-2", "C.3", "memory"),),
    valid="as EN 1011-2 method B",
)
def governing_cet(
    parent_cet: Annotated[
        float, Symbol("CETp", "%", "CET of the parent metal", at_least=0.0, at_most=100.0)
    ],
    weld_cet: Annotated[
        float, Symbol("CETw", "%", "CET of the weld metal", at_least=0.0, at_most=100.0)
    ],
) -> Outcome:
    """CET that governs the preheat of a joint by EN 1011-2 method B.

    It is the larger of the parent metal's and the weld metal's plus 0.03.

    Examples
    --------
    >>> governing_cet(parent_cet=0.35, weld_cet=0.25).value
    0.35
    """
    return Outcome(max(parent_cet, weld_cet + 0.03))


@formula(
    equation="SI = 12 Pcm + log10 H",
    result=Symbol("SI", "", "susceptibility index"),
    sources=(Source("aws-d1-1-2004", "annex XI on alternative preheat, index", "memory"),),
    valid="index up to 7.0, the end of group G (recalled)",
    parts={"hydrogen": "mL/100 g"},
)
def susceptibility_index(
    pcm: Annotated[
        float, Symbol("Pcm", "%", "cracking parameter Pcm", at_least=0.0, at_most=100.0)
    ],
    hydrogen_level: Annotated[str, Symbol("", "", "hydrogen level", choices=tuple(HYDROGEN_LEVELS))]
    | None = None,
    hydrogen: Annotated[
        float, Symbol("H", "mL/100 g", "diffusible hydrogen, instead of a level", above=0.0)
    ]
    | None = None,
) -> Outcome:
    """Susceptibility index of the AWS D1.1 hydrogen control method.

    Annex XI of 2004 is annex B in 2020. The group letter A to G comes from the annex's table, not
    from rounding this index: with H1 the two differ (Pcm just under 0.33 gives 4.7, of group E,
    where the table has D). The hydrogen used is among the parts. Refused if neither or both of
    hydrogen and its level are given.

    Examples
    --------
    >>> found = susceptibility_index(pcm=0.25, hydrogen_level="H2")
    >>> round(found.value, 2), found.grade
    (4.0, 'memory')
    """
    if (hydrogen is None) == (hydrogen_level is None):
        raise InputError("give either hydrogen_level or hydrogen")
    sources: tuple[Source, ...] = ()
    if hydrogen is None:
        hydrogen, source = HYDROGEN_LEVELS[str(hydrogen_level)]
        sources = (source,)
    value = 12.0 * pcm + math.log10(hydrogen)
    too_high = (f"index {value:.2f} is above 7.0, the end of group G (recalled)",)
    return Outcome(value, too_high if value > 7.0 else (), {"hydrogen": hydrogen}, sources)
