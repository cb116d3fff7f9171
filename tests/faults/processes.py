"""Commands in a process of their own that can be killed at any moment."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.effort import times

KILLS = times(1, 50)
"""How often each is killed: of a change once, while it writes; of everything at any moment too."""
SPARE = 4
"""How often a run that came to its end before it was killed is tried again."""

BUILD = """
import pickle, sys
from pathlib import Path
from weldref.data import validate
from weldref.data.store import open_store

if len(sys.argv) > 2:  # tables that were loaded and checked before: what is left is to write
    validate.load = lambda *_: pickle.loads(Path(sys.argv[2]).read_bytes())
store = open_store(Path(sys.argv[1]))
print(store.digest, store.path)
"""


def start(command: Sequence[str], **environment: str) -> subprocess.Popen[str]:
    """Start a Python process with these arguments."""
    return subprocess.Popen(
        [sys.executable, *command],
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def finish(command: Sequence[str], **environment: str) -> tuple[int, str, str]:
    """Run to the end: exit code and both streams."""
    process = start(command, **environment)
    out, err = process.communicate()
    return process.returncode, out, err


def kill(
    command: Sequence[str], folder: Path, pattern: str, times: int = KILLS, **environment: str
) -> Iterator[None]:
    """Kill a command some times, each time at another moment.

    The first time and every second time after it is killed soon after a file of the pattern is
    begun, while it is written; the other times at any moment of its run, for which it is run
    once to its end before. Where a busy machine lets it come to its end while it writes, it is
    tried again.
    """
    drawn = random.Random(KILLS)  # noqa: S311
    whole = 1.0
    if times > 1:
        began = time.monotonic()
        code, _, err = finish(command, **environment)
        assert code in (0, 1), err
        whole = time.monotonic() - began
        yield
    turn = 0
    for _ in range(times + SPARE):
        known = set(folder.glob(pattern))
        process = start(command, **environment)
        limit = time.monotonic() + drawn.uniform(0, whole)
        while process.poll() is None:
            writing = not turn % 2 and bool(set(folder.glob(pattern)) - known)
            if writing:
                time.sleep(drawn.uniform(0, whole / 10))
            if writing or (bool(turn % 2) and time.monotonic() > limit):
                process.kill()
                break
            time.sleep(0.005)
        process.communicate()
        yield
        turn += process.returncode < 0 or turn % 2
        if turn == times:
            return
