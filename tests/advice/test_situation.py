"""The public situation: what it prints, and that it asks what the functions ask."""

from __future__ import annotations

import pytest

import weldref
from weldref.errors import InputError

BENCH = {"process": "GMAW", "material": "mild steel", "diameter": ".035", "thickness": "1/8"}
STICK = {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}


def lines(shown: object) -> list[str]:
    return repr(shown).splitlines()


def test_everything_prints_in_three_lines() -> None:
    bench = weldref.Situation(**STICK)
    assert lines(bench)[0] == "situation: SMAW, E7018, 1/8 in"
    assert "current" in lines(bench)[1]
    assert lines(bench)[2].startswith("dataset ")
    answer = bench.check(current=250, voltage=22)
    assert lines(answer)[:2] == [
        "high: SMAW, E7018, 1/8 in",
        f"current 250 A: high by 90 A (near, read); {lines(bench.check(voltage=22))[1]}",
    ]
    card = bench.card()
    assert lines(card)[0] == "card: SMAW, E7018, 1/8 in"
    assert lines(card)[1].startswith("current 110 to 160 A (read)")
    assert [len(lines(shown)) for shown in (bench, answer, card)] == [3, 3, 3]


def test_the_third_line_helps_on() -> None:
    """The question; what is recalled where nothing is printed; else what no verdict says."""
    depends = weldref.check(process="SMAW", electrode="E7018", current=130)
    assert depends.ask is not None
    assert depends.ask.condition == "electrode_size"
    assert lines(depends)[2].startswith("which diameter? ")
    inside = weldref.check(**STICK, current=130)
    assert inside.ask is None
    assert lines(inside)[2].startswith("Inside a published range is not safe")
    recalled = weldref.check(**BENCH, transfer_mode="spray", current=200)
    assert recalled.verdict == "no published range"
    assert lines(recalled)[2].startswith("trade practice, recalled, no printed source: ")
    wrong = weldref.check(process="GTAW", gas="CO2", current=100)
    assert lines(wrong)[2] == "no verdict: no published range is for such a set-up"


def test_a_notebook_shows_tables_with_cautions_and_escapes_what_was_typed() -> None:
    bench = weldref.Situation(**STICK, thickness="1/4")
    for shown in (bench, bench.check(current=250), bench.card(current=250)):
        page = shown._repr_html_()
        assert page.startswith("<table><caption>")
        assert page.count("<table>") == page.count("</table>") == 1
    page = bench.check(current=250)._repr_html_()
    assert "high by 90 A" in page
    assert "Machinery&#x27;s Handbook" in page
    assert "is not safe, qualified or sound" in page
    odd = weldref.Situation(diameter="1/8", thickness='0.25"')
    assert "0.25&quot; thick" in odd._repr_html_()


def test_it_asks_what_the_functions_ask() -> None:
    bench = weldref.Situation(**BENCH, grade="read")
    assert bench.check(current=180) == weldref.check(**BENCH, grade="read", current=180)
    assert bench.card(line=1, current=180) == weldref.bench(**BENCH, grade="read", current=180)


def test_bad_input_is_one_sentence() -> None:
    for call, sentence in (
        (lambda: weldref.Situation(procces="GMAW"), "situation: 'procces' is not a condition"),  # type: ignore[call-arg]
        (lambda: weldref.Situation(grade="hearsay"), "grade: 'hearsay'"),
        (lambda: weldref.Situation(process="alchemy"), "'alchemy'"),
        (lambda: weldref.Situation().card(), "process: a card needs one"),
        (lambda: weldref.Situation(**STICK).check(), "no value to check"),
        (lambda: weldref.Situation(**STICK).ranges("current", units="cgs"), "units: 'cgs'"),  # type: ignore[arg-type]
        (lambda: weldref.Situation(**STICK).ranges("colour"), "'colour'"),
    ):
        with pytest.raises(InputError) as caught:
            call()  # type: ignore[no-untyped-call]
        assert sentence in str(caught.value)
        assert "\n" not in str(caught.value)
