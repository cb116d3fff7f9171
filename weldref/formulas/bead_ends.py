"""Cooling near the ends of a bead, where it is faster than in the middle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from weldref.formulas.formula import Outcome, Source, Symbol, formula

END_RATIOS: Mapping[str, float] = {
    "middle-of-long-bead": 1.0,
    "bead-end": 2.0,
    "2-rm-from-end": 2.0 * 0.56,
}
"""Cooling rate over that of the middle of a long bead; 0.56 is printed relative to the end."""


@formula(
    equation="R_place = ratio R; ratio 2 at the end, 2 x 0.56 at 2 rm from it",
    result=Symbol("R_place", "K/s", "cooling rate at the place"),
    sources=(Source("jws-1976-cooling-ends", "abstract", "read"),),
    valid="instantaneous line source on thick plate; beads longer than 2 rm",
    parts={"ratio": ""},
)
def cooling_rate_near_bead_end(
    *,
    cooling_rate: Annotated[
        float, Symbol("R", "K/s", "rate in the middle of a long bead", above=0.0)
    ],
    place: Annotated[str, Symbol("", "", "where on the bead", choices=tuple(END_RATIOS))],
    bead_length: Annotated[float, Symbol("L", "m", "length of the bead", above=0.0)] | None = None,
    peak_radius: Annotated[
        float, Symbol("rm", "m", "distance whose peak is the temperature", above=0.0)
    ]
    | None = None,
) -> Outcome:
    """Cooling rate near the end of a bead on thick plate.

    A bead end cools twice as fast as the middle, at the same temperature; at 2 rm from the end the
    rate is 0.56 of that at the end. rm is the distance from the weld at which the peak temperature
    equals the temperature of interest. No other place is published, and none is interpolated.

    Beads over 2 rm behave as infinitely long, below 1.5 rm as a point source. Where `bead_length`
    and `peak_radius` show that a bead is too short for the ratios, a caveat says so. `cooling_rate`
    is what `weldref.formulas.cooling_rate.cooling_rate_thick_plate` gives. The ratio is among the
    parts.

    Examples
    --------
    >>> cooling_rate_near_bead_end(cooling_rate=10.0, place="bead-end").value
    20.0
    """
    caveats: tuple[str, ...] = ()
    if bead_length is not None and peak_radius is not None and bead_length <= 2 * peak_radius:
        point = " and behaves as a point source" if bead_length < 1.5 * peak_radius else ""
        caveats = (f"the bead is {bead_length / peak_radius:.3g} rm long, not over 2 rm{point}",)
    ratio = END_RATIOS[place]
    return Outcome(ratio * cooling_rate, caveats, {"ratio": ratio})
