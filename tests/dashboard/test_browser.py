"""The student's job in a real browser, from the first click to the verdict."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import urlsplit

import pytest

pytestmark = pytest.mark.browser

ARTEFACTS = Path(__file__).parents[2] / "test-artefacts"
WIDTHS = {390: 844, 1024: 768, 1920: 1080}
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
CHART = "[data-testid=stVegaLiteChart] svg"
# Everything that a reader must be able to read: its colour against what lies behind it.
FAINT_TEXT = """() => {
  const parse = c => [...c.match(/[\\d.]+/g).map(Number), 1].slice(0, 4);
  const light = c => c.slice(0, 3).map(v => v / 255)
    .map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [.2126, .7152, .0722][i], 0);
  const behind = e => {
    for (; e; e = e.parentElement) {
      const c = parse(getComputedStyle(e).backgroundColor);
      if (c[3] === 1) return c;
    }
    return [255, 255, 255, 1];
  };
  const faint = [];
  const texts = "p, li, h1, h2, h3, label, button, summary, cite, input";
  for (const e of document.querySelectorAll(texts)) {
    const words = (e.value || e.placeholder || e.textContent).trim();
    if (!words || !e.checkVisibility({visibilityProperty: true})) continue;
    // A slider's own input is for the keyboard alone; its words stand above the thumb, not on it.
    if (e.type === "range" || e.closest("[data-testid=stSliderThumbValue]")) continue;
    const style = e.tagName === "INPUT" && !e.value ? getComputedStyle(e, "::placeholder")
      : getComputedStyle(e);
    const [a, b] = [light(parse(style.color)), light(behind(e))];
    const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    if (ratio < 4.5) faint.push([e.tagName, words.slice(0, 40), ratio]);
  }
  return faint;
}"""


# Words of a chart that run out of it.
CUT_TEXT = """() => [...document.querySelectorAll("[data-testid=stVegaLiteChart] svg")].flatMap(
  svg => [...svg.querySelectorAll("text")].filter(text => {
    const [inner, outer] = [text.getBoundingClientRect(), svg.getBoundingClientRect()];
    return inner.width && (inner.left < outer.left - 1 || inner.right > outer.right + 1);
  }).map(text => text.textContent))"""


def chromium():
    path = shutil.which("chromium")
    if path is None:
        reason = "no chromium: on Debian, 'apt-get install chromium'"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return path


@pytest.fixture(scope="module")
def address():
    """The dashboard as users start it, on a free port of this machine only."""
    chromium()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with subprocess.Popen(
        [sys.executable, "-m", "weldref", "dashboard", "--port", str(port)],
        env={**os.environ, "CI": "true"},  # opens no browser of its own
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as server:
        try:
            said = server.stdout.readline()
            assert f"http://127.0.0.1:{port}" in said
            yield f"http://127.0.0.1:{port}"
        finally:
            server.send_signal(signal.SIGTERM)
            server.communicate(timeout=20)
    assert server.returncode == 0
    # The server that was started for us has stopped with it.
    with socket.socket() as trial:
        assert trial.connect_ex(("127.0.0.1", port)) != 0


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()


class Visit:
    """A page with all that it asked for and complained about."""

    def __init__(self, browser, address, width=1024):
        self.context = browser.new_context(viewport={"width": width, "height": WIDTHS[width]})
        self.page = self.context.new_page()
        self.hosts, self.complaints = set(), []
        self.page.on("request", lambda r: self.hosts.add(urlsplit(r.url).netloc))
        self.page.on("websocket", lambda s: self.hosts.add(urlsplit(s.url).netloc))
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda e: self.complaints.append(str(e)))
        self.host = urlsplit(address).netloc
        self.page.goto(address)
        self.page.wait_for_selector(CHART, timeout=30_000)

    def _heard(self, message):
        if message.type == "error":
            self.complaints.append(message.text)

    def enter(self, label, text):
        field = self.page.get_by_label(label, exact=True)
        field.fill(text)
        field.press("Enter")

    def wait_for(self, selector, text):
        self.page.locator(selector).filter(has_text=text).first.wait_for(timeout=10_000)

    def photograph(self, name):
        height = self.page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
        size = self.page.viewport_size
        self.page.set_viewport_size({"width": size["width"], "height": max(height, size["height"])})
        ARTEFACTS.mkdir(exist_ok=True)
        self.page.screenshot(path=ARTEFACTS / f"{name}.png")
        self.page.set_viewport_size(size)


@pytest.fixture
def visit(browser, address):
    visits = []

    def start(width=1024):
        visits.append(Visit(browser, address, width))
        return visits[-1]

    yield start
    for made in visits:
        made.context.close()
        assert made.hosts == {made.host}
        assert made.complaints == []


@pytest.mark.parametrize("width", WIDTHS)
def test_the_first_click_to_the_verdict(visit, width):
    at = visit(width)
    at.wait_for(".verdict.inside .word", "Inside")
    drawn = at.page.locator(f"{CHART} [aria-roledescription='rect mark']")
    assert "110 to 160 A" in drawn.first.get_attribute("aria-label")
    assert "Machinery's Handbook" in at.page.locator(".rows").first.text_content()
    at.photograph(f"first-visit-{width}")
    at.enter("Current", "250")
    at.wait_for(".verdict.outside .word", "High by 90 A")
    at.wait_for(CHART, "yours: 250 A")
    assert at.page.locator(".cautions").is_visible()
    assert at.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert at.page.evaluate(FAINT_TEXT) == []
    assert at.page.evaluate(CUT_TEXT) == []
    assert at.page.get_by_text("Deploy").count() == 0
    at.photograph(f"too-high-{width}")


def test_a_phone_opens_the_situation(visit):
    at = visit(390)
    button = at.page.get_by_test_id("stExpandSidebarButton")
    button.click()
    at.enter("Thickness", "thick")
    at.wait_for(".problem", "'thick' is not a number with a unit")
    at.wait_for(".empty", "No answer until that is mended")
    at.enter("Thickness", "10 ga")
    at.wait_for(".situation", "10 gauge thick")
    at.photograph("situation-390")


def test_what_a_list_offers_may_be_typed(visit):
    at = visit()
    for field, typed, reads in (
        ("process", "gas tung", "For GTAW"),
        ("material", "A36", "A36"),
        ("electrode", "E9018-G", "E9018-G"),
    ):
        box = at.page.locator(f".st-key-{field} input")
        box.click()
        box.fill(typed)
        at.page.keyboard.press("Enter")
        at.wait_for(".situation", reads)


def test_each_example_gives_its_kind_of_answer(visit):
    at = visit()
    for example, look, word in (
        ("Wide bracket", "outside", "Low by 10 A"),
        ("Small bracket", "none", "No published range"),
        ("Ramp", "inside", "Inside"),
        ("Handrail post", "inside", "Inside"),
    ):
        at.page.get_by_role("button", name=example, exact=True).click()
        at.wait_for(f".verdict.{look} .word", word)
        at.page.wait_for_timeout(500)  # until the charts of the last answer are gone
        at.photograph(f"example-{example.lower().replace(' ', '-')}-1024")
    at.page.get_by_role("button", name="Clear", exact=True).click()
    at.wait_for(".empty", "Say what is on the bench")


def test_what_else_is_published_opens(visit):
    at = visit()
    before = at.page.locator(CHART).count()
    at.page.get_by_text("What else is published for this weld").click()
    at.page.wait_for_function(
        f"document.querySelectorAll({json.dumps(CHART)}).length > {before}", timeout=10_000
    )
    assert at.page.evaluate(FAINT_TEXT) == []


def test_who_uses_the_keyboard_sees_where_they_are(visit):
    at = visit()
    at.page.get_by_role("button", name="Ramp", exact=True).focus()
    at.page.keyboard.press("Tab")
    ring = at.page.evaluate(
        "(() => { const s = getComputedStyle(document.activeElement);"
        " return [s.outlineStyle, s.outlineWidth] })()"
    )
    assert ring == ["solid", "3px"]
    for field in ("Current", "Thickness"):
        at.page.get_by_label(field, exact=True).focus()
        around = at.page.evaluate(
            "getComputedStyle(document.activeElement.closest("
            "'[data-testid=stTextInputRootElement]')).outlineWidth"
        )
        assert around == "3px"


def test_on_paper_the_fields_are_gone_and_the_sources_open(visit):
    at = visit()
    at.page.emulate_media(media="print")
    assert not at.page.get_by_label("Current", exact=True).is_visible()
    assert at.page.locator(".verdict").is_visible()
    assert at.page.locator("details .rows").first.is_visible()
    at.page.pdf(path=ARTEFACTS / "printed.pdf", format="Letter")


def test_each_change_is_redrawn(visit):
    """Not a timing test: what it took goes to a file."""
    at = visit()
    took = []
    for current in range(131, 137):
        began = time.perf_counter()
        at.enter("Current", str(current))
        at.wait_for(CHART, f"yours: {current} A")
        took.append(round(1000 * (time.perf_counter() - began)))
    ARTEFACTS.mkdir(exist_ok=True)
    (ARTEFACTS / "redraw-ms.json").write_text(json.dumps(took))
