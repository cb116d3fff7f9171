"""The dashboard as users start it, on a free port that only this machine reaches."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryFile


@dataclass(frozen=True)
class Running:
    """A dashboard that answers at `host`, such as "127.0.0.1:8501"."""

    host: str
    process: int

    @property
    def address(self) -> str:
        return f"http://{self.host}"

    def memory_mb(self) -> float:
        """Return what the server's processes hold in memory; 0 where the system does not say."""
        return sum(resident_kb(pid) for pid in with_children(self.process)) / 1024


@contextmanager
def running_dashboard(environment: Mapping[str, str] | None = None) -> Iterator[Running]:
    """Start it, and make sure that it stops with everything that it started."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with (
        TemporaryFile("w+") as said,
        subprocess.Popen(
            [sys.executable, "-m", "weldref", "dashboard", "--port", str(port)],
            # CI: it opens no browser of its own.
            env={**os.environ, "CI": "true", **(environment or {})},
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
        ) as server,
    ):
        try:
            assert server.stdout is not None
            assert f"http://127.0.0.1:{port}" in server.stdout.readline()
            yield Running(f"127.0.0.1:{port}", server.pid)
        finally:
            server.send_signal(signal.SIGTERM)
            log, _ = server.communicate(timeout=20)
        said.seek(0)
        log += said.read()
    assert "Traceback" not in log, log[-5_000:]
    assert server.returncode == 0
    with socket.socket() as trial:
        assert trial.connect_ex(("127.0.0.1", port)) != 0


def with_children(pid: int) -> list[int]:
    """Name a process and all that it started."""
    children = Path(f"/proc/{pid}/task/{pid}/children")
    found = children.read_text().split() if children.exists() else []
    return [pid, *(each for child in found for each in with_children(int(child)))]


def resident_kb(pid: int) -> int:
    """Return what a process holds in memory; 0 once it is gone."""
    status = Path(f"/proc/{pid}/status")
    lines = status.read_text().splitlines() if status.exists() else []
    return next((int(line.split()[1]) for line in lines if line.startswith("VmRSS")), 0)
