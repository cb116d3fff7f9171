"""Invented files to try an audit with: no such weld was made, and mistakes are planted in them."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from weldref.audit.uploads import Upload


@cache
def procedures() -> tuple[Upload, ...]:
    """A procedure with planted mistakes, and the test record it names.

    >>> [one.name for one in procedures()]
    ['posts-with-mistakes.json', 'posts-record.json']
    """
    folder = files(__name__)
    return tuple(
        Upload(name, folder.joinpath(name).read_bytes())
        for name in ("posts-with-mistakes.json", "posts-record.json")
    )


@cache
def logs() -> tuple[Upload, ...]:
    """A weld log of four posts: one wanders upwards, and one reading is a slip.

    >>> logs()[0].data.splitlines()[1]
    b'2026-11-03 08:00:00,post 1,A,SMAW,E7018,1/8 in,1/4 in,carbon steel,flat,DCEP,124,22.0'
    """
    lines = [
        "time,joint,welder,process,electrode,diameter,thickness,material,position,polarity,"
        "current (A),voltage (V)"
    ]
    fixed = "SMAW,E7018,1/8 in,1/4 in,carbon steel,flat,DCEP"
    for post in range(1, 5):
        for step in range(40):
            current = 124 + 3 * post + (7 * step * post) % 9 - 3
            if post == 3:
                current += step
            if (post, step) == (4, 21):
                current = 1300 // 5
            time = f"2026-11-03 {7 + post:02d}:{step:02d}:00"
            welder = "AB"[post % 2 == 0]
            volts = 22 + (step % 5) / 10
            lines.append(f"{time},post {post},{welder},{fixed},{current},{volts:.1f}")
    return (Upload("invented-posts-log.csv", ("\n".join(lines) + "\n").encode()),)
