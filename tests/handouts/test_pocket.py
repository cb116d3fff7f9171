"""The pocket page: what its own script says of a value is what `weldref.check` says."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.dashboard.browser.visits import FAINT_TEXT
from tests.effort import times
from weldref.cli import main
from weldref.core.check import check_situation, read_value
from weldref.core.situation import Situation, describe
from weldref.core.units import Units
from weldref.data.own import OwnTables
from weldref.data.store import Store, open_tables
from weldref.errors import InputError
from weldref.handouts.pocket import LARGEST, listed_situations, pocket_page
from weldref.handouts.words import LANGUAGES
from weldref.text import verdict_word

CLASS = """process,material,electrode,diameter,thickness,gas,polarity,code
SMAW,A36,E7018,1/8,1/4,,,
SMAW,A36,E7018,1/8,3/4,,,AWS D1.1
SMAW,A36,,,1/8,,,
GMAW,mild steel,,,1/8,,,
GMAW,mild steel,,0.035,3/16,75/25,,
GMAW,304,,,3/16,,,
FCAW,A36,E71T-1C,0.045,1/4,,,
GTAW,aluminium,,,1/8,argon,AC,
GTAW,304,,3/32,1/8,argon,DCEN,
GTAW,mild steel,,,1/8,CO2,,
SMAW,mild steel,,,0.05,,,
OFC,mild steel,,,1/4,C2H2,,
OFW,mild steel,,,1/8,,,
PAC,304,,,1/4,,,
"""
ABSURD = (
    "abc", "1e9", "-5", "1/0", "1,200", "130 in", "NaN", "Infinity", "0x10", "1e400", "--5",
    "1 2 3", "130 xyz", "1.2.3", "1;2", "<b>1</b>", "9" * 100,
)  # fmt: skip
FINE = (
    "130", " 130 ", "130.5", "130,5", ",5", "1/8", "1-1/2", "1 1/2", "\u00bd",
    "\u00be in", "1\u00bd", "12,7 mm", "250 in/min", "250in/min",
    "6.4 m/min", "35 CFH", "35 cfh.", "12 l/min", "3 mm", "120 C", "250 \u00b0F", '3/8"', "15 psi",
    "1 bar",
)  # fmt: skip


@pytest.fixture(scope="module")
def situations(store: Store, tmp_path_factory: pytest.TempPathFactory) -> tuple[Situation, ...]:
    path = tmp_path_factory.mktemp("pocket") / "class.csv"
    path.write_text(CLASS, encoding="utf-8")
    return listed_situations(store, path, "us")


def opened(browser: Any, made: bytes, folder: Path) -> Any:
    """Open the page as a file, and fail on anything that it asks for or complains about."""
    path = folder / "class.html"
    path.write_bytes(made)
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda message: page.asked.append(message.text))
    page.on("pageerror", lambda error: page.asked.append(str(error)))
    page.goto(path.as_uri())
    assert page.asked == [path.as_uri()]
    return page


@pytest.fixture(scope="module")
def page(store: Store, browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    folder = tmp_path_factory.mktemp("page")
    (folder / "class.csv").write_text(CLASS, encoding="utf-8")
    made = pocket_page(store, {}, situations=folder / "class.csv", title="A <b> & class")
    assert len(made) < LARGEST
    shown = opened(browser, made, folder)
    yield shown
    shown.close()


ASKED = """cases => cases.map(([place, text, unit]) => judge(data.quantities[place], text, unit))"""
QUANTITIES = """() => [...document.querySelectorAll(".card")].map(card =>
  [...card.querySelectorAll(".yours")].map(entry => Number(entry.dataset.quantity)))"""

CHOSEN = """number => {
  const entry = document.querySelector(`[data-quantity='${number}']`);
  const select = entry.querySelector("select");
  return select ? select.value : entry.querySelector(".unit").dataset.unit;
}"""


def fields(page: Any, situations: tuple[Situation, ...]) -> list[tuple[Situation, int, str, Any]]:
    """Each field of the page: its situation, its number, and what the page knows of it."""
    data = json.loads(page.inner_text("#data"))
    return [
        (situation, number, data["quantities"][number]["name"], data)
        for situation, numbers in zip(situations, page.evaluate(QUANTITIES), strict=True)
        for number in numbers
    ]


def near_edges(data: Any, number: int, pick: random.Random) -> float:
    """A value in SI: anywhere, or at an edge of the published ranges, or beside one."""
    quantity = data["quantities"][number]
    low, high = quantity["limits"]
    steps = data["profiles"][pick.choice(list(quantity["profiles"].values()))]
    if pick.random() < 0.5 and len(steps) > 1:
        return float(pick.choice(steps[1:])[0]) * pick.choice(
            (1, 1, 1 + 1e-6, 1 - 1e-6, 1.02, 0.98)
        )
    edges = [step[0] for step in steps] + [steps[-1][0] * 1.5]
    return min(max(pick.uniform(min(edges), max(edges)), low), high)


def test_values_are_judged_as_check_judges_them(
    store: Store, page: Any, situations: tuple[Situation, ...]
) -> None:
    pick = random.Random(16)  # noqa: S311  drawn alike each time
    units, cases, expected = Units(store), [], []
    known = fields(page, situations)
    for _ in range(times(800, 2000)):
        situation, number, name, data = pick.choice(known)
        kind = data["dimensions"][data["quantities"][number]["dimension"]]
        unit = pick.choice(sorted(kind["units"]))
        text = f"{units.convert(near_edges(data, number, pick), unit):.6g}"
        cases.append((number, text, unit))
        expected.append((situation, name.replace(" ", "_"), f"{text} {unit}"))
    words = set()
    answers = page.evaluate(ASKED, cases)
    for told, (situation, quantity, text) in zip(answers, expected, strict=True):
        try:
            (reading,) = check_situation(store, situation, {quantity: text}).readings
        except InputError as error:
            assert told["refused"] == str(error)
            continue
        assert told.get("word") == reading.verdict, (situation, text, told, reading.verdict)
        words.add(reading.verdict)
        if reading.verdict in ("low", "high"):
            assert float(told["by"]) == pytest.approx(reading.by, rel=1e-5), (situation, text)
        if reading.ask:
            (asked,) = [one for one in told["says"] if one.startswith("Which ")][-1:]
            for answer in reading.ask.answers:
                assert f"{answer.value}: {answer.verdict}" in asked
        if reading.held_back:
            assert told["says"][0] == "No verdict: nothing passes in this set-up."
        elif reading.verdict == "no published range" and reading.from_memory:
            recalled = reading.from_memory
            one = recalled.ask.answers if recalled.ask else ()
            if len(one) == 1:
                assert f" for {one[0].value}: {one[0].verdict}." in told["says"][0], (
                    quantity,
                    text,
                )
            elif recalled.rows:
                assert f"says: {recalled.verdict}." in told["says"][0], (situation, text)
    assert len(words) >= 5


def test_a_value_is_read_and_refused_as_check_does(
    store: Store, page: Any, situations: tuple[Situation, ...]
) -> None:
    for situation, number, name, _ in fields(page, situations)[:: times(8, 3)]:
        unit = page.evaluate(CHOSEN, number)
        for text in (*ABSURD, *FINE):
            (told,) = page.evaluate(ASKED, [(number, text, unit)])
            try:
                read_value(store, name, text, situation.units)
            except InputError as error:
                assert told.get("refused") == str(error), (name, text)
            else:
                assert "refused" not in told, (name, text, told)


def test_what_a_student_sees(page: Any) -> None:
    """The refusal, the word and the question stand below the field; nothing runs out of view."""
    assert page.inner_text("h1") == "A <b> & class"
    shown = page.locator(".card:not([hidden])")
    assert shown.count() == 1
    page.select_option("#choice select >> nth=0", "GTAW")
    assert "GTAW" in shown.locator("h2").inner_text()
    for label in page.locator("#choice label:visible").all():
        assert label.locator("option").count() > 1  # what leaves no choice is not asked
    page.reload()
    entry = shown.locator(".yours").first
    for text, word in (
        ("250", "high by 90 A"),
        ("130", "inside"),
        ("x", "is not a number"),
        ("", ""),
    ):
        entry.locator("input").fill(text)
        assert word in entry.locator(".said").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.evaluate(FAINT_TEXT) == []
    assert "Inside a published range is not safe" in page.inner_text(".box")
    assert shown.locator(".cautions li").count() > 5
    assert shown.locator(".sources li").count() > 5


def test_the_page_is_accessible(page: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_it_fits_a_phone_in_every_other_language(
    store: Store, browser: Any, tmp_path: Path, language: str
) -> None:
    said = {"process": ["SMAW", "GMAW", "OFC"], "material": "A36", "thickness": "1/4"}
    made = pocket_page(store, said, language=language)
    shown = opened(browser, made, tmp_path)
    assert shown.get_attribute("html", "lang") == language
    for process in ("SMAW", "GMAW", "OFC"):
        shown.select_option("#choice select >> nth=0", process)
        assert shown.evaluate("document.documentElement.scrollWidth") <= 390
    shown.close()


def test_own_rows_say_their_own_word(beside: OwnTables, browser: Any, tmp_path: Path) -> None:
    store = open_tables(beside)
    said = {"process": "GMAW", "material": "mild steel"}
    shown = opened(browser, pocket_page(store, said), tmp_path)  # type: ignore[arg-type]
    situation = describe(store, **said)  # type: ignore[arg-type]
    told_by_own = 0
    for _, number, name, _ in fields(shown, (situation,)):
        for text in ("5", "20", "90", "150", "400") if name == "current" else ():
            (told,) = shown.evaluate(ASKED, [(number, text, "A")])
            (reading,) = check_situation(store, situation, {name: text}).readings
            assert told["word"] == reading.verdict
            if reading.from_own:
                word = verdict_word(reading.from_own.verdict, own=True)
                assert any(f"change no verdict, say: {word}." in one for one in told["says"])
                told_by_own += 1
    assert told_by_own
    shown.close()


def test_all_of_it_can_be_read_without_a_script(store: Store) -> None:
    made = pocket_page(store, {"process": "SMAW", "electrode": "E7018", "diameter": "1/8"}).decode()
    assert "http" not in re.sub(r"default-src.*?\"", "", made).replace("http-equiv", "")
    assert 'class="card" hidden' not in made
    assert "110 to 160 A" in made


def test_a_page_that_is_too_large_is_refused(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("weldref.handouts.pocket.LARGEST", 10_000)
    with pytest.raises(
        InputError, match=r"situations: 1; they make a page of \d+ kB; choose fewer"
    ):
        pocket_page(store, {"process": "OFC", "thickness": "1/4"})


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--process", "GMAW", "-o", "{folder}/class.pdf"], "--output"),
        (["--process", "GMAW", "-o", "{folder}/none/class.html"], "--output"),
        (["-o", "{folder}/class.html"], "nothing is chosen"),
        (["--material", "A36", "-o", "{folder}/class.html"], "process"),
        (["--situations", "{folder}/none.csv", "-o", "{folder}/class.html"], "--situations"),
        (["--situations", "{folder}/odd.csv", "-o", "{folder}/class.html"], "line 3"),
        (["--situations", "{folder}/columns.csv", "-o", "{folder}/class.html"], "'metal'"),
        (["--situations", "{folder}/empty.csv", "-o", "{folder}/class.html"], "0 situations"),
        (["--language", "xx", "--process", "GMAW", "-o", "{folder}/class.html"], "--language"),
    ],
)
def test_bad_input_is_one_sentence(
    arguments: list[str], word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.csv").write_text("process,thickness\nGMAW,1/8\nGMAW,thick\n", encoding="utf-8")
    (tmp_path / "columns.csv").write_text("process,metal\nGMAW,A36\n", encoding="utf-8")
    (tmp_path / "empty.csv").write_text("process\n", encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    filled = [argument.format(folder=tmp_path) for argument in arguments]
    assert main(["pocket", *filled]) == 2
    err = capsys.readouterr().err
    assert err.startswith("weldref: ")
    assert err.count("\n") == 1
    assert word in err
    assert sorted(tmp_path.iterdir()) == before
