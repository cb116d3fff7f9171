"""The school's header: read from the config file, safe, readable, on every handout."""

from __future__ import annotations

import re
import struct
from pathlib import Path

import pytest

from tests.handouts.pages import POST, page_texts
from weldref.cli import main
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts import make_handout
from weldref.handouts.handout import handout
from weldref.handouts.school import LARGEST_LOGO, ink_on, luminance, save_school, school, school_of
from weldref.handouts.selection import select

LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 8 L8 1"/></svg>'


@pytest.fixture
def named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder whose config file names an invented school."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "logo.svg").write_text(LOGO, encoding="utf-8")
    (tmp_path / "weldref.toml").write_text(
        '[school]\nname = "Footbridge school (invented)"\ncourse = "Welding 1"\n'
        'instructor = "Ask first"\nlogo = "logo.svg"\ncolour = "#1f4e79"\n',
        encoding="utf-8",
    )
    return tmp_path


@pytest.mark.parametrize("kind", ["bench-card", "wall-chart", "booklet"])
def test_every_handout_bears_it(named: Path, kind: str) -> None:
    asked = POST if kind != "wall-chart" else {"process": "PAC", "material": "carbon steel"}
    (made,) = make_handout(named / "x.pdf", **asked, kind=kind)
    first, *_ = page_texts(made.read_bytes())
    for text in ("Footbridge school (invented)", "Welding 1", "Ask first"):
        assert text in first


def test_nothing_is_printed_where_no_school_is_named(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert school() is None
    assert handout(store, select(store, POST)).school is None


@pytest.mark.parametrize(
    "colour", ["#000000", "#ffffff", "#808080", "#ffd200", "#1f4e79", "#c00000"]
)
def test_words_on_any_colour_can_be_read(colour: str) -> None:
    """WCAG 2.1, 1.4.3: at least 4.5 to 1 for text."""
    pair = sorted((luminance(colour), luminance(ink_on(colour))))
    assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 4.5


@pytest.mark.parametrize(
    ("logo", "word"),
    [
        (LOGO.replace("<path", "<script>alert(1)</script><path"), "shapes alone"),
        (LOGO.replace("<path", '<path onload="alert(1)"'), "shapes alone"),
        (LOGO.replace("<path", '<image href="http://192.0.2.7/x.png"/><path'), "shapes alone"),
        (LOGO.replace("<path", '<path fill="url(http://192.0.2.7/x)"'), "shapes alone"),
        ("<!DOCTYPE svg [<!ENTITY a 'b'>]>" + LOGO, "shapes alone"),
        (f'<?xml version="1.0" encoding="utf-16"?>{LOGO}', "shapes alone"),
        (f'<?xml-stylesheet href="x.css"?>{LOGO}', "shapes alone"),
        (LOGO.replace("<path", "<filter><feTurbulence/></filter><path"), "shapes alone"),
        (LOGO.replace("<path", "<pattern id='p'/><path"), "shapes alone"),
        (LOGO.replace("<path", "<mask id='p'/><path"), "shapes alone"),
        (LOGO.replace("<path", "<clipPath><g clip-path='url(#c)'/></clipPath><path"), "shapes"),
        (
            LOGO.replace("<path", "<h:script xmlns:h='http://www.w3.org/1999/xhtml'/><path"),
            "shapes",
        ),
        (LOGO.replace("<path", "<g>" * 6000 + "</g>" * 6000 + "<path"), "shapes alone"),
        (LOGO.replace("<path", r"<path style='fill:u\72l(//192.0.2.7/x)'"), "shapes alone"),
        (LOGO.replace("viewBox", 'width="1e300" height="9" viewBox'), "cannot be drawn"),
        ("<svg", "shapes alone"),
        ("not a picture", "shapes alone"),
        ("<svg>" + " " * LARGEST_LOGO + "</svg>", "larger than 256 KB"),
    ],
)
def test_a_logo_that_is_more_than_shapes_is_refused(named: Path, logo: str, word: str) -> None:
    (named / "logo.svg").write_text(logo, encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(word)):
        school()


def test_a_png_of_too_many_pixels_is_refused(named: Path) -> None:
    head = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + struct.pack(">II", 9000, 10) + b"\x08\x06"
    (named / "logo.svg").write_bytes(head)
    with pytest.raises(InputError, match="9000 by 10 pixels"):
        school()
    (named / "logo.svg").write_bytes(head.replace(struct.pack(">I", 9000), struct.pack(">I", 90)))
    with pytest.raises(InputError, match="cannot be drawn"):
        school()


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ('[school]\nname = "x"\ncolour = "blue"\n', "colour 'blue'"),
        ('[school]\nname = "x"\nlogo = "none.png"\n', "none.png"),
        ('[school]\ncourse = "x"\n', "names no name"),
        ('[school]\nname = "' + "x" * 61 + '"\n', "61 characters"),
    ],
)
def test_bad_entries_are_named(named: Path, text: str, word: str) -> None:
    (named / "weldref.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(word)):
        school()


def test_a_saved_header_keeps_the_rest_of_the_file(named: Path) -> None:
    text = (
        '# ours\n[tables]\nfolder = "own"\n\n[school]\nname = "old"\n\n[readings]\nfile = "r.csv"\n'
    )
    (named / "weldref.toml").write_text(text, encoding="utf-8")
    shown = school_of({"name": 'A "school" [x]', "colour": "#1f4e79"}, LOGO.encode(), "svg")
    assert save_school(shown) == Path("weldref.toml")
    assert school() == shown
    kept = (named / "weldref.toml").read_text(encoding="utf-8")
    for line in ("# ours", 'folder = "own"', 'file = "r.csv"'):
        assert line in kept
    assert '"old"' not in kept
    assert save_school(shown).read_text(encoding="utf-8") == kept


def test_the_header_of_one_handout_is_given_on_the_command(named: Path) -> None:
    out = named / "x.html"
    asked = ["handout", "--process", "SMAW", "--electrode", "E7018", "-o", str(out)]
    assert main([*asked, "--course", "Welding 2", "--colour", "#ffd200"]) == 0
    page = out.read_text(encoding="utf-8")
    assert "Footbridge school (invented)" in page
    assert "data:image/svg+xml;base64," in page
    assert "Welding 2" in page
    assert "background:#ffd200;color:#000000" in page
    (named / "weldref.toml").unlink()
    assert main([*asked, "--course", "Welding 2"]) == 2
    assert main([*asked[:-1], str(named / "y.html"), "--school", "A", "--logo", "none.svg"]) == 2
    assert not (named / "y.html").exists()
    assert main([*asked, "--school", "Another", "--logo", "logo.svg"]) == 0
    assert "Another" in out.read_text(encoding="utf-8")
