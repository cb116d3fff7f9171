"""A stranger's file: read, or refused with one sentence and exit code 2; never run, never huge."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.cli import main
from weldref.errors import InputError
from weldref.exchange import read_dataset as module
from weldref.exchange.dataset import MOST_BYTES, cell, text
from weldref.exchange.read_dataset import read_dataset
from weldref.exchange.writers import guard, unguard


@given(st.text())
def test_a_guarded_cell_is_found_again(value: str) -> None:
    assert unguard(guard(value)) == value


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_survives_its_text(value: float) -> None:
    assert cell(text(value), "number") == value


def packed(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in files.items():
            made.writestr(name, content)
    return out.getvalue()


def bomb() -> bytes:
    return packed({"windows.csv": b"0" * (MOST_BYTES + 1)})


def lying_bomb() -> bytes:
    """A bomb whose list of parts says that it is small."""
    content = bytearray(bomb())
    size = (MOST_BYTES + 1).to_bytes(4, "little")
    assert content.count(size) == 2
    return bytes(content.replace(size, (10).to_bytes(4, "little")))


def encrypted() -> bytes:
    content = bytearray(packed({"units.csv": b"unit\nA\n"}))
    place = content.index(b"PK\x01\x02")
    content[6] |= 1
    content[place + 8] |= 1
    return bytes(content)


def many_files(path: Path) -> None:
    path.mkdir()
    for number in range(module.MOST_FILES + 1):
        (path / f"t{number}.csv").touch()


def _bytes(content: bytes) -> Callable[[Path], None]:
    return lambda path: path.write_bytes(content) and None


def _csv(content: bytes) -> Callable[[Path], None]:
    return _bytes(packed({"units.csv": content}))


def _described(content: bytes) -> Callable[[Path], None]:
    return _bytes(packed({"units.csv": b"unit\nA\n", "datapackage.json": content}))


HOSTILE: dict[str, tuple[Callable[[Path], None], str]] = {
    "nothing there": (lambda _: None, "does not exist"),
    "an empty file": (_bytes(b""), "not a dataset"),
    "a picture": (_bytes(b"\x89PNG\r\n\x1a\n" + b"\0" * 50), "not a dataset"),
    "an empty folder": (lambda path: path.mkdir(), "no table"),
    "too many files": (many_files, "more than"),
    "a zip bomb": (lambda path: path.write_bytes(bomb()) and None, "unpacks to more than"),
    "a bomb that lies": (lambda path: path.write_bytes(lying_bomb()) and None, "damaged"),
    "an encrypted zip": (_bytes(encrypted()), "encrypted"),
    "half a zip": (_bytes(packed({"units.csv": b"unit\nA\n"})[:-30]), "damaged"),
    "a zip of nothing": (_bytes(packed({"a.txt": b"x"})), "no CSV table"),
    "a CSV without a header": (_csv(b""), "is empty"),
    "a CSV of another encoding": (_csv("unit\n°\n".encode("latin-1")), "not CSV in UTF-8"),
    "a CSV with a ragged row": (_csv(b"unit,name\nA\n"), "row 2 has 1 cells"),
    "a CSV with an open quote": (_csv(b'unit\n"A'), "not CSV"),
    "a column twice": (_csv(b"unit,unit\nA,B\n"), "one of them twice"),
    "a column that is SQL": (_csv(b"unit,x);DROP TABLE y\nA,B\n"), "not a name"),
    "too many columns": (_csv(b",".join(b"c%d" % n for n in range(501))), "more than 500 columns"),
    "too many rows": (_csv(b"unit\n" + b"".join(b"u%d\n" % n for n in range(200_001))), "200,000"),
    "broken JSON": (_described(b'{"version": '), "not JSON"),
    "deep JSON": (_described(b'{"version":' * 50_000), "not JSON"),
    "a number of a thousand digits": (
        _described(b'{"version": ' + b"9" * 5_000 + b"}"),
        "not JSON",
    ),
    "a database": (_bytes(b"SQLite format 3\0"), "not a dataset"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_input_is_one_sentence(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make, words = HOSTILE[name]
    path, sound = tmp_path / "given", tmp_path / "sound"
    make(path)
    sound.mkdir()
    (sound / "units.csv").write_text("unit,dimension\nA,current\n", encoding="utf-8")
    tracemalloc.start()
    try:
        assert main(["diff", str(sound), str(path)]) == 2
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    said = capsys.readouterr().err
    assert words in said
    assert said.count("\n") == 1
    assert most < 12 * MOST_BYTES


def test_a_large_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.zip"
    with path.open("wb") as file:
        file.write(b"PK")
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(InputError, match="larger than the 40 MB"):
        read_dataset(path)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    import tempfile

    for start in (b"", b"PK\x03\x04"):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "given")
            path.write_bytes(start + content)
            with pytest.raises(InputError):
                read_dataset(path)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=80))
def test_any_csv_is_read_or_refused(content: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "units.csv").write_bytes(content.encode())
        try:
            found = read_dataset(folder)
        except InputError as error:
            assert "\n" not in str(error).replace(folder, "")
        else:
            assert list(found.tables) == ["units"]
