"""Thermal efficiency: the share of the arc energy that each source says enters the work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from weldref.errors import InputError
from weldref.formulas.formula import Source
from weldref.grades import Grade

_NAMES = {
    "SMAW": "SMAW 111",
    "FCAW": "FCAW FCAW-S 114 FCAW-G 136 137",
    "SAW": "SAW 12 121",
    "GMAW": "GMAW 131 135 138 139",
    "GTAW": "GTAW 141",
    "PAW": "PAW 15",
}
PROCESSES: Mapping[str, str] = {
    name: process for process, names in _NAMES.items() for name in names.split()
}
"""Process words accepted, AWS letters and ISO 4063 numbers, and the process that tables name."""


@dataclass(frozen=True, slots=True)
class Efficiency:
    """One published thermal efficiency of a process and where it is printed."""

    value: float
    source: Source


def _table(
    source_id: str, locator: str, how_read: Grade, values: dict[str, float], note: str = ""
) -> dict[str, Efficiency]:
    source = Source(source_id, locator, how_read, note)
    return {process: Efficiency(value, source) for process, value in values.items()}


_CONVENTIONAL = {"SAW": 1.0, "SMAW": 0.8, "FCAW": 0.8, "GMAW": 0.8, "GTAW": 0.6, "PAW": 0.6}

EFFICIENCIES: Mapping[str, Mapping[str, Efficiency]] = {
    "twi-faq-heat-input": _table(
        "twi-faq-heat-input", "table", "read", _CONVENTIONAL, "relative to SAW = 1.0"
    ),
    "twi-arc-energy-slides-2006": _table(
        "twi-arc-energy-slides-2006",
        "table of factor k",
        "secondary",
        _CONVENTIONAL,
        "replaces EN 1011-1 Table 1; processes by ISO 4063 number",
    ),
    "dupont-marder-1995": {
        **_table(
            "dupont-marder-1995",
            "abstract",
            "read",
            {"GMAW": 0.84, "SAW": 0.84, "GTAW": 0.67},
            "measured in a calorimeter on A36",
        ),
        **_table(
            "dupont-marder-1995", "abstract", "memory", {"PAW": 0.47}, "the figure is garbled"
        ),
    },
}
"""Published thermal efficiencies: source, then process. Convention and measurement differ."""


def process_with_k(names: Iterable[str]) -> str | None:
    """Return the first of a process's names, itself and what is broader, that the tables have.

    >>> process_with_k(["FCAW-G", "FCAW"]), process_with_k(["OFW"])
    ('FCAW-G', None)
    """
    return next((name for name in names if name in PROCESSES), None)


def thermal_efficiencies(process: str) -> dict[str, Efficiency]:
    """Return every published thermal efficiency of a process, by source.

    Parameters
    ----------
    process
        AWS letters or ISO 4063 number, a key of `PROCESSES`.

    Returns
    -------
    dict
        The `Efficiency` by source id, of the sources that give one for the process.

    Raises
    ------
    InputError
        If the process is not known.

    Notes
    -----
    The k of EN 1011-1 (Table 1, as course slides quote it) and of the TWI table (read) are
    conventions relative to SAW = 1.0; the values of dupont-marder-1995 (read) were measured. They
    are not interchangeable, and nothing here averages them.

    Examples
    --------
    >>> {source: found.value for source, found in thermal_efficiencies("141").items()}
    {'twi-faq-heat-input': 0.6, 'twi-arc-energy-slides-2006': 0.6, 'dupont-marder-1995': 0.67}
    """
    if process not in PROCESSES:
        raise InputError(
            f"process: {process!r} is not accepted; give one of {', '.join(PROCESSES)}"
        )
    letters = PROCESSES[process]
    return {source: table[letters] for source, table in EFFICIENCIES.items() if letters in table}


def efficiency_from(source_id: str, process: str) -> Efficiency:
    """Return one source's thermal efficiency of a process, or refuse when it gives none."""
    published = thermal_efficiencies(process)
    if source_id not in published:
        raise InputError(
            f"{source_id} gives no thermal efficiency for {process}; "
            f"these do: {', '.join(published)}"
        )
    return published[source_id]
