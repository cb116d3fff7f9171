"""A child process that reads files one after the other, each within its limits.

``python -m tests.attack.bounded FOLDER FIRST COUNT`` makes and reads files FIRST to FIRST + COUNT
of the corpus and prints one JSON object: how many were refused and accepted, what went wrong,
the slowest and the peak memory.
"""

from __future__ import annotations

import gc
import json
import signal
import sys
import time
import warnings
from collections import Counter
from pathlib import Path

from tests.attack.corpus import Made, make
from weldref.audit.report import read_baseline
from weldref.audit.uploads import Upload, audit_log_upload
from weldref.errors import WeldrefError
from weldref.exchange.read_dataset import read_dataset
from weldref.procedures.read import read_bytes

SECONDS = 2.0
MEGABYTES = 512


class LateError(BaseException):
    """The processor time is used up; no handler of the code that is tried takes it for its own."""


def peak() -> int:
    """The most memory that was held, in MB (ru_maxrss is taken over from the parent)."""
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) // 1024 for line in lines if line.startswith("VmHWM"))


def forget_peak() -> None:
    """Begin to measure anew."""
    Path("/proc/self/clear_refs").write_text("5")


def read(made: Made, folder: Path) -> None:
    """Hand a file to the part that reads its kind."""
    if made.kind == "procedure":
        read_bytes(made.data, made.name)
    elif made.kind == "log":
        audit_log_upload(Upload(made.name, made.data))
    else:
        path = folder / made.name
        path.write_bytes(made.data)
        try:
            (read_baseline if made.kind == "report" else read_dataset)(path)
        finally:
            path.unlink()


def main() -> None:
    """Read the files and say how it went."""
    folder, first, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])

    def late(*_: object) -> None:
        raise LateError

    signal.signal(signal.SIGPROF, late)
    outcomes: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    faults: list[str] = []
    slowest, largest = (0.0, ""), (0, "")
    for kind in ("procedure", "log", "dataset"):  # what is loaded once is nobody's fault
        read(make(-1, kind), folder)
    warnings.simplefilter("error")
    gc.collect()
    gc.freeze()  # so that what was loaded is not looked through after each file
    for number in range(first, first + count):
        made = make(number)
        gc.collect()
        forget_peak()
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        try:
            read(made, folder)
            outcome = "accepted"
        except WeldrefError as error:
            outcome = "refused"
            if "\n" in str(error) or len(str(error)) > 1000:
                faults.append(f"{number} {made}: no sentence: {str(error)[:200]!r}")
        except LateError:
            outcome = "late"
            faults.append(f"{number} {made}: more than {SECONDS:g} s of processor time")
        except Exception as error:
            outcome = "raised"
            faults.append(f"{number} {made}: {type(error).__name__}: {str(error)[:300]}")
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        outcomes[outcome] += 1
        kinds[f"{made.kind} {outcome}"] += 1
        slowest = max(slowest, (round(time.process_time() - began, 2), f"{number} {made}"))
        largest = max(largest, (peak(), f"{number} {made}"))
        if largest[0] > MEGABYTES:
            faults.append(f"{number} {made}: {largest[0]} MB")
            break
    print(
        json.dumps(
            {
                "outcomes": outcomes,
                "kinds": kinds,
                "faults": faults,
                "slowest": slowest,
                "largest": largest,
            }
        )
    )


if __name__ == "__main__":
    main()
