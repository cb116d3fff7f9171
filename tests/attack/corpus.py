"""Ten thousand malformed files, made when they are needed: file N is the same on every run.

Each begins as a valid file of one kind and is then spoilt once, twice or three times.
"""

from __future__ import annotations

import io
import json
import random
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import duckdb

from weldref.audit.procedure_audit import audit_file
from weldref.audit.report import render
from weldref.data.folder import datasets_folder
from weldref.exchange.export import export
from weldref.procedures.read import read_procedure
from weldref.procedures.template import write_template

SAMPLES = Path(__file__).parents[1] / "procedures" / "samples"

CELLS = (
    "=1+1", '=HYPERLINK("http://192.0.2.1")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "NaN",
    "Infinity", "-inf", "1e999", "9" * 400 + "/1", "9" * 5000 + "/2", "1 a" + " " * 9000 + "b",
    "1/0", "\x1b[31mred", "\x1b]0;title\x07", "\x00", "\u202egnp.exe", "\ufeff", "\ud7ff", "٣٤",
    "１２", "²", "NULL", "None", "'; DROP TABLE windows; --", "../../etc/passwd", "x" * 9_000,
    "x" * 200_000, "a\nb", '"', ",", ";", "{", "[", "]", "-", "--", "1-", "90-", "-150", "±",
    "90 - 150 - 200 A", "true", "0", "-0.0", "1e-400", "%s%n", "{{7*7}}", "${x}", "<script>",
    "#set page()", "&amp;", "in*9**9**9", "1 in**9**9", "ar " * 3000, "1 ar " * 2000, "E" * 3000,
)  # fmt: skip
"""What may stand in a cell or a value."""


@dataclass(frozen=True)
class Made:
    """A file: its kind (who reads it), its name, and what was done to it."""

    kind: str
    name: str
    data: bytes = field(repr=False)
    spoilt: tuple[str, ...] = ()


@cache
def valid(kind: str) -> tuple[tuple[str, bytes], ...]:
    """Valid files of a kind, with the names that they have."""
    made: list[tuple[str, bytes]] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if kind == "procedure":
            import yaml

            for path in sorted(SAMPLES.glob("*.json")):
                value = json.loads(path.read_bytes())
                made.append((path.name, path.read_bytes()))
                made.append((f"{path.stem}.yaml", yaml.safe_dump(value).encode()))
                for ending in ("csv", "xlsx"):
                    form = write_template(
                        folder / f"{path.stem}.{ending}", procedure=read_procedure(path)
                    )
                    made.append((form.name, form.read_bytes()))
        elif kind == "log":
            text = "process,electrode,diameter,thickness,gas,joint,time,amps,volts,travel (mm/s)\n"
            lines = [
                f"SMAW,E7018,1/8,{n % 7}/8 in,,J{n % 5},{n},{100 + n},{20 + n / 9:.1f},{n % 9}\n"
                for n in range(40)
            ]
            content = (text + "".join(lines)).encode()
            made.append(("log.csv", content))
            (folder / "log.csv").write_bytes(content)
            for codec in ("snappy", "zstd"):
                with duckdb.connect() as connection:
                    connection.sql(f"FROM read_csv('{folder / 'log.csv'}')").write_parquet(
                        str(folder / "log.parquet"), compression=codec
                    )
                made.append(("log.parquet", (folder / "log.parquet").read_bytes()))
        elif kind == "dataset":
            small = {
                path.name: b"".join(path.read_bytes().splitlines(keepends=True)[:30])
                for path in sorted(datasets_folder().glob("vocabulary/*.csv"))
            }
            made.append(("tables.zip", _zip(small)))
            made.append(("tables.zip", _zip({**small, "spreadsheet.txt": b"guarded"})))
            export(folder / "all.zip")
            made.append(("all.zip", (folder / "all.zip").read_bytes()))
        else:
            report = audit_file(SAMPLES / "wps-a.json")
            made.append(("report.json", render(report, "json")))
    return tuple(made)


def _zip(parts: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in parts.items():
            # Not with today's time: the same file on every run.
            out.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


Spoil = Callable[[bytes, random.Random], bytes]


def cut(data: bytes, drawn: random.Random) -> bytes:
    return data[: drawn.randrange(len(data) + 1)]


def cut_front(data: bytes, drawn: random.Random) -> bytes:
    return data[drawn.randrange(min(len(data), 300) + 1) :]


def flip_bits(data: bytes, drawn: random.Random) -> bytes:
    spoilt = bytearray(data)
    for _ in range(drawn.choice((1, 1, 3, 30)) if spoilt else 0):
        spoilt[drawn.randrange(len(spoilt))] ^= 1 << drawn.randrange(8)
    return bytes(spoilt)


def random_bytes(data: bytes, drawn: random.Random) -> bytes:
    at = drawn.randrange(len(data) + 1)
    return data[:at] + drawn.randbytes(drawn.choice((1, 8, 400))) + data[at:]


def repeat_part(data: bytes, drawn: random.Random) -> bytes:
    at = drawn.randrange(len(data) + 1)
    part = data[at : at + drawn.choice((1, 20, 2000))]
    return data[:at] + part * drawn.choice((2, 50, 3000)) + data[at:]


def other_encoding(data: bytes, drawn: random.Random) -> bytes:
    codec = drawn.choice(("utf-16", "utf-16-le", "utf-32", "cp1252", "utf-7", "utf-8-sig", "cp037"))
    return data.decode("utf-8", "replace").encode(codec, "replace")


def line_ends(data: bytes, drawn: random.Random) -> bytes:
    return data.replace(b"\n", drawn.choice((b"\r", b"\r\n", b"\n\n", b"\x0b", b"\xe2\x80\xa8")))


def nest(data: bytes, drawn: random.Random) -> bytes:
    deep = drawn.choice((40, 60, 3000, 100_000))
    opening, closing = drawn.choice(((b"[", b"]"), (b'{"a":', b"}"), (b"- ", b""), (b"a: {", b"}")))
    return opening * deep + data + closing * deep


def hostile_cell(data: bytes, drawn: random.Random) -> bytes:
    """Put a cell in the place of another, written as the format writes texts."""
    cell = drawn.choice(CELLS)
    if drawn.random() < 0.5:
        cell = json.dumps(cell)
    marks = [at for at, byte in enumerate(data[:50_000]) if byte in b',:;"\n\t']
    if len(marks) < 2:
        return data + cell.encode()
    place = drawn.randrange(len(marks) - 1)
    first, last = marks[place] + 1, marks[place + 1]
    return data[:first] + cell.encode() + data[last:]


def yaml_tricks(data: bytes, drawn: random.Random) -> bytes:
    trick = drawn.choice(
        (
            b"x: &x [y, *x]\n",
            b"a: &a [l,l,l]\nb: &b [*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b]\nd: [*c,*c,*c,*c]\n",
            b"z: !!python/object/apply:os.system [id]\n",
            b"z: !!binary aGVsbG8=\n",
            b"z: !!set {a, b}\n",
            b"<<: {wps: 9}\n",
            b"? {a: b}\n: c\n",
            b"%YAML 9.9\n---\n",
            b"---\na: 1\n---\n",
            b"z: |\n" + b"  x\n" * 3000,
            b"z: 2026-11-25\n",
            b"z: 0x1F\nz: 0o17\nz: .nan\nz: .inf\nz: 1_000\n",
            b"\t- a\n",
        )
    )
    return trick + data if drawn.random() < 0.7 else data + b"\n" + trick


def json_tricks(data: bytes, drawn: random.Random) -> bytes:
    trick = drawn.choice(
        (
            b'"a": NaN,', b'"a": Infinity,', b'"a": -1e999,', b'"a": ' + b"9" * 6000 + b",",
            b'"\\ud800": 1,', b'"a": "\\u0000\\u001b[31m",', b'"format": "weldref-procedure/9",',
            b'"wps": {"wps": {"wps": []}},', b'"passes": [[[[]]]],', b'"passes": 7,',
            b'"tables": [],', b'"findings": [{}],', b'"findings": 7,', b'"a": 1, "a": 2,',
            b"/* c */", b"'a': 1,", b'"current_A": [null, true, {}],', b'"rows": {"a": [[1]]},',
        )
    )  # fmt: skip
    at = data.find(b"{", drawn.randrange(len(data) + 1)) + 1
    return data[:at] + trick + data[at:]


def zip_tricks(data: bytes, drawn: random.Random) -> bytes:
    """Pack a file anew with a part more, less, elsewhere, larger or spoilt."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = {part.filename: packed.read(part) for part in packed.infolist()}
    except (zipfile.BadZipFile, NotImplementedError, OSError, RuntimeError, EOFError):
        return _zip({"x.csv": data})
    except Exception:  # zlib.error: the parts were spoilt before
        return data
    if not parts:
        return data
    name = drawn.choice(sorted(parts))
    kind = drawn.choice(("drop", "move", "spoil", "bomb", "entity", "cell", "slip", "nest", "many"))
    if kind == "drop":
        del parts[name]
    elif kind == "move":
        parts[f"../{name}"] = parts.pop(name)
    elif kind == "spoil":
        parts[name] = drawn.choice(BYTES)(parts[name], drawn)
    elif kind == "bomb":
        parts["xl/media/a.xml"] = b"0" * 9_000_000
    elif kind == "entity":
        parts[name] = b'<!DOCTYPE a [<!ENTITY b "&c;&c;"><!ENTITY c "dd">]>' + parts[name]
    elif kind == "cell":
        parts[name] = hostile_cell(parts[name], drawn)
    elif kind == "slip":
        parts["/etc/x.csv"] = b"a\n1\n"
    elif kind == "nest":
        parts["inner.zip"] = data
    else:
        parts |= {f"xl/p{n}.xml": b"<a/>" for n in range(drawn.choice((400, 600, 1200)))}
    return _zip(parts)


def long_line(data: bytes, drawn: random.Random) -> bytes:
    wide = drawn.choice((b",", b";", b"x", b"1,", b'"', b"\x00", b" ", b"\xf0\x9f\x92\xa9"))
    return data + wide * drawn.choice((300, 5000, 300_000)) + b"\n"


def many_lines(data: bytes, drawn: random.Random) -> bytes:
    lines = data.splitlines(keepends=True) or [b"\n"]
    return data + drawn.choice(lines)[:2000] * drawn.choice((100, 3000))


BYTES: tuple[Spoil, ...] = (cut, cut_front, flip_bits, random_bytes, repeat_part)
TEXT: tuple[Spoil, ...] = (
    other_encoding, line_ends, nest, hostile_cell, hostile_cell, long_line, many_lines,
)  # fmt: skip
SPOILERS: dict[str, tuple[Spoil, ...]] = {
    ".json": (*BYTES, *TEXT, json_tricks, json_tricks),
    ".yaml": (*BYTES, *TEXT, yaml_tricks, yaml_tricks),
    ".csv": (*BYTES, *TEXT),
    ".xlsx": (*BYTES, zip_tricks, zip_tricks, zip_tricks),
    ".zip": (*BYTES, zip_tricks, zip_tricks, zip_tricks),
    ".parquet": BYTES,
}
KINDS = ("procedure",) * 5 + ("log",) * 2 + ("dataset",) * 2 + ("report",)


def make(number: int, kind: str | None = None) -> Made:
    """Make file `number`; a number below 0 is a valid file of a kind."""
    drawn = random.Random(number)  # noqa: S311
    chosen = kind or KINDS[number % len(KINDS)]
    name, data = drawn.choice(valid(chosen))
    if number < 0:
        return Made(chosen, *valid(chosen)[0])
    done = []
    for _ in range(drawn.choice((1, 1, 1, 2, 3))):
        spoil = drawn.choice(SPOILERS[Path(name).suffix])
        data = spoil(data, drawn)
        done.append(spoil.__name__)
    if drawn.random() < 0.05:
        name = drawn.choice(("x", "x.xlsx", "x.json", "x.yaml", "x.csv", "x.pdf", "x.zip"))
    return Made(chosen, name, data, tuple(done))
