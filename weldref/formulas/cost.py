"""How long a weld takes and what it costs.

Money is in any one currency: give every price in the same one.
"""

from __future__ import annotations

from typing import Annotated

from weldref.formulas.formula import Outcome, Source, Symbol, formula

_ARC_TIME = Symbol("ta", "s", "time the arc burns", above=0.0)
_ArcTime = Annotated[float, _ARC_TIME]
_Rate = Annotated[float, Symbol("DR", "kg/s", "deposition rate", above=0.0)]
_Operating = Annotated[float, Symbol("OF", "", "arc time per labor time", above=0.0, at_most=1.0)]
_Flow = Annotated[float, Symbol("Q", "m3/s", "gas flow", above=0.0)]


def _recalled(what: str) -> Source:
    return Source("weld-general-memory", what, "memory")


@formula(
    equation="ta = DW / DR",
    result=_ARC_TIME,
    sources=(_recalled("deposit over deposition rate"),),
    valid="one deposition rate for the whole weld",
)
def arc_time(
    deposit: Annotated[float, Symbol("DW", "kg", "weight of deposited metal", above=0.0)],
    deposition_rate: _Rate,
) -> Outcome:
    """Arc time for a deposit.

    Examples
    --------
    >>> round(arc_time(2.0, deposition_rate=2.0 / 3600).value, 6)  # 2 kg at 2 kg/h
    3600.0
    """
    return Outcome(deposit / deposition_rate)


@formula(
    equation="t = ta / OF",
    result=Symbol("t", "s", "total labor time"),
    sources=(
        Source(
            "weld-econ-booklet",
            "Formulas",
            "read",
            "printed as operator factor OF = 100 x arc time / total labor time, %",
        ),
    ),
    valid="an operating factor measured on the same kind of work",
)
def labor_time(arc_time: _ArcTime, operating_factor: _Operating) -> Outcome:
    """Labor time from arc time and operating factor.

    The time without an arc is among the parts.

    Examples
    --------
    >>> round(labor_time(3600.0, operating_factor=0.3).value / 3600, 3)  # hours
    3.333
    """
    total = arc_time / operating_factor
    return Outcome(total, parts={"non-arc time": total - arc_time})


@formula(
    equation="V = Q (ta + tp)",
    result=Symbol("V", "m3", "volume of gas"),
    sources=(_recalled("flow times time"),),
    valid="a steady flow; the volume is at the conditions of the flowmeter",
)
def gas_volume(
    flow: _Flow,
    arc_time: _ArcTime,
    flow_time: Annotated[
        float, Symbol("tp", "s", "time the gas flows without an arc", at_least=0.0)
    ] = 0.0,
) -> Outcome:
    """Gas used while the arc burns.

    Leaks and surges when the valve opens are not counted.

    Examples
    --------
    >>> round(gas_volume(15e-3 / 60, arc_time=3600.0).value, 6)  # 15 L/min for an hour
    0.9
    """
    return Outcome(flow * (arc_time + flow_time))


@formula(
    equation="c = rate / (DR OF) + filler price / DE + Q gas price / DR",
    result=Symbol("c", "currency/kg", "cost per weight of deposit"),
    sources=(_recalled("labor, filler and gas per weight of deposit"),),
    valid="gas flowing only while the arc burns; power, equipment and rework left out",
)
def deposit_cost(
    labor_rate: Annotated[
        float, Symbol("r", "currency/s", "labor and overhead per time", at_least=0.0)
    ],
    deposition_rate: _Rate,
    operating_factor: _Operating,
    filler_price: Annotated[
        float, Symbol("pf", "currency/kg", "price of the filler", at_least=0.0)
    ],
    efficiency: Annotated[
        float, Symbol("DE", "", "deposit per filler used", above=0.0, at_most=1.0)
    ],
    gas_flow: Annotated[float, Symbol("Q", "m3/s", "gas flow", at_least=0.0)] = 0.0,
    gas_price: Annotated[
        float, Symbol("pg", "currency/m3", "price of the gas", at_least=0.0)
    ] = 0.0,
) -> Outcome:
    """Cost per weight of deposited metal.

    The parts are labor, filler and gas.

    Examples
    --------
    60 an hour, 2 kg/h, 30 %, filler 4 a kilogram at 95 %, gas 15 L/min at 10 a cubic metre:

    >>> cost = deposit_cost(60 / 3600, 2 / 3600, 0.3, 4.0, 0.95, 15e-3 / 60, 10.0)
    >>> {name: round(part, 2) for name, part in cost.parts.items()}
    {'labor': 100.0, 'filler': 4.21, 'gas': 4.5}
    """
    parts = {
        "labor": labor_rate / (deposition_rate * operating_factor),
        "filler": filler_price / efficiency,
        "gas": gas_flow * gas_price / deposition_rate,
    }
    return Outcome(sum(parts.values()), parts=parts)
