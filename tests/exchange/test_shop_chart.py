"""A shop's own chart: read as typed, checked cell by cell, saved as own tables that are sound."""

from __future__ import annotations

import io
import json
import multiprocessing
import sys
import threading
from dataclasses import replace

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

import weldref
from tests.conftest import read_csv
from weldref.cli import main
from weldref.data.folder import datasets_folder
from weldref.data.own import OwnTables
from weldref.data.validate import validate
from weldref.errors import InputError
from weldref.exchange.new_table import write_new_chart
from weldref.exchange.shop_chart import (
    Chart,
    Column,
    as_json,
    checked,
    drafts,
    folder,
    from_json,
    grid_of,
    load,
    make_folder,
    names,
    parse_grid,
    read_bytes,
    remove,
    save,
)
from weldref.exchange.shop_chart.check import shown
from weldref.exchange.shop_chart.hand_over import LARGEST

SAID = {
    "process": "mig", "material": "mild steel", "transfer_mode": "short arc", "gas": "C25",
}  # fmt: skip
INVENTED = """Thickness\tWire size\tWFS (in/min)\tVolts\tAmps
16 ga\t.035\t150-170\t16,5\t80
1/8\t.035\t220 to 240\t18\t120
3/16\t.035\t260–280\t19\t140 ± 10
1/4\t.045\t250\t20.5\t170
"""


@pytest.fixture
def chart(store):
    """An invented chart of a booth."""
    return parse_grid(store, INVENTED, name="Booth 3", day="2026-11-28", conditions=SAID)


def problems(store, chart):
    return checked(store, chart).problems


def rows_in(place):
    return [row for path in sorted((place / "windows").glob("*.csv")) for row in read_csv(path)]


def said(store, head, text, **conditions):
    made = parse_grid(
        store, f"thickness\twire size\t{head}\n1/8\t.035\t{text}", name="x",
        conditions={**SAID, **conditions},
    )  # fmt: skip
    return [str(one) for one in problems(store, made)]


def test_of_two_units_that_are_used_alike_the_first_heads_the_column(store, tmp_path):
    text = "thickness\twire size\tgas flow\n1/8\t.035\t12 L/min\n1/4\t.035\t25 ft3/h\n"
    chart = parse_grid(store, text, name="Booth 3", day="2026-11-28", conditions=SAID)
    save(store, chart, tmp_path)
    again = load(store, tmp_path, "Booth 3")
    assert Column("gas_flow", "L/min") in again.columns
    assert [row["gas_flow"] for row in again.rows] == ["12", "25 ft3/h"]


def test_an_invented_chart_is_sound_and_becomes_rows_that_follow_the_schemas(
    store, chart, tmp_path
):
    assert problems(store, chart) == ()
    path = save(store, chart, tmp_path / "own")
    assert validate(datasets_folder(), OwnTables(tmp_path / "own")) == []
    rows = read_csv(path)
    assert len(rows) == 12
    first = rows[0]
    assert (first["thickness_min"], first["thickness_unit"], first["electrode_size"]) == (
        "16", "gauge", "0.035 in",
    )  # fmt: skip
    assert (first["quantity"], first["min"], first["max"], first["basis"]) == (
        "wire_feed_speed", "150", "170", "recommended",
    )  # fmt: skip
    volts = rows[1]
    assert (volts["typical"], volts["min"], volts["basis"]) == ("16.5", "", "general-practice")
    assert len({row["line"] for row in rows}) == 4
    (source,) = read_csv(tmp_path / "own" / "sources.csv")
    assert source["title"] == "our chart, Booth 3, 2026-11-28"


def test_a_check_shows_it_beside_published_rows_and_marked(store, chart, tmp_path):
    save(store, chart, tmp_path / "own")
    bench = {
        "process": "GMAW", "material": "carbon steel", "thickness": "1/8", "diameter": ".035",
        "transfer_mode": "short-circuiting", "gas": "C25",
    }  # fmt: skip
    with_own = weldref.check(**bench, own=tmp_path / "own", wire_feed_speed="230")
    (reading,) = with_own.readings
    assert reading.from_own is not None
    assert [(row.min, row.max) for row in reading.from_own.rows] == [(220, 240)]
    assert "our chart, Booth 3" in reading.from_own.rows[0].source
    assert not any(row.own for row in reading.rows)
    (alone,) = weldref.check(**bench, wire_feed_speed="230").readings
    assert (reading.verdict, reading.by) == (alone.verdict, alone.by)


def test_what_is_loaded_is_what_was_saved(store, chart, tmp_path):
    path = save(store, chart, tmp_path / "own")
    before = path.read_bytes()
    again = load(store, tmp_path / "own", "booth 3")
    assert (again.name, again.date, again.units) == ("Booth 3", "2026-11-28", "us")
    assert again.rows[2] == {
        "thickness": "3/16", "diameter": "0.035", "wire_feed_speed": "260 to 280",
        "voltage": "19", "current": "140 ± 10",
    }  # fmt: skip
    save(store, again, tmp_path / "own")
    assert path.read_bytes() == before


def test_saving_again_replaces_that_chart_alone(store, chart, tmp_path):
    place = tmp_path / "own"
    save(store, chart, place)
    save(store, replace(chart, name="Booth 4"), place)
    save(store, replace(chart, rows=chart.rows[:1], date="2026-12-01"), place)
    assert names(place) == ("Booth 3", "Booth 4")
    assert len(rows_in(place)) == 3 + 12
    assert load(store, place, "Booth 3").date == "2026-12-01"


def test_a_chart_replaces_no_table_that_is_not_its_own(store, chart, tmp_path):
    place = tmp_path / "own"
    save(store, chart, place)
    with pytest.raises(InputError, match="'BOOTH-3' would be written over 'Booth 3'"):
        save(store, replace(chart, name="BOOTH-3"), place)
    (place / "windows" / "chart-mine.csv").write_text("a,b\n")
    with pytest.raises(InputError, match=r"'mine' would be written over 'chart-mine\.csv'"):
        save(store, replace(chart, name="mine"), place)


def test_what_is_removed_leaves_sound_tables(store, chart, tmp_path):
    place = tmp_path / "own"
    save(store, chart, place)
    remove(place, "Booth 3")
    assert names(place) == ()
    assert validate(datasets_folder(), OwnTables(place)) == []
    with pytest.raises(InputError, match=r"'Booth 3' is not in .*; charts: there is none yet"):
        load(store, place, "Booth 3")


GRIDS = {
    "stick": "class\tsize\tamps\nE6010\t1/8\t75-130\nE7018\t1/8\t110-150\n",
    "tig": "thickness\ttungsten\tfiller rod\tcup\tamps\tgas flow (cfh)\n"
    "1/8\t3/32\t3/32\t#7\t100-130\t15-20\n",
    "plasma cutting": "thickness\ttip\tamps\tcut speed (ipm)\tair (psi)\n"
    "1/4\t40 A\t40\t40\t65-75\n",
    "oxy-fuel cutting": "thickness (mm)\ttip\toxygen (bar)\tfuel (bar)\tspeed (mm/min)\n"
    "10\t1\t2,5\t0,3\t400-450\n",
    "FCAW-S": "thickness\twire size\tWFS\tvolts\n5-8 mm\t.045\t4 m/min\t15-16\n",
}


def test_each_process_has_its_columns(store, tmp_path):
    for process, grid in GRIDS.items():
        said = {"process": process, "material": "mild steel"}
        made = parse_grid(store, grid, name=process, conditions=said)
        assert [one for one in problems(store, made) if one.refused] == [], process
        save(store, made, tmp_path / "own")
        again = load(store, tmp_path / "own", process)
        assert checked(store, again).lines == tuple(
            replace(line, row=number) for number, line in enumerate(checked(store, made).lines, 1)
        ), process
    assert validate(datasets_folder(), OwnTables(tmp_path / "own")) == []


def test_rows_may_come_by_their_headings(store):
    made = parse_grid(store, [{"Thickness": "1/8", "Volts": 18.5, "Amps": None, "WFS": 240.0}])
    assert made.rows == ({"thickness": "1/8", "voltage": "18.5", "wire_feed_speed": "240"},)


@pytest.mark.parametrize(
    ("head", "text", "sentence"),
    [
        ("volts", "2o", "row 1, voltage: '2o' is not accepted"),
        ("volts", "20-18", "row 1, voltage: '20-18' falls; give the lower value first"),
        ("volts", "500", "row 1, voltage: 500 V is not plausible; give 1 to 250 V"),
        ("volts", "18 A", "row 1, voltage: '18 A' is not accepted: 'A' is not a unit of voltage"),
        ("wfs", "35 psi", "'psi' is not a unit of speed; give it in in/min"),
        ("wfs", "1-2-3", "give one value, a range such as 18-20"),
        ("gas flow", "=30", "begins like a formula of a spreadsheet"),
        ("amps", "Mar-32", "a spreadsheet's date for 3/32"),
    ],
)
def test_a_cell_that_is_wrong_is_told_by_row_column_value_and_what_is_accepted(
    store, head, text, sentence
):
    (problem,) = said(store, head, text)
    assert sentence in problem


def test_sizes_thicknesses_and_words_are_checked(store):
    def first(grid, **conditions):
        made = parse_grid(store, grid, name="x", conditions={**SAID, **conditions})
        return str(problems(store, made)[0])

    size = first("thickness\twire size\tamps\n1/8\t.037\t120")
    assert size == (
        "row 1, wire size: '.037' is not a size that is sold; give 0.035 in or 0.040 in or 0.030 in"
    )
    assert first("thickness\tamps\n9 ft\t120").startswith("row 1, thickness: '9 ft'")
    assert "neither thickness nor size" in first("thickness\tamps\n\t120")
    assert first("thickness\tamps\n1/8\t120", material="unobtainium").startswith("metal: ")
    assert "its group ISO 14175 M21 is" not in first("thickness\tamps\n1/8\t120", gas="xenon")
    assert first("thickness\tamps\n1/8\t120", gas="83 Ar / 17 CO2").startswith("gas: '83 Ar")


def test_what_is_doubtful_is_a_warning_and_can_be_saved(store, tmp_path):
    made = parse_grid(
        store,
        "thickness\twire size\twfs\tamps\n1/8\t.035\t900\t70\n1/4\t.035\t200\t120\n"
        "1/4\t.035\t200\t120\n3/16\t.035\t250\t150\n3/8\t.035\n",
        name="x", conditions=SAID,
    )  # fmt: skip
    found = problems(store, made)
    assert not any(one.refused for one in found)
    words = "\n".join(map(str, found))
    assert "row 1, wire feed speed: 900 in/min is far more wire than 70 A melts" in words
    assert "row 3, row: the conditions are those of row 2" in words
    assert "row 2, current: 120 A: the current is lower than in row 4, for thinner metal" in words
    assert "row 5, row: no setting is typed in" in words
    save(store, made, tmp_path / "own")
    assert len(rows_in(tmp_path / "own")) == 8


def test_a_sensible_feed_is_not_doubted(store):
    assert said(store, "wfs\tamps", "240-260\t110-130") == []
    # Another metal melts otherwise: nothing is said of it.
    assert said(store, "wfs\tamps", "900\t70", material="aluminium") == []


def test_an_unknown_heading_or_a_cell_below_none_is_refused(store):
    with pytest.raises(InputError, match="line 1: heading 'Moon' is not known; give thickness"):
        parse_grid(store, "thickness\tMoon\n1/8\t3")
    with pytest.raises(InputError, match="line 1: heading 'V' appears twice"):
        parse_grid(store, "volts\tV\n1\t2")
    with pytest.raises(InputError, match="line 2: a cell has no heading above it"):
        parse_grid(store, "thickness\tvolts\n1/8\t3\t4")
    with pytest.raises(InputError, match="no line of headings"):
        parse_grid(store, "\n\n")


NUMBERS = st.integers(1, 2000).map(lambda n: n / 10)


@given(
    low=NUMBERS, more=NUMBERS, join=st.sampled_from(["-", " - ", "–", " to "]), comma=st.booleans()
)
def test_a_range_reads_the_same_however_it_is_written(store, low, more, join, comma):
    text = f"{low:g}{join}{low + more:g}"
    text = text.replace(".", ",") if comma else text
    made = Chart(
        "x", "2026-11-28", conditions={"process": "GMAW", "material": "steel"},
        columns=(Column("thickness"), Column("current")),
        rows=({"thickness": "1/8", "current": text},),
    )  # fmt: skip
    found = checked(store, made)
    assert found.problems == ()
    setting = found.lines[0].settings[0]
    assert (setting.low, setting.high) == (pytest.approx(low), pytest.approx(low + more))


@given(
    cell=st.text(max_size=70), column=st.sampled_from(["thickness", "diameter", "current", "cup"])
)
def test_any_cell_is_read_or_told_and_never_breaks_anything(store, cell, column):
    made = Chart(
        "x", "2026-11-28", conditions={"process": "GTAW", "material": "steel"},
        columns=(Column("thickness"), Column("voltage"), Column("diameter"), Column("current"),
                 Column("cup")),
        rows=({"thickness": "1/8", "voltage": "12", column: cell},),
    )  # fmt: skip
    found = checked(store, made)
    for problem in found.problems:
        assert str(problem).startswith("row 1, ")
    assert bool(found.refused) != bool(found.lines)
    for line in found.lines:
        assert all(shown(setting) for setting in line.settings)


@given(text=st.text(max_size=300))
def test_any_pasted_text_is_a_chart_or_one_sentence(store, text):
    try:
        made = parse_grid(store, text)
    except InputError as error:
        assert "\n" not in str(error).split(": ", 1)[0]
    else:
        assert made.columns


@settings(max_examples=20, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(
    rows=st.lists(
        st.fixed_dictionaries({
            "thickness": st.sampled_from(["1/8", "3/16", "16 ga", "3 mm", "1-1/2", "5-8 mm"]),
            "diameter": st.sampled_from([".035", "1.2 mm", "0.045", "1/16"]),
            "current": st.one_of(
                NUMBERS.map(str), st.tuples(NUMBERS, NUMBERS).map(lambda p: f"{p[0]}-{sum(p):g}"),
            ),
            "travel_speed": st.sampled_from(["", "10", "12,5", "300 mm/min"]),
        }),
        min_size=1, max_size=6,
    ),
    units=st.sampled_from(["us", "metric"]),
)  # fmt: skip
def test_saved_and_loaded_any_sound_chart_gives_the_same_rows(store, tmp_path_factory, rows, units):
    columns = tuple(map(Column, rows[0]))
    made = Chart("x", "2026-11-28", units, {"process": "GMAW", "material": "304"}, columns,
                 tuple(rows))  # fmt: skip
    if checked(store, made).refused:
        return
    place = tmp_path_factory.mktemp("own")
    path = save(store, made, place)
    before = path.read_bytes()
    again = load(store, place, "x")
    assert from_json(as_json(again)) == again
    save(store, again, place)
    assert path.read_bytes() == before
    cells = "\n".join("\t".join(line) for line in grid_of(store, again))
    assert checked(store, parse_grid(store, cells)).lines == checked(store, again).lines


def test_two_at_once_lose_no_chart(store, chart, tmp_path):
    place = tmp_path / "own"
    make_folder(place)
    failed = []

    def write(number):
        try:
            save(store, replace(chart, name=f"Booth {number}"), place)
        except InputError as error:
            failed.append(str(error))

    writers = [threading.Thread(target=write, args=(number,)) for number in range(6)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert failed == []
    assert names(place) == tuple(f"Booth {number}" for number in range(6))
    assert validate(datasets_folder(), OwnTables(place)) == []


def hold(place, taken, done):
    with folder.locked(place):
        taken.set()
        done.wait(30)


def test_who_is_in_the_way_is_told_in_one_sentence(store, chart, tmp_path, monkeypatch):
    monkeypatch.setattr(folder, "SECONDS", 0.2)
    # The other process starts from this module alone, whatever ran in this one before.
    monkeypatch.delattr(sys.modules["__main__"], "__file__", raising=False)
    make_folder(tmp_path)
    spawn = multiprocessing.get_context("spawn")
    taken, done = spawn.Event(), spawn.Event()
    other = spawn.Process(target=hold, args=(tmp_path, taken, done))
    other.start()
    try:
        assert taken.wait(30)
        with pytest.raises(InputError, match=r"someone else is saving in .*; try again"):
            save(store, chart, tmp_path)
    finally:
        done.set()
        other.join()
    save(store, chart, tmp_path)


def test_a_chart_goes_from_hand_to_hand_as_one_file(chart):
    assert from_json(as_json(chart).encode()) == chart


def spoiled(chart, **changes):
    return json.dumps(json.loads(as_json(chart)) | changes)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"format": "weldref-chart/2"}, "format: 'weldref-chart/2' is not accepted; give"),
        ({"more": 1}, "'more' is not accepted; give format, name"),
        ({"name": 7}, "name: a int is not accepted; give a text"),
        ({"name": "=cmd()"}, "begins like a formula of a spreadsheet"),
        ({"name": "a\x1b[2Jb"}, "name: a control character is not accepted"),
        ({"shop": "x" * 121}, "shop: more than 120 characters"),
        ({"units": "furlong"}, "units: 'furlong' is not accepted"),
        ({"rows": [{"current": "@SUM(1)"}]}, "current: '@SUM"),
        ({"rows": [{"current": "1\n2"}]}, "current: a control character"),
        ({"rows": [{"../../x": "1"}]}, "rows.0"),
        ({"rows": [{}] * 201}, "rows: more than 200 entries"),
        ({"columns": [{"name": "current", "unit": "=A"}]}, "unit: '=A'"),
        ({"columns": [{}]}, "columns.0: name is missing"),
    ],
)
def test_a_hostile_file_is_refused_in_one_plain_sentence(chart, changes, sentence):
    with pytest.raises(InputError) as refused:
        from_json(spoiled(chart, **changes))
    assert sentence in str(refused.value)
    assert str(refused.value).isprintable()


@pytest.mark.parametrize(
    "data",
    [
        b"", b"{", b"[]", b'"text"', b"\xff\xfe{\x00}\x00", b'{"a": 1, "a": 2}', b'{"a": NaN}',
        b"[" * 100_000, b'{"a": ' + b"9" * 5000 + b"}", b" " * (LARGEST + 1),
    ],
    ids=["empty", "cut", "list", "text", "wide", "twice", "nan", "deep", "digits", "large"],
)  # fmt: skip
def test_what_is_no_chart_is_refused(data):
    with pytest.raises(InputError, match=r"^chart: "):
        from_json(data)


@given(data=st.binary(max_size=200))
def test_any_bytes_are_a_chart_or_one_sentence(store, data):
    for start in (b"", b"{", b"PK"):
        try:
            read_bytes(store, start + data, "x.csv")
        except InputError as error:
            assert str(error).startswith("chart: ")


def test_a_workbook_is_read_as_text_and_a_formula_is_refused(store, tmp_path):
    path = write_new_chart(tmp_path / "new.xlsx", "stick", "metric")
    empty = read_bytes(store, path.read_bytes(), "new.xlsx")
    assert (empty.conditions, empty.units, empty.name) == ({"process": "SMAW"}, "metric", "new")
    assert [(c.name, c.unit) for c in empty.columns][:3] == [
        ("thickness", "mm"), ("electrode", ""), ("diameter", "mm"),
    ]  # fmt: skip

    def book(value):
        made = Workbook()
        made.active.append(["thickness", "amps"])
        made.active.append(["1/8", value])
        out = io.BytesIO()
        made.save(out)
        return out.getvalue()

    assert read_bytes(store, book(120), "x.xlsx").rows[0]["current"] == "120"
    with pytest.raises(InputError, match="cell B2 is computed by a formula"):
        read_bytes(store, book("=60*2"), "x.xlsx")


def test_a_draft_keeps_what_is_not_yet_sound(tmp_path, chart):
    make_folder(tmp_path)
    half = replace(chart, name="", rows=({"voltage": "2o"},))
    key = drafts.new_key()
    drafts.keep(tmp_path, key, half)
    (tmp_path / "drafts" / "000000000000.json").write_text("damaged")
    (found,) = drafts.drafts(tmp_path)
    assert (found.key, found.chart) == (key, half)
    assert validate(datasets_folder(), OwnTables(tmp_path)) == []
    drafts.discard(tmp_path, key)
    assert drafts.drafts(tmp_path) == ()
    with pytest.raises(InputError, match="is not a draft"):
        drafts.keep(tmp_path, "../../etc", half)


def test_a_draft_that_could_not_be_read_again_is_told(tmp_path, chart):
    """A spreadsheet pasted into the grid may have more rows than a chart."""
    drafts.keep(tmp_path, "0123456789ab", chart)
    large = replace(chart, rows=tuple({"current": "130"} for _ in range(201)))
    with pytest.raises(InputError, match=r"what you type is not kept any more: .*200"):
        drafts.keep(tmp_path, "0123456789ab", large)
    assert [draft.chart for draft in drafts.drafts(tmp_path)] == [chart]


def test_from_the_command_line(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main("new-table --chart --process gmaw -o booth.csv".split()) == 0
    form = (tmp_path / "booth.csv").read_text(encoding="utf-8-sig")
    filled = form.replace("metal,", "metal,mild steel").replace("name,", "name,Booth 3")
    (tmp_path / "booth.csv").write_text(filled + "1/8,.035,230-250,18,x\n")
    assert main("chart add booth.csv --tables own".split()) == 2
    said = capsys.readouterr().err
    assert "refused: row 1, current: 'x' is not accepted" in said
    assert "1 thing to correct in 'booth.csv'; nothing is saved" in said
    assert not (tmp_path / "own").exists()
    (tmp_path / "booth.csv").write_text(filled + "1/8,.035,230-250,18,120\n")
    for command in (
        "chart read booth.csv",
        "chart add booth.csv --tables own",
        "chart export booth-3 --tables own -o booth.weldref.json",
        "chart import booth.weldref.json --name Annex --tables own",
        "chart list --tables own",
        "chart show annex --tables own",
        "validate --tables own",
        "chart remove Annex --tables own",
    ):
        assert main(command.split()) == 0, command
    out = capsys.readouterr().out
    assert "Annex\nBooth 3\n" in out
    assert main("chart export booth-3 --tables own -o booth.xlsx".split()) == 2
    assert capsys.readouterr().err.endswith("give a name that ends in .json\n")
    assert not (tmp_path / "booth.xlsx").exists()
    assert "230 to 250" in out
    (tmp_path / "bad.json").write_text('{"format": "\x1b[2J"}')
    for command, sentence in (
        ("chart import bad.json --tables own", "line 1, column 13: not JSON"),
        ("chart show Moon --tables own", "'Moon' is not in own; charts: Booth 3"),
        ("chart list", "no folder of own tables is named"),
        ("chart read none.csv", "'none.csv' is not there"),
        ("chart show", "show needs a name"),
        ("chart export x", "-o FILE belongs to export"),
        ("new-table -o x.csv", "give the name of a table, or --chart"),
    ):
        assert main(command.split()) == 2, command
        said = capsys.readouterr().err
        assert sentence in said
        assert said.count("\n") == 1
        assert "\x1b" not in said
