"""The dials: field and slider say one value, and a start says what it is."""

import re
from html import unescape
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

APP = Path(__file__).parents[3] / "app.py"
POST = {"process": "SMAW", "material": "carbon steel", "electrode": "E7018", "diameter": "1/8 in"}
RAMP = {"process": "GMAW", "material": "aluminium", "thickness": "1/4 in", "diameter": "3/64 in"}


def opened(**said):
    page = AppTest.from_file(str(APP), default_timeout=60)
    for name, text in said.items():
        page.query_params[name] = text
    page.run()
    assert not page.exception
    return page


def words(page, part=""):
    bodies = [element.proto.body for element in page.get("html")]
    shown = " ".join(body for body in bodies if "<style>" not in body and part in body)
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", shown))).strip()


def keys(page, kind):
    return {element.key for element in getattr(page, kind)}


def test_the_slider_turns_the_typed_value():
    page = opened(**POST, current="130")
    assert page.slider(key="current-dial").value == 130
    page.slider(key="current-dial").set_value(150.0).run()
    assert page.text_input(key="current").value == "150 A"
    assert "Current 150 A Inside" in words(page, 'class="verdict')


def test_the_typed_value_turns_the_slider():
    page = opened(**POST)
    page.text_input(key="current").set_value("141").run()
    assert page.slider(key="current-dial").value == 141


def test_a_value_far_out_widens_the_slider_and_stays_what_it_is():
    page = opened(**POST, current="900 A")
    dial = page.slider(key="current-dial")
    assert dial.min < 110 < 160 < 900 < dial.max
    assert dial.value == 900


def test_a_slider_keeps_its_ends_while_it_is_turned_between_them():
    page = opened(**POST, current="130 A")
    dial = page.slider(key="current-dial")
    ends = (dial.min, dial.max)
    for value in (ends[0], 120.0, ends[1]):
        page.slider(key="current-dial").set_value(value).run()
        dial = page.slider(key="current-dial")
        assert (dial.min, dial.max, dial.value) == (*ends, value)


def test_a_slider_follows_the_units():
    page = opened(**POST, preheat="50 F")
    page.radio(key="units").set_value("metric").run()
    assert page.slider(key="preheat-dial").value == pytest.approx(10)
    assert page.text_input(key="preheat").value == "50 F"


def test_a_bare_number_keeps_its_meaning_when_the_units_change():
    page = opened(**RAMP)
    page.text_input(key="travel_speed").set_value("20").run()
    assert page.text_input(key="travel_speed").value == "20 in/min"
    page.radio(key="units").set_value("metric").run()
    assert "Travel speed 20 in/min" in words(page, 'class="verdict')


def test_a_dial_that_is_not_set_has_no_verdict():
    page = opened(**POST)
    assert "preheat-dial" in keys(page, "slider")
    assert 'class="verdict' not in " ".join(e.proto.body for e in page.get("html"))


def test_nothing_published_has_a_field_and_no_slider():
    page = opened(**POST)
    assert "voltage-dial" not in keys(page, "slider")
    page.text_input(key="voltage").set_value("24").run()
    assert "Voltage 24 V No published range" in words(page, 'class="verdict')


def test_the_start_is_the_middle_of_the_published_window_and_says_so():
    page = opened(**POST)
    button = page.button(key="start-current-0")
    assert button.label == "Start here: 135 A"
    assert "Middle of the one published window, 110 to 160 A." in words(page, 'class="start"')
    button.click().run()
    assert page.text_input(key="current").value == "135 A"
    assert "Current 135 A Inside" in words(page, 'class="verdict')


def test_the_middle_of_several_windows_is_that_of_their_overlap():
    page = opened(**RAMP, transfer_mode="spray", gas="argon")
    assert page.button(key="start-current-0").label == "Start here: 165 A"
    assert "Middle of what the 2 published windows share, 130 to 200 A." in words(page)


def test_printed_settings_are_offered_each_as_printed():
    page = opened(**RAMP, transfer_mode="spray", gas="argon")
    labels = [b.label for b in page.button if (b.key or "").startswith("start-gas_flow")]
    assert labels == ["Start here: 35 ft³/h", "Start here: 20 L/min"]
    assert "Printed settings, each for its own conditions" in words(page, 'class="start"')


def test_a_start_from_memory_says_so():
    page = opened(process="GTAW", material="304", thickness="1/8 in", diameter="3/32 in",
                  polarity="DCEN", gas="argon")  # fmt: skip
    assert page.button(key="start-current-0").label.startswith("From memory: ")
    assert "Middle of the one recalled window" in words(page, 'class="start"')
    assert "not seen in print" in words(page, 'class="start"')
    page.button(key="start-current-0").click().run()
    assert "No published range" in words(page, 'class="verdict none"')


def test_a_minimum_alone_gives_no_start():
    page = opened(process="GTAW", material="304", thickness="1/8 in")
    assert "No start here: a maximum alone is published" in words(page, 'class="start"')


def test_heat_input_follows_with_and_without_k():
    page = opened(**POST, current="130 A", voltage="24 V")
    assert "Heat input needs travel speed, which is not set" in words(page, "around")
    page.text_input(key="travel_speed").set_value("6").run()
    said = words(page, "around")
    assert "Arc energy, without k: 31.2 kJ/in" in said
    assert "Heat input, k = 0.8: 25 kJ/in" in said
    page.radio(key="units").set_value("metric").run()
    assert "Arc energy, without k: 1.23 kJ/mm" in words(page, "around")


def test_what_else_to_choose_names_its_sources():
    said = words(opened(**POST), "What else to choose")
    assert "Polarity" in said
    assert "AC or DCEP (E7018), from memory, not seen in print" in said
    assert "Lens shade" in said
    assert "29 CFR 1910.133" in said


def test_a_shade_at_a_recalled_current_says_so():
    recalled = "a current from memory, not seen in print"
    said = words(opened(**{**POST, "electrode": "E6010"}), "What else to choose")
    assert re.search(rf"Minimum shade 8 at \d+ A \({recalled}\)", said)
    assert recalled not in words(opened(**POST), "What else to choose")


def test_a_cut_is_asked_for_no_polarity_and_no_heat_input():
    said = words(opened(process="PAC", material="aluminium", thickness="1/4 in"))
    assert "Polarity Shielding" not in said
    assert "Arc energy" not in said
    assert "Lens shade" in said


def test_why_opens_the_printed_place():
    said = words(opened(**POST, current="130 A"), 'class="why"')
    assert "Place p. 1594 Table 14 How it was read read in the source" in said
    assert "As printed current 110 to 160 A" in said
    assert "Row machinerys-handbook-31:026" in said


def test_terms_with_published_rows_come_first():
    page = opened(process="SMAW")
    options = page.selectbox(key="electrode").options
    order = [o.split(":")[0] for o in options]
    assert order.index("E7018") < order.index("ER70S-6")
    page = opened(process="SMAW", electrode="ER70S-6")
    assert "No published row names this beside the rest" in words(page)
    assert page.selectbox(key="electrode").value == "ER70S-6"


def test_preheat_from_memory_alone_is_not_called_published():
    said = words(opened(process="GMAW", material="aluminium"), "What else to choose")
    assert "See the bars of preheat, from memory alone, not seen in print." in said
