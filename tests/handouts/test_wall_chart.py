"""Wall charts: every cell is a row that `weldref window` gives, and all is on one page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import weldref
from tests.effort import times
from tests.handouts.pages import CLASS_DATE, page_texts, squeezed
from weldref.cli import main
from weldref.core.situation import Situation
from weldref.data.own import OwnTables
from weldref.data.store import Store, open_tables
from weldref.handouts.blocks import Drawn, Matrix
from weldref.handouts.chart_grid import Grid, grid_of
from weldref.handouts.handout import handout
from weldref.handouts.output import pdf, said
from weldref.handouts.selection import Selection, select

CHARTS: dict[str, dict[str, Any]] = {
    "stick": {"process": "SMAW", "material": "carbon steel"},
    "stick-stainless": {"process": "SMAW", "material": "304"},
    "tig-aluminium": {"process": "GTAW", "material": "aluminum"},
    "tig-steel": {"process": "GTAW", "material": "carbon steel"},
    "mig-steel": {"process": "GMAW", "material": "carbon steel"},
    "mig-stainless": {"process": "GMAW", "material": "304"},
    "flux-cored": {"process": "FCAW", "material": "carbon steel"},
    "plasma": {"process": "PAC", "material": "carbon steel"},
    "oxyfuel": {"process": "OFC", "material": "carbon steel"},
}
FIELDS = {"filler_class": "electrode", "electrode_size": "diameter", "scope": "code"}


def chosen(store: Store, name: str, **how: Any) -> tuple[Selection, Grid]:
    selection = select(store, CHARTS[name], kind="wall-chart", date=CLASS_DATE, **how)
    return selection, grid_of(store, selection)


def asked(situation: Situation) -> dict[str, Any]:
    return {FIELDS.get(name, name): value for name, value in situation.given().items()}


@pytest.mark.parametrize("name", CHARTS)
def test_each_cell_is_what_window_prints(store: Store, name: str) -> None:
    """`weldref.windows` asked for the cell's situation has each row, as printed.

    Of a chart by electrode, where each cell is a question of its own, a change tries every fourth
    row and ``--all`` every one.
    """
    selection, grid = chosen(store, name)
    document = handout(store, selection)
    (matrix,) = [block for block in document.blocks if isinstance(block, Matrix)]
    cells = 0
    step = times(4, 1) if grid.heads == ("electrode",) else 1
    for line, worded in zip(grid.lines[::step], matrix.rows[::step], strict=True):
        known: dict[str, Any] = {}
        for cell, drawn in zip(line.cells, worded.cells, strict=True):
            key = str(cell.situation)
            if not cell.settings:
                continue
            if key not in known:
                # A chart by electrode has one quantity; the others share a situation along a row.
                only = "current" if cell.quantity == "current" and "stick" in name else None
                found = weldref.windows(quantity=only, **asked(cell.situation))
                known[key] = found.set_index("window_id")
            rows = known[key]
            for setting in cell.settings:
                row = rows.loc[setting.row.window_id]
                assert row["quantity"] == cell.quantity
                assert row["unit"] == setting.row.unit
                ends = {"min": setting.row.min, "max": setting.row.max}
                for end, value in {**ends, "typical": setting.row.typical}.items():
                    assert row[end] == value or (value is None and row[end] != row[end])
                cells += 1
            assert len(drawn.entries) <= len(cell.settings)
            # Print comes first: what was recalled stands only where nothing is printed.
            assert len({s.row.how_read == "memory" for s in cell.settings}) < 2
            for entry in drawn.entries:
                assert (entry.grade == "memory") == (cell.settings[0].row.how_read == "memory")
    assert cells >= 8


def test_a_cell_holds_the_handbooks_range(store: Store) -> None:
    """Machinery's Handbook, 31st edition, p. 1594, Table 14: E7018, 1/8 in, 110 to 160 A."""
    selection, grid = chosen(store, "stick")
    (matrix,) = [b for b in handout(store, selection).blocks if isinstance(b, Matrix)]
    (row,) = [row for row in matrix.rows if row.labels[0] == "E7018"]
    (column,) = [i for i, title in enumerate(matrix.titles) if title[0] == "1/8 in"]
    (entry,) = row.cells[column].entries
    assert (entry.text, entry.grade) == ("110–160", "read")
    assert grid.columns[column] == ("1/8 in", "current")


def test_a_size_sold_under_several_names_is_one_column(store: Store) -> None:
    """3/32 in is sold as 2.4 and as 2.5 mm: E7018, 70 to 105 A (Machinery's Handbook, 31st ed.)."""
    selection, grid = chosen(store, "stick", units="metric")
    titles = [title for title, _ in grid.columns]
    assert "2.4 / 2.5 mm" in titles
    assert len(titles) == len(set(titles))
    (matrix,) = [b for b in handout(store, selection).blocks if isinstance(b, Matrix)]
    assert [len(row.cells) for row in matrix.rows] == [len(titles)] * len(matrix.rows)
    (row,) = [row for row in matrix.rows if row.labels[0] == "E7018"]
    (entry,) = row.cells[titles.index("2.4 / 2.5 mm")].entries
    assert (entry.text, entry.grade) == ("70–105", "read")


def test_values_that_stand_on_one_line_stay_together(store: Store) -> None:
    """A row of the chart never mixes the feed of one printed line with the volts of another."""
    _, grid = chosen(store, "mig-steel")
    for line in grid.lines:
        together = [
            setting.row.line
            for cell in line.cells
            if cell.quantity in ("wire_feed_speed", "current", "voltage")
            for setting in cell.settings
        ]
        assert len(set(together)) == 1, line.labels


def test_what_names_no_plate_stands_apart(store: Store) -> None:
    _, grid = chosen(store, "mig-stainless")
    apart = [line for line in grid.lines if line.labels[0] == "not named"]
    assert apart
    for line in apart:
        for cell in line.cells:
            assert all("thickness" not in setting.row.assumed for setting in cell.settings)


@pytest.mark.parametrize(
    ("name", "language", "paper"),
    [
        ("stick", "es", "a2"),
        ("tig-aluminium", "fr", "tabloid"),
        ("mig-steel", "en", "letter"),
        ("mig-stainless", "es", "a3"),
        ("oxyfuel", "fr", "a4"),
    ],
)
def test_a_chart_is_one_page_and_nothing_runs_off(
    store: Store, name: str, language: str, paper: str
) -> None:
    import pypdfium2

    how: dict[str, Any] = {"paper": paper, "language": language, "date": CLASS_DATE}
    selection = select(store, CHARTS[name], kind="wall-chart", **how)
    document = handout(store, selection)
    drawn = pdf(document)
    assert drawn.pages == 1
    opened = pypdfium2.PdfDocument(drawn.content)
    picture = opened[0].render(scale=0.7).to_numpy()
    opened.close()
    for edge in (picture[:, :18], picture[:, -18:], picture[:18], picture[-18:]):
        assert edge.min() > 240
    (text,) = page_texts(drawn.content)
    matrix = next(b for b in document.blocks if isinstance(b, Matrix))
    for row in matrix.rows:
        for entry in (entry for cell in row.cells for entry in cell.entries):
            assert squeezed(entry.text) in squeezed(text)


def test_own_rows_stand_in_frames_of_their_own(beside: OwnTables) -> None:
    store = open_tables(beside)
    selection = select(store, CHARTS["stick"], kind="wall-chart")
    (matrix,) = [b for b in handout(store, selection).blocks if isinstance(b, Matrix)]
    own = [e for row in matrix.rows for cell in row.cells for e in cell.entries if e.grade == "own"]
    assert own
    (row,) = [row for row in matrix.rows if row.labels[0] == "E7018"]
    grades = [{entry.grade for entry in cell.entries} for cell in row.cells]
    assert {"own", "read"} in grades


def test_grades_below_the_one_asked_for_are_nowhere(store: Store) -> None:
    selection, grid = chosen(store, "stick", grade="read")
    read = {s.row.how_read for line in grid.lines for cell in line.cells for s in cell.settings}
    assert read == {"read"}
    grades = {
        entry.grade
        for block in handout(store, selection).blocks
        if isinstance(block, Matrix)
        for row in block.rows
        for cell in row.cells
        for entry in cell.entries
    }
    assert grades == {"read"}


def test_the_command_says_how_far_off_the_chart_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["--process", "GMAW", "--material", "carbon steel", "--kind", "wall-chart"]
    assert main(["handout", *arguments, "-o", str(tmp_path / "c.pdf")]) == 0
    assert "1 page, figures" in capsys.readouterr().out
    assert said(Drawn(b"", 1, 20.0)) == ": 1 page, figures 4.6 mm high, to read from 2.1 m"
    assert "choose a larger --paper" in said(Drawn(b"", 1, 10.0))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--material", "304"], "--process: a wall chart needs one"),
        (["--process", "SMAW", "--process", "GMAW"], "--process: a wall chart shows one"),
        (["--process", "GMAW", "--gas", "CO2", "--gas", "argon"], "--gas: a wall chart shows one"),
        (["--process", "GTAW", "--diameter", "1/16", "--diameter", "3/32"], "--diameter"),
        (["--process", "EGW", "--material", "titanium"], "nothing is published or recalled"),
    ],
)
def test_what_no_chart_can_show_is_refused(
    arguments: list[str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = ["handout", *arguments, "--kind", "wall-chart", "-o", str(tmp_path / "x.pdf")]
    assert main(made) == 2
    err = capsys.readouterr().err
    assert words in err
    assert err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_a_chart_split_over_pages_holds_the_same_cells_in_larger_type(store: Store) -> None:
    asked = {"process": "GMAW", "material": "mild steel"}
    one, two = (
        handout(store, select(store, asked, kind="wall-chart", paper="a3", pages=pages))
        for pages in (1, 2)
    )
    whole, *parts = (
        [row.labels for row in block.rows]
        for document in (one, two)
        for block in document.blocks
        if isinstance(block, Matrix)
    )
    assert len(parts) == 2
    assert whole == [labels for part in parts for labels in part]
    assert not {labels[0] for labels in parts[0]} & {labels[0] for labels in parts[1]}
    drawn, split = pdf(one), pdf(two)
    assert (drawn.pages, split.pages) == (1, 2)
    assert split.size > drawn.size * 1.2  # type: ignore[operator]
    for page in page_texts(split.content):
        assert "Cautions" in page
        assert "Sources" in page
