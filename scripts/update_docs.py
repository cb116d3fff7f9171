"""Write real output into the Markdown pages: run after a change, checked by a test.

A fenced block marked ``console`` holds a command after "$ " and its output; long output is cut by
"| head -N" at the end of the command. A block marked ``python`` is run, and a ``text``
block right after it holds what it prints. A block with a title, ``csv title="log.csv"``, is the
file that the blocks after it read. Each page is run in a scratch folder.

Between ``<!-- measured: SECTION -->`` and ``<!-- /measured -->`` stand figures that are measured
anew; one that has fallen below what has to hold stops the script.

``weldref/formulas/checks.csv`` lists what each formula was compared with, worked out anew.

Between the comments ``<!-- tables -->`` and ``<!-- /tables -->`` stands the list of tables; between
``<!-- formulas: SUBJECT -->`` and ``<!-- /formulas -->`` stand the formulas of that subject with
their checks, which are worked out anew, and without a subject the count of them.

    python scripts/update_docs.py            writes
    python scripts/update_docs.py --check    exits 1 when a page is not current

A test asks the same. Of a change it does not measure the sections named in ``SLOW`` again, whose
figures other tests hold; ``scripts/test --all`` does.
"""

from __future__ import annotations

import contextlib
import io
import re
import runpy
import shlex
import sys
import tempfile
from collections.abc import Container, Iterator
from functools import partial
from pathlib import Path
from typing import Any

from formula_tables import SUBJECTS, checks_csv, summary, table
from measured import SECTIONS, figures

from weldref.cli import main as weldref
from weldref.data.catalogue import tables

ROOT = Path(__file__).parent.parent
SITE = ROOT / "scripts" / "site" / "pages"
PAGES = (
    "README.md",
    "datasets/README.md",
    "weldref/formulas/README.md",
    *sorted(path.relative_to(ROOT).as_posix() for path in SITE.rglob("*.md")),
)
CHECKS = "weldref/formulas/checks.csv"
SLOW = ("audits", "paper")
BLOCK = re.compile(
    r"^```console\n\$ (?P<command>(?:[^\n]*\\\n)*[^\n]*)\n(?P<output>.*?)^```\n"
    r"|^```python\n(?P<code>.*?)^```\n(?:\n```text\n(?P<printed>.*?)^```\n)?"
    r"|^```[a-z]+ title=\"(?P<file>[\w.-]+)\"\n(?P<content>.*?)^```\n",
    re.DOTALL | re.MULTILINE,
)
TABLES = re.compile(r"<!-- tables -->\n.*?<!-- /tables -->\n", re.DOTALL)
MEASURED = re.compile(
    r"(?P<start><!-- measured: (?P<section>[a-z-]+) -->\n).*?<!-- /measured -->\n", re.DOTALL
)
FORMULAS = re.compile(
    r"(?P<start><!-- formulas(?:: (?P<subject>[a-z ]+))? -->\n).*?<!-- /formulas -->\n", re.DOTALL
)


def output_of(command: str) -> str:
    """Run a weldref command and return what it prints, and its exit code when not 0.

    "| head -N" keeps the first N lines; the exit code is then that of head, which is 0.
    """
    words = shlex.split(command.replace("\\\n", " "))
    most = None
    if words[-3:-1] == ["|", "head"]:
        most = int(words[-1].removeprefix("-"))
        words = words[:-3]
    program, *arguments = words
    if program != "weldref" or "|" in arguments:
        raise SystemExit(f"only weldref commands are run, into head at most: {command}")
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = weldref(arguments)
    if most is not None:
        return "".join(out.getvalue().splitlines(keepends=True)[:most])
    return out.getvalue() + (f"(exit code {code})\n" if code else "")


@contextlib.contextmanager
def scratch_folder() -> Iterator[None]:
    """Work in a new folder that looks like the repository: what an example writes is dropped."""
    with tempfile.TemporaryDirectory() as folder:
        for path in ROOT.glob("[!.]*"):
            (Path(folder) / path.name).symlink_to(path)
        with contextlib.chdir(folder):
            yield


def renew_blocks(text: str) -> str:
    """Run the blocks of a page in their order; its Python blocks share their names."""
    names: dict[str, Any] = {}

    def renew(match: re.Match[str]) -> str:
        if match["file"]:
            Path(match["file"]).write_text(match["content"], encoding="utf-8")
            return match[0]
        if match["code"]:
            Path("example.py").write_text(match["code"], encoding="utf-8")
            out = io.StringIO()
            with contextlib.redirect_stdout(out):
                names.update(runpy.run_path("example.py", init_globals=names))
            if match["printed"] is None:
                return match[0]
            return f"```python\n{match['code']}```\n\n```text\n{out.getvalue()}```\n"
        new = output_of(match["command"])
        return f"```console\n$ {match['command']}\n{new}```\n"

    with scratch_folder():
        return BLOCK.sub(renew, text)


def list_of_tables(_: re.Match[str]) -> str:
    lines = [
        "| table | rows | read | quoted | memory | what a row is |",
        "|---|--:|--:|--:|--:|---|",
    ]
    for one in tables():
        counts = [one.read, one.secondary, one.memory]
        cells = ["" if count is None else str(count) for count in counts]
        description = one.description.replace("|", "\\|")
        lines.append(f"| {one.name} | {one.rows} | {' | '.join(cells)} | {description} |")
    return "<!-- tables -->\n" + "\n".join(lines) + "\n<!-- /tables -->\n"


def formulas_of(match: re.Match[str]) -> str:
    subject = match["subject"]
    if subject and subject not in SUBJECTS:
        raise SystemExit(f"no subject '{subject}' of formulas; give one of {', '.join(SUBJECTS)}")
    return match["start"] + (table(subject) if subject else summary()) + "<!-- /formulas -->\n"


def measured(match: re.Match[str], ignored: Container[str]) -> str:
    section = match["section"]
    if section in ignored:
        return match[0]
    if section not in SECTIONS:
        raise SystemExit(f"no figures of '{section}'; give one of {', '.join(SECTIONS)}")
    return match["start"] + figures(section) + "<!-- /measured -->\n"


def current(text: str, ignored: Container[str] = ()) -> str:
    listed = FORMULAS.sub(formulas_of, TABLES.sub(list_of_tables, renew_blocks(text)))
    return MEASURED.sub(partial(measured, ignored=ignored), listed)


def stale(ignored: Container[str] = ()) -> dict[str, str]:
    """Return the text of each page that is not current, without measuring some sections."""
    found = {}
    for page in (CHECKS, *PAGES):
        path = ROOT / page
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        new = checks_csv() if page == CHECKS else current(old, ignored)
        if new != old:
            found[page] = new
    return found


def main() -> int:
    check = "--check" in sys.argv
    found = stale()
    if not check:
        for page, text in found.items():
            (ROOT / page).write_text(text, encoding="utf-8")
    if found:
        print("not current:" if check else "written:", ", ".join(found))
    return int(bool(found) and check)


if __name__ == "__main__":
    sys.exit(main())
