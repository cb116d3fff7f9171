"""Does an audit find a single planted fault, and leave a clean procedure alone?"""

from __future__ import annotations

import pytest

from tests.audit.asked import audit_by
from tests.audit.constructed.bases import BASES, a_copy, read
from tests.audit.constructed.faults import Fault, every_fault
from weldref.audit.procedure_audit import audit_procedure
from weldref.procedures.model import Procedure

FAULTS = list(every_fault())
AT_LEAST = 0.9
BY_HAND = ("understood",)
"""Rules of which "not checked" is the gravest word."""


def loud(procedure: Procedure) -> list[str]:
    """List the findings that ask for action."""
    found = audit_procedure(procedure).findings
    return [f"{f.rule}: {f.what}" for f in found if f.severity not in ("note", "not checked")]


@pytest.mark.parametrize("name", list(BASES))
def test_a_clean_procedure_asks_for_no_action(name: str) -> None:
    assert not loud(read(a_copy(name)))


def test_there_are_enough_faults_of_each_process() -> None:
    assert len(BASES) == 20
    assert len(FAULTS) >= 80
    named = {fault.procedure["number"].partition("-")[0] for fault in FAULTS}
    assert named == {"smaw", "gmaw", "gtaw", "fcaw"}


def spoken(fault: Fault) -> bool:
    """Tell whether a rule that should find the fault does."""
    report = audit_by(*fault.rules)(read(fault.procedure), **fault.asked)
    return any(
        found.severity != "note" and (found.severity != "not checked" or found.rule in BY_HAND)
        for found in report.findings
    )


def test_nine_of_ten_planted_faults_are_found() -> None:
    missed = [fault.name for fault in FAULTS if not spoken(fault)]
    assert len(missed) <= (1 - AT_LEAST) * len(FAULTS), missed
