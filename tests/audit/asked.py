"""Audit by some rules alone: a test of one rule need not ask the others, which cost most of it."""

from __future__ import annotations

from collections.abc import Callable
from unittest import mock

from weldref.audit import procedure_audit
from weldref.audit.procedure_audit import Report, all_rules


def audit_by(*names: str) -> Callable[..., Report]:
    """An audit as `audit_procedure` makes it, in which only these rules are asked."""
    chosen = tuple(rule for rule in all_rules() if rule.name in names)
    assert len(chosen) == len(names), names

    def audit(*procedure: object, **asked: object) -> Report:
        with mock.patch.object(procedure_audit, "all_rules", return_value=chosen):
            return procedure_audit.audit_procedure(*procedure, **asked)  # type: ignore[arg-type]

    return audit
