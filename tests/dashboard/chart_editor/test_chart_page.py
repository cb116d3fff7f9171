"""The page of the own chart without a browser: pasting, checks, drafts, saving, editing."""

from types import SimpleNamespace

import pytest

from tests.dashboard import apptest
from tests.dashboard.apptest import press, words
from weldref.dashboard import visit
from weldref.data.own import OwnTables, chosen
from weldref.data.store import open_store
from weldref.exchange.shop_chart import drafts, load, make_folder, names

INVENTED = (
    "Thickness\tWire size\tWFS (in/min)\tVolts\n1/8\t.035\t230-250\t18\n3/16\t.035\t280\t19\n"
)


@pytest.fixture(autouse=True)
def at_the_machine(monkeypatch):
    """A page without a browser has no address of a visitor."""
    monkeypatch.setattr("weldref.dashboard.chart_editor.page.at_this_machine", lambda: True)


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder of own tables without a chart, as the environment names it."""
    made = tmp_path / "own"
    make_folder(made)
    monkeypatch.setenv("WELDREF_TABLES", str(made))
    return made


def opened():
    return apptest.opened("chart_editor")


def typed(page, text=INVENTED, name="Booth 3"):
    page.text_input(key="chart-name").set_value(name)
    page.selectbox(key="chart-process").set_value("GMAW")
    page.selectbox(key="chart-material").set_value("carbon steel").run()
    page.text_area(key="chart-pasted").set_value(text)
    return press(page, "chart-take")


def test_nothing_is_complained_of_before_anything_is_typed(place):
    page = opened()
    assert "Nothing is typed in yet" in words(page)
    assert str(place) in words(page)
    assert page.button(key="chart-save").disabled
    assert drafts.drafts(place) == ()


def test_what_is_pasted_is_checked_saved_and_can_be_edited_and_removed(place):
    page = typed(opened(), INVENTED.replace("18", "1o"))
    assert "Row 1, voltage: '1o' is not accepted; give one value" in words(page)
    assert page.button(key="chart-save").disabled
    page = typed(page)
    assert "2 rows, 4 settings read; nothing to correct" in words(page)
    press(page, "chart-save")
    assert "Saved Booth 3" in words(page)
    assert names(place) == ("Booth 3",)
    # What the second table took the place of is not lost.
    (earlier,) = drafts.drafts(place)
    assert earlier.chart.rows[0]["voltage"] == "1o"

    press(page, f"drop-{earlier.key}")
    page = opened()
    press(page, "saved-edit-0")
    assert page.text_input(key="chart-name").value == "Booth 3"
    assert "2 rows, 4 settings read; nothing to correct" in words(page)
    press(page, "saved-ask-0")
    press(page, "saved-no-0")
    assert names(place) == ("Booth 3",)
    press(page, "saved-ask-0")
    press(page, "saved-yes-0")
    assert names(place) == ()


def test_what_was_typed_is_there_again_after_the_browser_was_closed(place):
    typed(opened(), INVENTED.replace("18", "1o"))
    page = opened()
    assert "Resumed the draft of 'Booth 3'" in words(page)
    assert "Row 1, voltage: '1o' is not accepted" in words(page)
    press(page, "chart-discard")
    assert len(drafts.drafts(place)) == 1
    press(page, "chart-discard-yes")
    assert drafts.drafts(place) == ()
    assert page.text_input(key="chart-name").value == ""


def test_two_who_save_one_chart_the_second_is_told_and_nothing_is_lost(place):
    press(typed(opened()), "chart-save")
    one, two = (press(opened(), "saved-edit-0") for _ in range(2))
    press(typed(one, INVENTED.replace("280", "290")), "chart-save")
    # Whose turn came second has typed for an hour: it is told, and everything stays typed.
    press(typed(two, INVENTED.replace("280", "300")), "chart-save")
    assert "'Booth 3' was saved by someone else" in words(two)
    assert "nothing of yours is lost" in words(two)
    assert feeds(load(open_store(), place, "Booth 3")) == ("230 to 250", "290")
    assert {feeds(draft.chart) for draft in drafts.drafts(place)} >= {("230-250", "300")}
    press(two, "chart-over-yes")
    assert "Saved Booth 3" in words(two)
    assert feeds(load(open_store(), place, "Booth 3")) == ("230 to 250", "300")
    assert {feeds(draft.chart) for draft in drafts.drafts(place)} >= {("230 to 250", "290")}
    # Who saves again without anybody in between is asked nothing.
    press(typed(two, INVENTED.replace("280", "310")), "chart-save")
    assert "Saved Booth 3" in words(two)


def feeds(chart):
    return tuple(row["wire_feed_speed"] for row in chart.rows)


def test_two_who_go_on_with_one_draft_keep_both(place):
    typed(opened())
    one, two = opened(), opened()
    one.text_input(key="chart-name").set_value("Booth 4").run()
    two.text_input(key="chart-name").set_value("Booth 5").run()
    assert {draft.chart.name for draft in drafts.drafts(place)} == {"Booth 4", "Booth 5"}


@pytest.mark.usefixtures("place")
def test_another_process_brings_its_columns_and_loses_none_with_something_in_it():
    page = typed(opened())
    page.selectbox(key="chart-process").set_value("GTAW").run()
    assert "cup" in page.multiselect(key="chart-columns").value
    assert "wire_feed_speed" in page.multiselect(key="chart-columns").value
    page.multiselect(key="chart-columns").set_value(["thickness"]).run()
    assert "voltage" in page.multiselect(key="chart-columns").value
    assert "before it can go" in words(page)


@pytest.mark.usefixtures("place")
def test_what_is_no_table_is_told_and_changes_nothing():
    page = typed(typed(opened()), "moon\tsun\n1\t2")
    assert "heading 'moon' is not known" in words(page)
    assert "2 rows, 4 settings read" in words(page)


def test_a_folder_is_offered_where_there_is_none(tmp_path, monkeypatch):
    monkeypatch.delenv("WELDREF_TABLES", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    page = opened()
    assert str(tmp_path / "weldref" / "tables") in words(page)
    press(page, "chart-make-folder")
    own = chosen()
    assert own is not None
    assert own.folder == tmp_path / "weldref" / "tables"
    assert "Charts are kept in" in words(page)
    press(typed(page), "chart-save")
    chart = load(open_store(own=OwnTables(own.folder)), own.folder, "Booth 3")
    assert chart.rows[0]["wire_feed_speed"] == "230 to 250"


def test_who_is_at_another_machine_may_look_and_take_along_only(place, monkeypatch):
    monkeypatch.setattr("weldref.dashboard.chart_editor.page.at_this_machine", lambda: False)
    page = typed(opened())
    assert "You are not at the machine that runs this page" in words(page)
    assert "chart-save" not in [button.key for button in page.button]
    assert drafts.drafts(place) == ()


@pytest.mark.parametrize(
    ("address", "headers", "here"),
    [
        (None, {"Host": "localhost:8501"}, True),
        ("127.0.0.1", {"Host": "127.0.0.1:8501"}, True),
        ("::1", {"Host": "[::1]:8501"}, True),
        ("192.0.2.7", {"Host": "192.0.2.1:8501"}, False),
        ("192.0.2.7", {"Host": "localhost"}, False),
        (None, {"Host": "lab.example"}, False),
        (None, {"Host": "localhost", "X-Forwarded-For": "192.0.2.7"}, False),
    ],
)
def test_a_visitor_through_a_network_or_a_proxy_is_not_at_the_machine(
    monkeypatch, address, headers, here
):
    seen = SimpleNamespace(ip_address=address, headers=headers)
    monkeypatch.setattr(visit, "st", SimpleNamespace(context=seen))
    assert visit.at_this_machine() is here
