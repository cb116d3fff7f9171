"""Draw jobs that are set up soundly or with one thing that cannot be, some as a procedure.

The sound jobs are our own choice (`sound_set_ups.csv`). What is changed in one is judged by the
set-up rules that `weldref.check` shows, or by the audit of the written procedure.
"""

from __future__ import annotations

import csv
from functools import cache, lru_cache
from itertools import product
from pathlib import Path

from weldref.handouts.practice_pool import CLASS_THICKNESSES, Draw, Pool
from weldref.handouts.tickets import Ticket, cannot_be, p_number
from weldref.handouts.words import later

JOBS = Path(__file__).with_name("sound_set_ups.csv")
READINGS = ("fuel_pressure",)
NUMBERS = ("p_number", "f_number")

INSTEAD = {
    "polarity": ("DCEP", "DCEN", "AC"),
    "gas": ("argon", "CO2", "75 Ar / 25 CO2", "98 Ar / 2 O2", "acetylene"),
    "position": ("vertical up", "overhead"),
    "transfer_mode": ("globular", "short-circuiting", "spray"),
    "fuel_pressure": ("16 psi", "18 psi", "20 psi", "22 psi", "25 psi"),
    "p_number": ("1", "8", "22", "43"),
    "f_number": ("1", "2", "3", "4", "5", "6"),
}
"""What stands on a job in place of what is sound; whether it cannot be, the rules say."""

OF_A_PROCEDURE = ("polarity", "position", *NUMBERS)
"""What is changed on a written procedure."""


@cache
def jobs() -> tuple[dict[str, str], ...]:
    """Read the sound jobs: the keywords of `weldref.check`, readings and numbers by name.

    A cell may hold several values: each of them goes with each of the others.
    """
    with JOBS.open(encoding="utf-8", newline="") as file:
        rows = [
            {name: cell.split("; ") for name, cell in row.items()} for row in csv.DictReader(file)
        ]
    combined = (
        dict(zip(row, each, strict=True)) for row in rows for each in product(*row.values())
    )
    return tuple({name: value for name, value in one.items() if value} for one in combined)


def set_up(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Set a job up; planted: with one thing that cannot be."""
    job = _job(pool, draw)
    if job is None:
        return _cannot_be_done(pool, draw, planted=planted)
    if planted:
        alike = (one for one in jobs() if one["process"] == job["process"])
        electrodes = tuple(sorted({one["electrode"] for one in alike if "electrode" in one}))
        electrodes += ("E7018", "ER70S-6")
        fields = {**{k: v for k, v in INSTEAD.items() if k not in NUMBERS}, "electrode": electrodes}
        job = _changed(job, draw, fields)
    return _ticket("set-up", job, later("a set-up that cannot be") if planted else "")


def written(pool: Pool, draw: Draw, *, planted: bool) -> Ticket | None:
    """Write a job down as a procedure; planted: with one line that cannot be."""
    job = _job(pool, draw)
    if job is None or "position" not in job:
        raise LookupError("no job to write down")
    if group := p_number(pool.store, job["material"]):
        job = {**job, "p_number": group.value.rpartition(".")[2]}
    if planted:
        changed = _changed(job, draw, {name: INSTEAD[name] for name in OF_A_PROCEDURE})
        same = all(changed.get(name) == job.get(name) for name in NUMBERS)
        if same and not cannot_be(pool.store, _ticket("set-up", changed, "")):
            return None  # the rules are asked before the audit, which takes longer
        job = changed
    return _ticket("written", job, later("a line that cannot be") if planted else "")


def _job(pool: Pool, draw: Draw) -> dict[str, str] | None:
    found = _jobs_of(pool)
    return draw.one(found) if found else None


@lru_cache(maxsize=8)
def _jobs_of(pool: Pool) -> tuple[dict[str, str], ...]:
    """List the sound jobs of a class."""
    return tuple(
        one
        for one in jobs()
        if pool.takes(one["process"], one["material"]) and pool.among((one["thickness"],))
    )


def _changed(job: dict[str, str], draw: Draw, fields: dict[str, tuple[str, ...]]) -> dict[str, str]:
    """Change one thing on a job."""
    name = draw.one(sorted(job.keys() & fields.keys()))
    return {**job, name: draw.one([one for one in fields[name] if one != job[name]])}


def _ticket(family: str, job: dict[str, str], mistake: str) -> Ticket:
    apart = (*READINGS, *NUMBERS)
    return Ticket(
        family,
        {name: value for name, value in job.items() if name not in apart},
        {name: job[name] for name in READINGS if name in job},
        mistake=mistake,
        numbers={name: job[name] for name in NUMBERS if name in job and family == "written"},
    )


def _cannot_be_done(pool: Pool, draw: Draw, *, planted: bool) -> Ticket:
    """Name a process and a metal that do not go together, where the class asked for those."""
    if not (planted and pool.processes and pool.metals):
        raise LookupError("no sound job for this class")
    conditions = {
        "process": draw.one(pool.processes).name,
        "material": draw.one(pool.metals).name,
        "thickness": draw.one(pool.thicknesses or CLASS_THICKNESSES),
    }
    return Ticket("set-up", conditions, mistake=later("a set-up that cannot be"))
