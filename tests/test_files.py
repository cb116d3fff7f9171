"""A file comes to its place whole or not at all, and never in the place of what is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from weldref.errors import InputError
from weldref.files import check_place, write_whole


def same(path: Path, _other: Path) -> Path:
    return path


def written_otherwise(path: Path, _other: Path) -> Path:
    return path.parent / "." / path.parent.name / ".." / path.name


def linked(path: Path, other: Path) -> Path:
    other.symlink_to(path)
    return other


def hard_linked(path: Path, other: Path) -> Path:
    other.hardlink_to(path)
    return other


@pytest.mark.parametrize("other", [same, written_otherwise, linked, hard_linked])
def test_a_file_that_is_read_is_not_replaced(tmp_path: Path, other: object) -> None:
    path = tmp_path / "wps.csv"
    path.write_text("WPS No.,7\n")
    (tmp_path / tmp_path.name).mkdir()
    assert callable(other)
    read = other(path, tmp_path / "other.csv")
    said = rf"^output: '{path}' is the file that is read; give another name$"
    with pytest.raises(InputError, match=said):
        check_place(path, inputs=[tmp_path, read])
    with pytest.raises(InputError, match=said):
        write_whole(path, b"form", inputs=[read])
    assert path.read_text() == "WPS No.,7\n"


def test_what_is_not_read_may_be_replaced(tmp_path: Path) -> None:
    path, other = tmp_path / "form.csv", tmp_path / "wps.csv"
    path.write_text("old")
    other.write_text("old")
    write_whole(path, b"new", inputs=[other, tmp_path / "none.csv"])
    write_whole(tmp_path / "first.csv", b"new", inputs=[other])
    assert path.read_text() == "new"
