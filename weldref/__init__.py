"""Published welding-parameter ranges, every number with its source.

>>> import weldref
>>> weldref.check(process="stick", electrode="7018", diameter="1/8", current=130).verdict
'inside'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weldref.errors import DataError, InputError, WeldrefError

if TYPE_CHECKING:
    from weldref.advice.card import bench
    from weldref.advice.situation import Situation
    from weldref.calculate.plain import compute
    from weldref.charts.plot import plot
    from weldref.core.check import CheckResult, check
    from weldref.core.frames import windows
    from weldref.data.catalogue import coverage, source, tables
    from weldref.data.frames import query, table
    from weldref.exchange.cite import cite
    from weldref.exchange.connect import connect
    from weldref.exchange.diff import diff
    from weldref.exchange.evidence import evidence
    from weldref.exchange.export import export
    from weldref.logs.audit import LogAudit, audit_log
    from weldref.logs.frame import check_frame

__version__ = "1.0.0"
__all__ = [
    "CheckResult",
    "DataError",
    "InputError",
    "LogAudit",
    "Situation",
    "WeldrefError",
    "audit_log",
    "bench",
    "check",
    "check_frame",
    "cite",
    "compute",
    "connect",
    "coverage",
    "diff",
    "evidence",
    "export",
    "plot",
    "query",
    "source",
    "table",
    "tables",
    "windows",
]

_HOME = {
    "CheckResult": "core.check",
    "LogAudit": "logs.audit",
    "Situation": "advice.situation",
    "audit_log": "logs.audit",
    "bench": "advice.card",
    "check": "core.check",
    "check_frame": "logs.frame",
    "cite": "exchange.cite",
    "compute": "calculate.plain",
    "connect": "exchange.connect",
    "coverage": "data.catalogue",
    "diff": "exchange.diff",
    "evidence": "exchange.evidence",
    "export": "exchange.export",
    "plot": "charts.plot",
    "query": "data.frames",
    "source": "data.catalogue",
    "table": "data.frames",
    "tables": "data.catalogue",
    "windows": "core.frames",
}


def __getattr__(name: str) -> object:
    """Import a public function when it is first asked for: importing weldref stays cheap."""
    if name in _HOME:
        from importlib import import_module

        return getattr(import_module(f"weldref.{_HOME[name]}"), name)
    raise AttributeError(f"module 'weldref' has no attribute '{name}'")


def __dir__() -> list[str]:
    """List the public names before they are imported, for completion by Tab."""
    return sorted({*globals(), *__all__})
