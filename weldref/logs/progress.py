"""Show the progress of a long audit on a terminal, and nothing elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from weldref.logs.prepare import Progress


@contextmanager
def progress_bar(stages: int) -> Iterator[Progress | None]:
    """Show the stages of an audit on the error stream when that is a terminal.

    Parameters
    ----------
    stages
        How many stages there will be.
    """
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    look = (SpinnerColumn(), TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*look, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("beginning", total=stages)
        begun = 0

        def tell(stage: str) -> None:
            nonlocal begun
            shown.update(task, description=stage, completed=begun)
            begun += 1

        yield tell
