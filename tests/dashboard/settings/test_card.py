"""The bench card: three taps, what it asks, and a verdict under each value."""

import pytest

from tests.dashboard import apptest
from tests.dashboard.apptest import bench, ran, words
from weldref.advice.card import card_quantities
from weldref.dashboard.settings.entries import VALUES
from weldref.dashboard.settings.look import METALS, PROCESSES, Look
from weldref.handouts.words import Words, has_words
from weldref.handouts.words import words as words_of

POST = {"process": "SMAW", "material": "carbon steel", "electrode": "E7018", "diameter": "1/8 in"}
MIG = {"process": "GMAW", "material": "mild steel", "thickness": "1/8 in"}


def opened(**said):
    return apptest.opened("", {"more-said": True}, **said)


def tap(page, **taps):
    for name, value in taps.items():
        page.pills(key=f"tap-{name}").set_value(value)
        ran(page)
    return page


def keys(page, kind):
    return {element.key for element in getattr(page, kind)}


def test_three_taps_give_a_card():
    page = tap(opened(), process="GMAW", material="mild steel", thickness="1/8 in")
    tiles = words(page, 'class="tiles"')
    for name in ("Wire speed Wire feed speed", "Volts Voltage", "Gas flow", "Polarity DCEP",
                 "Stick-out Electrode extension", "Lens shade at least 10"):  # fmt: skip
        assert name in tiles
    assert words(page, 'class="lead"').startswith("Trade practice, recalled, no printed source")


def test_what_the_card_asks_is_a_button_that_settles_it():
    page = opened(**MIG)
    assert words(page, 'class="ask"') == "Say next: Size (diameter)"
    assert "shown for 0.030 in until you say which" in words(page, 'class="lead"')
    asked = {b.label.replace("\\", ""): b for b in page.button if b.key.startswith("ask-card")}
    asked["0.035 in: 180 to 260 in/min"].click().run()
    assert page.text_input(key="diameter").value == "0.035 in"
    assert "until you say which" not in words(page, 'class="lead"')
    assert "220 in/min 180 to 260 · recalled" in words(page, 'class="tiles"')


def test_a_process_is_asked_only_for_what_it_has():
    for process, gone, there in (
        ("SMAW", {"gas", "transfer_mode", "tungsten"}, {"electrode", "diameter", "code"}),
        ("PAC", {"electrode", "transfer_mode", "position", "tungsten"}, {"gas"}),
        ("OFC", {"electrode", "polarity", "position"}, {"gas"}),
        ("GTAW", {"transfer_mode"}, {"tungsten", "gas", "polarity"}),
    ):
        page = opened(process=process, material="carbon steel", thickness="1/4 in")
        shown = keys(page, "selectbox") | keys(page, "text_input")
        assert not gone & shown, process
        assert there <= shown, process


@pytest.mark.parametrize("process", ["PAC", "OFC"])
def test_a_cut_shows_cutting_fields_and_never_preheat(process):
    page = opened(process=process, material="carbon steel", thickness="1/2 in")
    assert {"preheat", "interpass", "voltage"} & keys(page, "text_input") <= {"voltage"}
    assert "travel_speed" in keys(page, "text_input")
    said = words(page)
    assert "Arc energy" not in said
    assert "Lens shade" in said
    if process == "PAC":
        assert "Polarity" not in words(page, 'class="tiles"')


def test_another_process_empties_what_was_said_of_the_one_before():
    page = tap(opened(**POST, thickness="1/4 in", current="130 A"), process="GTAW")
    assert not page.selectbox(key="electrode").value
    assert page.text_input(key="diameter").value == ""
    assert page.text_input(key="current").value == ""
    assert page.text_input(key="thickness").value == "1/4 in"


def test_a_tap_on_what_is_chosen_takes_it_back():
    page = opened(**MIG)
    page.pills(key="tap-material").set_value(None).run()
    assert page.selectbox(key="material").value is None


def test_the_lines_that_fit_can_be_looked_through():
    page = opened(**POST, thickness="1/4 in")
    first = words(page, 'class="lead"')
    assert page.button(key="next-line").label == "Another line (1 of 3)"
    page.button(key="next-line").click().run()
    assert page.button(key="next-line").label == "Another line (2 of 3)"
    assert words(page, 'class="lead"') != first
    page.text_input(key="thickness").set_value("1/8").run()
    assert page.button(key="next-line").label.startswith("Another line (1 of")


def test_a_set_up_that_cannot_be_is_said_before_any_verdict():
    page = opened(process="GTAW", material="aluminium", thickness="1/8 in", gas="CO2", current="90")
    assert "Cannot be: No active gas on tungsten." in words(page, 'class="sense"')
    assert "Inside" not in words(page, 'class="verdict')


def test_a_value_stands_on_the_card_with_its_verdict():
    page = opened(**POST)
    page.text_input(key="current").set_value("200").run()
    assert page.text_input(key="current").value == "200 A"
    assert "Amps Current 200 A high 40 A; 110 to 160 · read" in words(page, 'class="tiles"')
    assert "Current 200 A Warning. High by 40 A" in words(page, 'class="verdict')


def test_the_lens_follows_the_current_that_is_set():
    assert "Lens shade at least 8, better 10 " in words(opened(**POST), 'class="tiles"') + " "
    high = words(opened(**POST, current="400 A"), 'class="tiles"')
    assert "Lens shade at least 11" in high


def test_a_bare_number_keeps_its_meaning_when_the_units_change():
    page = opened(**MIG)
    page.text_input(key="travel_speed").set_value("20").run()
    assert page.text_input(key="travel_speed").value == "20 in/min"
    page.radio(key="units").set_value("metric").run()
    assert "Travel speed 20 in/min" in words(page, 'class="verdict')


def test_what_the_trade_says_stands_alone_for_who_knows():
    page = opened(**MIG)
    page.radio(key="words").set_value("trade").run()
    tiles = words(page, 'class="tiles"')
    assert "Wire feed speed 235 in/min" in tiles
    assert "Wire speed" not in tiles
    assert bench(page) == "On the bench: GMAW, mild steel, 1/8 in"


def test_the_text_can_be_made_large():
    page = opened()
    page.radio(key="text").set_value("large").run()
    assert any("font-size: 22px" in element.proto.body for element in page.get("html"))


def test_heat_input_follows_with_and_without_k():
    page = opened(**POST, current="130 A", voltage="24 V")
    assert "Heat input needs travel speed, which is not set" in words(page, "around")
    page.text_input(key="travel_speed").set_value("6").run()
    said = words(page, "around")
    assert "Arc energy, without k: 31.2 kJ/in" in said
    assert "Heat input, k = 0.8: 25 kJ/in" in said


def test_the_ladder_opens_with_its_key():
    page = opened(**MIG)
    page.session_state["ladder-current"] = True
    ran(page)
    assert len(page.get("vega_lite_chart")) == 1
    assert "between the bars nothing is published" in words(page, 'class="key"')


def test_terms_with_published_rows_come_first():
    options = opened(process="SMAW").selectbox(key="electrode").options
    order = [o.split(":")[0] for o in options]
    assert order.index("E7018") < order.index("ER70S-6")
    page = opened(process="SMAW", electrode="ER70S-6")
    assert "No published row names this beside the rest" in words(page)


def test_every_quantity_of_a_card_has_a_field(store):
    processes = [row["term"] for row in store.rows("SELECT term FROM processes")]
    named = {quantity for process in processes for quantity in card_quantities(store, process)}
    assert named <= set(VALUES)


def test_every_tap_is_a_term(store):
    processes = {row["term"] for row in store.rows("SELECT term FROM processes")}
    metals = {row["term"] for row in store.rows("SELECT term FROM materials")}
    assert set(PROCESSES) <= processes
    assert set(METALS) <= metals


def test_every_word_of_the_strip_and_the_fields_was_translated(monkeypatch):
    lost = set()
    say = Words.say

    def strict(self, message, **values):
        if self.language == "es" and has_words(message) and message not in self.messages:
            lost.add(message)
        return say(self, message, **values)

    monkeypatch.setattr(Words, "say", strict)
    opened(**POST, thickness="1/4 in", current="200 A", preheat="60 F", language="es")
    opened(**MIG, current="60 A", language="es")
    assert Look(True, words_of("es")).condition("electrode_size") == ("Tamaño", "Diámetro")
    assert lost == set()
