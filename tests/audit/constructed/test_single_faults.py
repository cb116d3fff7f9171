"""Does an audit find a single planted fault, and leave a clean procedure alone?"""

from __future__ import annotations

import pytest

from tests.audit.constructed.bases import BASES, a_copy, read
from tests.audit.constructed.faults import Fault, every_fault
from weldref.audit.procedure_audit import audit_procedure

FAULTS = list(every_fault())
AT_LEAST = 0.9
BY_HAND = ("understood",)
"""Rules of which "not checked" is the gravest word."""


@pytest.mark.parametrize("name", list(BASES))
def test_a_clean_procedure_asks_for_no_action(name: str) -> None:
    report = audit_procedure(read(a_copy(name)))
    loud = [f"{f.rule}: {f.what}" for f in report.findings
            if f.severity not in ("note", "not checked")]  # fmt: skip
    assert not loud


def test_there_are_enough_faults_of_each_process() -> None:
    assert len(BASES) == 20
    assert len(FAULTS) >= 80
    named = {fault.procedure["number"].partition("-")[0] for fault in FAULTS}
    assert named == {"smaw", "gmaw", "gtaw", "fcaw"}


def _spoken(fault: Fault) -> bool:
    report = audit_procedure(read(fault.procedure), **fault.asked)
    return any(
        found.rule in fault.rules
        and found.severity != "note"
        and (found.severity != "not checked" or found.rule in BY_HAND)
        for found in report.findings
    )


def test_nine_of_ten_planted_faults_are_found() -> None:
    missed = [fault.name for fault in FAULTS if not _spoken(fault)]
    assert len(missed) <= (1 - AT_LEAST) * len(FAULTS), missed
