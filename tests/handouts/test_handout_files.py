"""The files: tagged PDF, self-contained HTML, harmless CSV, nothing half-written."""

from __future__ import annotations

import csv
import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2 as pdfium
import pytest

from tests.handouts.pages import (
    BRACKET,
    CLASS_DATE,
    POST,
    RAMP,
    page_texts,
    settings_of,
    squeezed,
    tags,
)
from weldref.cli import main
from weldref.data.folder import DATASET_VERSION
from weldref.data.store import Store
from weldref.errors import InputError
from weldref.handouts import make_handout
from weldref.handouts.blocks import Document, Heading, Masthead, Paragraph, Table
from weldref.handouts.handout import handout
from weldref.handouts.output import spreadsheet
from weldref.handouts.selection import select
from weldref.handouts.settings import conditions_said
from weldref.handouts.texts import Notes
from weldref.handouts.words import words

GOLDEN = Path(__file__).parent / "golden"
HOSTILE = '#set page(width: 1cm) *x* $a$ \\ `r` <b onload=x>&amp;</b> @preview "q" =1+1 [1] //'


@pytest.fixture(scope="module")
def booklet(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    made = make_handout(
        tmp_path_factory.mktemp("booklet") / "class.pdf",
        process=["GMAW", "GTAW"],
        material=["304", "aluminum"],
        thickness=["1/8", "1/4"],
        kind="booklet",
        title="Footbridge class",
        address="http://192.0.2.7:8501",
        date=CLASS_DATE,
    )
    return made[0].read_bytes()


def test_pdf_has_language_title_and_tags(booklet: bytes) -> None:
    with pikepdf.open(io.BytesIO(booklet)) as document:
        root = document.Root
        assert str(root.Lang) == "en"
        assert bool(root.MarkInfo.Marked)
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert str(document.docinfo["/Title"]) == "Footbridge class"
        for page in document.pages:
            assert str(page.Tabs) == "/S"
    seen = [name for name, _ in tags(booklet)]
    assert {"H1", "H2", "Table", "THead", "TH", "TD", "L", "LI", "Figure", "Link"} <= set(seen)
    assert seen.count("Table") == 8
    assert all("/Alt" in element for name, element in tags(booklet) if name == "Figure")


def test_pdf_holds_its_own_fonts_alone(booklet: bytes) -> None:
    with pikepdf.open(io.BytesIO(booklet)) as document:
        names = set()
        for page in document.pages:
            for font in page.Resources.Font.values():
                names.add(str(font.BaseFont))
                assert "/FontDescriptor" in font.DescendantFonts[0]
    assert names
    assert all(re.match(r"/[A-Z]{6}\+(Libertinus|NewCM)", name) for name in names)


def test_pdf_text_is_in_reading_order(booklet: bytes) -> None:
    first, second, *_ = page_texts(booklet)
    order = ["Footbridge class", "Situations", "Cautions for every situation"]
    places = [first.index(words) for words in order]
    assert places == sorted(places)
    order = ["GMAW, 304", "Published settings", "holds for", "Current", "Voltage"]
    places = [second.index(words) for words in order]
    assert places == sorted(places)


def test_every_page_shows_dataset_date_and_page(booklet: bytes, store: Store) -> None:
    pages = page_texts(booklet)
    for number, text in enumerate(pages, 1):
        assert f"{DATASET_VERSION}, {store.digest[:12]}" in text
        assert f"printed {CLASS_DATE}" in text
        assert f"page {number} of {len(pages)}" in text


def test_pages_are_grey_and_nothing_runs_off(booklet: bytes) -> None:
    document = pdfium.PdfDocument(booklet)
    for page in document:
        picture = page.render(scale=1.0).to_numpy()
        spread = picture.max(axis=2).astype(int) - picture.min(axis=2).astype(int)
        assert spread.max() <= 8, "colour on the page"
        assert picture[:, :24].min() > 240, "ink in the left margin"
        assert picture[:, -24:].min() > 240, "ink in the right margin"
        page.close()
    document.close()


def test_table_headings_are_repeated_and_rows_whole(store: Store, tmp_path: Path) -> None:
    made = make_handout(
        tmp_path / "long.pdf", process="SMAW", material="carbon steel", quantity="all", units="us",
        kind="booklet",
    )  # fmt: skip
    pages = page_texts(made[0].read_bytes())
    asked = {"process": "SMAW", "material": "carbon steel"}
    groups = settings_of(store, asked, quantity="all", units="us").values()
    rows = [s for g in groups for s in (*g.printed, *g.conditional, *g.general)]
    assert len(rows) > 80
    notes = Notes(store, words("en"))
    whole = [squeezed(page) for page in pages]
    for setting in rows:
        held = squeezed("; ".join(conditions_said(setting, notes)))
        assert any(held in page for page in whole), held
    last = max(i for i, page in enumerate(pages) if "The choices around it" in page)
    for page in pages[:last]:
        assert "holds for" in page


def test_structure_is_as_agreed(store: Store) -> None:
    """The order of what stands on a card; run with the file removed to write it anew."""
    for name, conditions, kind in (
        ("post", POST, "bench-card"), ("bracket", BRACKET, "booklet"), ("ramp", RAMP, "booklet"),
    ):  # fmt: skip
        document = handout(store, select(store, conditions, date=CLASS_DATE, kind=kind))
        shape = [
            [b.kind, getattr(b, "title", getattr(b, "text", ""))]
            if isinstance(b, (Heading, Masthead))
            else [b.kind, [c.title for c in b.columns]]
            if isinstance(b, Table)
            else [b.kind]
            for b in document.blocks
            if not (isinstance(b, Paragraph) and b.look == "small")
        ]
        file = GOLDEN / f"{name}.json"
        if not file.exists():
            file.parent.mkdir(exist_ok=True)
            file.write_text(json.dumps(shape, indent=1, ensure_ascii=False) + "\n")
        assert shape == json.loads(file.read_text(encoding="utf-8"))


def test_what_is_not_published_is_said(tmp_path: Path) -> None:
    (made,) = make_handout(tmp_path / "t.pdf", process="GTAW", material="titanium", kind="booklet")
    text = " ".join(page_texts(made.read_bytes()))
    assert "Voltage no published range" in text
    assert re.search(r"Gas flow .{0,20}no published range from memory, not seen in print:", text)
    (made,) = make_handout(
        tmp_path / "m.pdf", process="GTAW", material="magnesium", thickness="1/8", kind="booklet"
    )
    text = " ".join(page_texts(made.read_bytes()))
    assert re.search(r"Current .{0,20}no published range, single settings in print", text)
    (made,) = make_handout(
        tmp_path / "e.csv", process="EGW", material="titanium", quantity="current"
    )
    (_, line) = list(csv.reader(io.StringIO(made.read_text(encoding="utf-8-sig"))))
    assert line[:2] == ["EGW; titanium", "current"]
    assert "no published range" in line


class Elements(HTMLParser):
    """Collects the elements of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def test_html_is_one_file_without_script(tmp_path: Path) -> None:
    (made,) = make_handout(
        tmp_path / "c.html", **POST, title=HOSTILE, address="http://192.0.2.7:8501"
    )
    text = made.read_text(encoding="utf-8")
    parser = Elements()
    parser.feed(text)
    names = {tag for tag, _ in parser.found}
    assert not names & {"script", "link", "img", "iframe", "object", "b onload"}
    assert all(not key.startswith("on") for _, attributes in parser.found for key in attributes)
    assert all("src" not in attributes for _, attributes in parser.found)
    assert "url(" not in text
    assert "&lt;b onload=x&gt;" in text
    assert [a["lang"] for tag, a in parser.found if tag == "html"] == ["en"]


def test_a_title_is_only_text(tmp_path: Path) -> None:
    (made,) = make_handout(tmp_path / "h.pdf", **POST, quantity="current", title=HOSTILE)
    text = page_texts(made.read_bytes())[0]
    assert squeezed(HOSTILE) in squeezed(text)
    with pikepdf.open(made) as document:
        assert float(document.pages[0].MediaBox[2]) == 612.0


def test_a_long_word_stays_on_the_page(tmp_path: Path) -> None:
    (made,) = make_handout(tmp_path / "w.pdf", **POST, quantity="current", title="W" * 120)
    document = pdfium.PdfDocument(made.read_bytes())
    picture = document[0].render(scale=1.0).to_numpy()
    assert picture[:, -24:].min() > 240
    document.close()


def test_csv_computes_nothing() -> None:
    cells = ("=1+1", "+cmd", "-2+3", "@SUM(A1)", "\t=1", "|x", "-40", "1.5", "E7018", "＝1")
    document = Document("t", "en", "", (), records=(cells,))
    (row,) = csv.reader(io.StringIO(spreadsheet(document).content.decode("utf-8-sig"), newline=""))
    assert row[:6] == ["'=1+1", "'+cmd", "'-2+3", "'@SUM(A1)", "'\t=1", "'|x"]
    assert row[6:] == ["-40", "1.5", "E7018", "'＝1"]


def test_csv_has_every_row_of_the_pages(store: Store, tmp_path: Path) -> None:
    (made,) = make_handout(tmp_path / "p.csv", **POST, quantity="preheat", grade="read")
    lines = list(csv.DictReader(io.StringIO(made.read_text(encoding="utf-8-sig"))))
    group = settings_of(store, POST, quantity="preheat", grade="read")["preheat"]
    shown = [s.row.window_id for s in (*group.printed, *group.conditional, *group.general)]
    assert [line["row id"] for line in lines] == shown
    assert not group.printed
    assert {line["statement"] for line in lines} == {"only under a condition that was not stated"}
    assert lines[0]["digest"] == store.digest


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        ([], "nothing is chosen"),
        (["--process", "  "], "it is empty"),
        (["--process", "wizardry"], "process"),
        (["--material", "304"], "process: a card needs one"),
        (["--process", "SMAW", "--quantity", "charm"], "quantity"),
        (["--process", "SMAW", "--units", "furlong"], "--units"),
        (["--process", "SMAW", "--kind", "poster"], "--kind"),
        (["--process", "SMAW", "--paper", "a0"], "--paper"),
        (["--process", "SMAW", "--language", "de"], "--language"),
        (["--process", "SMAW", "--title", "x" * 10_000], "--title"),
        (["--process", "SMAW", "--address", "javascript:alert(1)"], "--address"),
        (["--process", "SMAW", "--address", "http://a b"], "--address"),
        (["--process", "SMAW", "--date", "tomorrow"], "--date"),
        (["--process", "SMAW", *[a for i in range(1, 100) for a in ("--thickness", f"{i} mm")]],
         "99 situations"),
    ],
)  # fmt: skip
def test_bad_input_is_one_sentence(
    arguments: list[str], word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["handout", *arguments, "-o", str(tmp_path / "x.pdf")]) == 2
    err = capsys.readouterr().err
    assert err.startswith("weldref: ")
    assert err.count("\n") == 1
    assert word in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["x.doc", "x", "none/x.pdf", "folder.pdf"])
def test_bad_output_is_refused_before_any_work(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "folder.pdf").mkdir()
    assert main(["handout", "--process", "SMAW", "-o", str(tmp_path / name)]) == 2
    assert "--output" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["folder.pdf"]


def test_a_failed_write_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(InputError, match="No space left"):
        make_handout(tmp_path / "x.csv", **POST)
    assert list(tmp_path.iterdir()) == []


def test_an_old_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "x.csv"
    target.write_text("old")
    make_handout(target, **POST, quantity="current")
    assert target.read_text(encoding="utf-8-sig").startswith("situation,")
    assert [path.name for path in tmp_path.iterdir()] == ["x.csv"]


@pytest.mark.parametrize(
    ("paper", "landscape", "size"), [("letter", True, (792, 612)), ("a4", False, (595, 842))]
)
def test_paper(paper: str, landscape: bool, size: tuple[int, int], tmp_path: Path) -> None:
    (made,) = make_handout(
        tmp_path / "x.pdf", **POST, quantity="current", paper=paper, landscape=landscape
    )
    with pikepdf.open(made) as document:
        box = document.pages[0].MediaBox
        assert (round(float(box[2])), round(float(box[3]))) == size


def test_the_same_day_gives_the_same_bytes(tmp_path: Path) -> None:
    one, two = (
        make_handout(tmp_path / name, **POST, quantity="current", date=CLASS_DATE)[0].read_bytes()
        for name in ("a.pdf", "b.pdf")
    )
    assert one == two


def test_the_code_opens_the_situation(store: Store) -> None:
    from urllib.parse import parse_qs, urlsplit

    document = handout(store, select(store, POST, address="http://192.0.2.7:8501/"))
    (head,) = [block for block in document.blocks if isinstance(block, Masthead)]
    parts = urlsplit(head.address)
    assert (parts.netloc, parts.path) == ("192.0.2.7:8501", "/")
    assert parse_qs(parts.query) == {
        "process": ["SMAW"], "material": ["A36"], "electrode": ["E7018"], "diameter": ["1/8 in"],
    }  # fmt: skip
    assert head.code.startswith("<svg")


def test_templates_ask_for_nothing_from_outside() -> None:
    folder = Path(handout.__code__.co_filename).parent / "templates"
    for path in folder.iterdir():
        text = path.read_text(encoding="utf-8")
        assert "@preview" not in text
        assert "eval(" not in text
        assert "http:" not in text
        assert "https:" not in text


def test_a_fraction_is_inches_on_a_metric_sheet(store: Store) -> None:
    """Nobody writes 1/4 mm: a bare fraction stays a size in inches."""
    (one,) = select(store, {"process": "PAC", "thickness": "1/4"}, units="metric").situations
    (other,) = select(store, {"process": "PAC", "thickness": "6"}, units="metric").situations
    assert (str(one.thickness), str(other.thickness)) == ("0.25 in", "6 mm")


def test_what_draws_pages_may_be_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from weldref.handouts import output

    monkeypatch.setattr(output, "find_spec", lambda name: None if name == "typst" else name)
    with pytest.raises(InputError, match=r"typst, not installed.*weldref\[print\]"):
        make_handout(tmp_path / "x.pdf", **POST)


def test_importing_the_handouts_draws_nothing_in() -> None:
    import subprocess
    import sys

    code = "import sys, weldref.handouts; print({'typst', 'babel', 'duckdb'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
