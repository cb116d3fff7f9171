"""Files from strangers: refused or neutralised in one sentence, within bounded means."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.effort import ALL
from tests.procedures.conftest import read
from tests.procedures.hostile import PLAIN, heavy, row, xlsx
from weldref.errors import InputError
from weldref.procedures import limits
from weldref.procedures.read import read_procedures

ALIASES = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [{','.join(['*' + chr(97 + i)] * 9)}]\n" for i in range(8)
)
ENTITIES = '<!DOCTYPE a [<!ENTITY b "cc"><!ENTITY d "&b;&b;">]><a>&d;</a>'


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("a.json", b"", "the file is empty"),
        ("a.json", b"{", "line 1, column 2: not JSON"),
        ("a.json", b"[" * 100_000, "the JSON is nested too deeply"),
        ("a.json", b"[" * 60 + b"]" * 60, "nested more than 50 levels deep"),
        ("a.json", b"[" + b"{}," * 6000 + b"{}]", "more than 4,000 values"),
        ("a.json", b'{"amps": ' + b"9" * 5000 + b"}", "not JSON: Exceeds the limit"),
        ("a.json", b'{"a": "' + b"x" * 20_000 + b'"}', "the text at /a is longer than 10,000"),
        ("a.json", b" " * 3_000_000 + b"1", "larger than the 2 MB accepted for JSON"),
        ("a.json", b"3", "holds a single value"),
        ("a.json", b"{}", "holds no field"),
        ("a.json", b"[1, 2]", "a list of values, not of procedures"),
        ("a.yaml", ALIASES.encode(), "more than 50 YAML aliases"),
        ("a.yaml", b"a: !!python/object/apply:os.system [x]", "line 1: the YAML tag .*os.system"),
        ("a.yaml", b"a: !x 1", "the YAML tag '!x' is not accepted"),
        ("a.yaml", b"a: &b [*b]", "nested more than 50 levels deep"),
        ("a.yaml", b"[" * 100_000, "not YAML: exceeded maximum nesting|levels deep"),
        ("a.yaml", b"- a\n" * 50_000, "more than 4,000 values"),
        ("a.yaml", b"x" * 600_000, "larger than the 0.5 MB accepted for YAML"),
        ("a.yaml", b"a: 1\n---\nb: 2\n", "several YAML documents"),
        ("a.yaml", b"? [a]\n: 1\n", "line 1: a YAML key must be a word"),
        ("a.yaml", b"a: b: c", "line 1: not YAML"),
        ("a.csv", b",".join(b"c%d" % i for i in range(10_000)), "more than 500 columns"),
        ("a.csv", b"a,b\n" * 4000, "more than 4,000 cells"),
        ("a.csv", b'"' + b"x" * 50_000, "line 1: a cell is longer than 10,000 characters"),
        ("a.csv", b"hello\n", "no field of a procedure is recognised in the CSV"),
        ("a.csv", "WPS,7\n".encode("utf-16"), "UTF-16 text; save it as UTF-8"),
        ("a.csv", "WPS,7\n".encode("utf-16-le"), "UTF-16 text; save it as UTF-8"),
        ("a.csv", "WPS,7\n".encode("utf-32"), "UTF-32 text; save it as UTF-8"),
        ("a.csv", "WPS,7\nPreheat,10 °C\n".encode("cp1252"), "line 2: byte 0xb0 is not UTF-8"),
        ("a.csv", b"WPS,7\x00\n", "holds zero bytes"),
        ("a.pdf", b"%PDF-1.7", "has to be read by machine; confirm what was read"),
        ("a.xls", b"\xd0\xcf\x11\xe0 old", "old or encrypted office file"),
        ("a.xlsx", b"WPS,7\n", "ends in .xlsx but is not an XLSX workbook"),
        ("a.xlsx", b"PK\x03\x04 broken", "damaged: it cannot be unpacked"),
        ("a.xlsx", xlsx(PLAIN)[:700], "damaged: it cannot be unpacked"),
        ("a.xlsx", xlsx("<sheetData>" + row(6000, {"A": "x"}) + "</sheetData>"), "below row 5,000"),
        ("a.xlsx", xlsx("<sheetData>" + "<row/>" * 6000 + "</sheetData>"), "below row 5,000"),
        ("a.xlsx", xlsx("<sheetData>" + row(1, {"XFD": "x"}) + "</sheetData>"), "500 columns"),
        ("a.xlsx", xlsx("<sheetData><row>" + "<c/>" * 600 + "</row></sheetData>"), "500 columns"),
        ("a.xlsx", xlsx("<sheetData></sheetData>"), "no field of a procedure is recognised"),
        ("a.xlsx", xlsx("<sheetData"), "damaged: it cannot be unpacked"),
        ("a.xlsx", xlsx(PLAIN, {"xl/styles.xml": ENTITIES}), "declares entities; it is not read"),
        ("a.xlsx", xlsx(PLAIN, {"xl/x.xml": "<a>" + "<b/>" * 90_000 + "</a>"}, stored=True),
         "more than 60,000 elements"),
        ("a.xlsx", xlsx(PLAIN, {"xl/media/a.png": "\0" * 5_000_000}), "packed more than 200 to 1"),
        ("a.xlsx", xlsx(PLAIN, {"xl/x.xml": " " * 7_000_000}, stored=True), "7 MB of tables"),
        ("a.xlsx", xlsx(PLAIN, {f"xl/{i}.bin": "" for i in range(600)}), "more than 500 parts"),
    ],
)  # fmt: skip
def test_refused_in_one_sentence(name: str, data: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message) as caught:
        read(data, name)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 250


def test_sizes_that_a_zip_declares_are_added_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MOST_UNPACKED", 1000)
    with pytest.raises(InputError, match="unpacks to"):
        read(xlsx(PLAIN), "a.xlsx")


def test_a_zip_that_is_no_workbook(tmp_path: Path) -> None:
    for inside, message in (("a.txt", "a ZIP archive"), ("[Content_Types].xml", "office document")):
        path = tmp_path / "a.zip"
        with zipfile.ZipFile(path, "w") as packed:
            packed.writestr(inside, "x")
        with pytest.raises(InputError, match=message):
            read_procedures(path)


def test_an_external_link_is_reported() -> None:
    found = read(xlsx(PLAIN, {"xl/externalLinks/externalLink1.xml": "<a/>"}), "a.xlsx")
    assert [slip.kind for slip in found.slips] == ["external link"]
    assert str(found.number) == "7"


def test_a_stored_result_is_shown_but_not_used() -> None:
    cell = '<c r="C1" t="str"><v>Rev.</v></c><c r="D1"><f>1+1</f><v>2</v></c>'
    found = read(xlsx(PLAIN.replace("</row>", cell + "</row>")), "a.xlsx")
    assert found.revision is None
    assert [entry.text for entry in found.other] == ["=1+1 (stored result 2)"]
    assert [(slip.kind, slip.place) for slip in found.slips] == [("formula", "A!D1")]


def test_utf8_with_a_mark_is_fine() -> None:
    assert str(read(b"\xef\xbb\xbfWPS No.,7\n", "a.csv").number) == "7"
    assert str(read(b'\xef\xbb\xbf{"wps": 7}', "a.json").number) == "7"


def test_places_that_are_no_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is not there"):
        read_procedures(tmp_path / "none.json")
    with pytest.raises(InputError, match="a folder or a device"):
        read_procedures(tmp_path)
    with pytest.raises(InputError, match=r"cannot be read|not there"):
        read_procedures("a\0b")
    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(InputError, match="a folder or a device"):
        read_procedures(tmp_path / "pipe.json")


SLOWEST = ("sizes.json", "styles.xlsx")
"""Of each kind the one that took longest; the others are read too where everything is tested."""

BOUNDED = """
import signal, sys
from pathlib import Path
from weldref.errors import InputError
from weldref.procedures.read import read_procedures
import openpyxl, yaml, jsonschema

def late(*_):
    raise SystemExit("more than 4 s of processor time")

signal.signal(signal.SIGPROF, late)
for path in sorted(Path(sys.argv[1]).iterdir()):
    signal.setitimer(signal.ITIMER_PROF, 4.0)
    try:
        read_procedures(path)
    except InputError as error:
        print(path.name, "refused:", error)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
# Not ru_maxrss, which a process takes over from the one that started it.
lines = Path("/proc/self/status").read_text().splitlines()
print("peak", next(int(line.split()[1]) // 1024 for line in lines if line.startswith("VmHWM")))
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads Linux's /proc")
def test_the_slowest_files_within_the_limits_stay_cheap(tmp_path: Path) -> None:
    """Two seconds of processor time and 512 MB are the limits themselves, not a benchmark.

    Twice the time is allowed: a processor that is shared does less in a second.
    """
    files = heavy()
    for name in files if ALL else SLOWEST:
        (tmp_path / name).write_bytes(files[name])
    done = subprocess.run(
        [sys.executable, "-c", BOUNDED, str(tmp_path)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-500:]
    *refused, peak = done.stdout.splitlines()
    assert refused == []
    assert int(peak.split()[1]) < 512


def test_reading_a_form_imports_nothing_heavy(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("WPS No.,7\n")
    code = (
        "import sys, weldref.cli; weldref.cli.build_parser()\n"
        "from weldref.procedures.read import read_procedure\n"
        f"read_procedure({str(tmp_path / 'a.csv')!r})\n"
        "print([m for m in ('pandas', 'duckdb', 'pint', 'openpyxl', 'yaml', 'jsonschema', 'numpy')"
        " if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
