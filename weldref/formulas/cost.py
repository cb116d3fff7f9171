"""How long a weld takes and what it costs.

Money is in any one currency: give every price in the same one.
"""

from __future__ import annotations

from weldref.formulas.formula import Outcome, Source, Symbol, formula

_ARC_TIME = Symbol("ta", "s", "time the arc burns", above=0.0)
_RATE = Symbol("DR", "kg/s", "deposition rate", above=0.0)
_OPERATING = Symbol("OF", "", "arc time per labor time", above=0.0, at_most=1.0)
_FLOW = Symbol("Q", "m3/s", "gas flow", above=0.0)


def _recalled(what: str) -> Source:
    return Source("weld-general-memory", what, "memory")


@formula(
    name="arc-time",
    title="Arc time for a deposit",
    equation="ta = DW / DR",
    symbols={
        "deposit": Symbol("DW", "kg", "weight of deposited metal", above=0.0),
        "deposition_rate": _RATE,
    },
    result=_ARC_TIME,
    sources=(_recalled("deposit over deposition rate"),),
    valid="one deposition rate for the whole weld",
)
def arc_time(deposit: float, deposition_rate: float) -> Outcome:
    """Return the time the arc burns to lay a deposit.

    Examples
    --------
    >>> round(arc_time(2.0, deposition_rate=2.0 / 3600).value, 6)  # 2 kg at 2 kg/h
    3600.0
    """
    return Outcome(deposit / deposition_rate)


@formula(
    name="labor-time",
    title="Labor time from arc time and operating factor",
    equation="t = ta / OF",
    symbols={"arc_time": _ARC_TIME, "operating_factor": _OPERATING},
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
def labor_time(arc_time: float, operating_factor: float) -> Outcome:
    """Return the total labor time.

    Notes
    -----
    Source: weld-econ-booklet, Formulas (read): total labor time = arc time + non-arc time, operator
    factor = 100 x arc time / total labor time. The time without an arc is among its parts.

    Examples
    --------
    >>> round(labor_time(3600.0, operating_factor=0.3).value / 3600, 3)  # hours
    3.333
    """
    total = arc_time / operating_factor
    return Outcome(total, parts={"non-arc time": total - arc_time})


@formula(
    name="gas-volume",
    title="Gas used while the arc burns",
    equation="V = Q (ta + tp)",
    symbols={
        "flow": _FLOW,
        "arc_time": _ARC_TIME,
        "flow_time": Symbol("tp", "s", "time the gas flows without an arc", at_least=0.0),
    },
    result=Symbol("V", "m3", "volume of gas"),
    sources=(_recalled("flow times time"),),
    valid="a steady flow; the volume is at the conditions of the flowmeter",
)
def gas_volume(flow: float, arc_time: float, flow_time: float = 0.0) -> Outcome:
    """Return the gas used for a weld.

    Notes
    -----
    Surges when the valve opens and leaks are not counted.

    Examples
    --------
    >>> round(gas_volume(15e-3 / 60, arc_time=3600.0).value, 6)  # 15 L/min for an hour
    0.9
    """
    return Outcome(flow * (arc_time + flow_time))


@formula(
    name="deposit-cost",
    title="Cost per weight of deposited metal",
    equation="c = rate / (DR OF) + filler price / DE + Q gas price / DR",
    symbols={
        "labor_rate": Symbol("r", "currency/s", "labor and overhead per time", at_least=0.0),
        "deposition_rate": _RATE,
        "operating_factor": _OPERATING,
        "filler_price": Symbol("pf", "currency/kg", "price of the filler", at_least=0.0),
        "efficiency": Symbol("DE", "", "deposit per filler used", above=0.0, at_most=1.0),
        "gas_flow": Symbol("Q", "m3/s", "gas flow", at_least=0.0),
        "gas_price": Symbol("pg", "currency/m3", "price of the gas", at_least=0.0),
    },
    result=Symbol("c", "currency/kg", "cost per weight of deposit"),
    sources=(_recalled("labor, filler and gas per weight of deposit"),),
    valid="gas flowing only while the arc burns; power, equipment and rework left out",
)
def deposit_cost(
    labor_rate: float,
    deposition_rate: float,
    operating_factor: float,
    filler_price: float,
    efficiency: float,
    gas_flow: float = 0.0,
    gas_price: float = 0.0,
) -> Outcome:
    """Return what a kilogram of deposited metal costs.

    ``c = r / (DR OF) + pf / DE + Q pg / DR``.

    Notes
    -----
    Its parts are labor, filler and gas.

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
