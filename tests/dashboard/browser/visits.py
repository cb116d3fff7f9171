"""A visit in a real browser: what it asked for, what it complained about, what can be read."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.effort import ALL
from weldref.dashboard.page import PAGES, path_of

ARTEFACTS = Path(__file__).parents[3] / "test-artefacts"
WIDTHS = {390: 844, 1024: 768, 1920: 1080}
JOURNEYS = tuple(WIDTHS) if ALL else (1024,)
"""The widths at which a journey is made; at each other width its answer is looked at."""
ON_A_PHONE = tuple(WIDTHS) if ALL else (390,)
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
# A page that is opened by its own address looks for the server below that address first, and
# only then beside it. No setting turns that off; what the browser says of it is no fault.
NOT_FOUND = "Failed to load resource: the server responded with a status of 404 (Not Found)"
LOOKED_FOR = [
    f"/{path_of(title)}/_stcore/{name}"
    for title in PAGES.values()
    for name in ("health", "host-config")
]

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
  const texts = "p, li, dt, dd, td, th, h1, h2, h3, label, button, summary, cite, input";
  for (const e of document.querySelectorAll(texts)) {
    const words = (e.value || e.placeholder || e.textContent).trim();
    if (!words || e.disabled || !e.checkVisibility({visibilityProperty: true})) continue;
    // A slider's own input is for the keyboard alone; its words stand above the thumb, not on it.
    if (e.type === "range" || e.closest("[data-testid=stSliderThumbValue]")) continue;
    const style = e.tagName === "INPUT" && !e.value ? getComputedStyle(e, "::placeholder")
      : getComputedStyle(e);
    const [a, b] = [light(parse(style.color)), light(behind(e))];
    const ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    if (ratio < 4.5 && !e.closest(":disabled")) faint.push([e.tagName, words.slice(0, 40), ratio]);
  }
  return faint;
}"""
# Words of a chart that run out of it.
CUT_TEXT = """() => [...document.querySelectorAll("[data-testid=stVegaLiteChart] svg")].flatMap(
  svg => [...svg.querySelectorAll("text")].filter(text => {
    const [inner, outer] = [text.getBoundingClientRect(), svg.getBoundingClientRect()];
    return inner.width && (inner.left < outer.left - 1 || inner.right > outer.right + 1);
  }).map(text => text.textContent))"""
# Nothing moves or changes its size any more, for so many milliseconds. A chart or a grid hears of a
# new width last and is drawn again; a page without one is laid out at once.
SETTLED = """([still, drawn]) => new Promise((done, failed) => {
  const parts = "details, svg, canvas, [data-testid=stElementContainer], [data-testid=stMain]";
  const shape = () => [...document.querySelectorAll(parts)].map(part => {
    const box = part.getBoundingClientRect();
    return [box.x, box.y, box.width, box.height, part.scrollHeight];
  }).join();
  const moving = () => document.getAnimations().some(
    one => one.playState === "running" && one.effect?.getTiming().iterations !== Infinity);
  const begun = performance.now();
  let [last, since] = [shape(), begun];
  const look = () => {
    const [seen, now] = [shape(), performance.now()];
    if (seen !== last || moving()) [last, since] = [seen, now];
    const slow = document.querySelector("[data-testid=stVegaLiteChart], [data-testid=stDataFrame]");
    if (now - since >= (slow ? drawn : still)) done();
    else if (now - begun > 15000) failed(new Error("the page does not come to rest"));
    else setTimeout(look, 20);
  };
  look();
})"""
FOCUSED = """() => {
  const e = document.activeElement;
  const around = e.closest("[data-testid=stTextInputRootElement], [role=group]") || e;
  const own = getComputedStyle(e), outer = getComputedStyle(around);
  return {
    name: e.getAttribute("aria-label") || e.labels?.[0]?.textContent || e.textContent || "",
    ring: [own, outer].some(s => s.outlineStyle === "solid" && parseFloat(s.outlineWidth) >= 2),
  };
}"""


def chromium() -> str:
    """Find the browser; without one a test is skipped, save where every test has to run."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        reason = "no chromium: on Debian, 'apt-get install chromium'"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return path


@contextmanager
def launched() -> Iterator:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield browser
        browser.close()


class Visit:
    """A page with all that it asked for and complained about."""

    def __init__(self, browser, server, width=1024, place="", context=None):
        self.host, self.address = server.host, server.address
        self.shared = context is not None
        self.context = context or browser.new_context()
        self.page = self.context.new_page()
        self.page.set_viewport_size({"width": width, "height": WIDTHS[width]})
        self.page.set_default_timeout(15_000)
        self.narrow = width < 768
        self.hosts, self.complaints = set(), []
        self.page.on("request", lambda r: self.hosts.add(urlsplit(r.url).netloc or r.url[:20]))
        self.page.on("websocket", lambda s: self.hosts.add(urlsplit(s.url).netloc))
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda e: self.complaints.append(str(e)))
        self.open(place)

    def open(self, place):
        """Go to an address; the second in one visit need not load the program again."""
        self.page.goto(f"{self.address}/{place}")
        self.wait_until_drawn(30_000)

    def _heard(self, message):
        if message.type != "error":
            return
        where = urlsplit(message.location["url"])
        looked = where.netloc == self.host and where.path in LOOKED_FOR
        if not (looked and message.text == NOT_FOUND):
            self.complaints.append(f"{message.text} {message.location['url']}")

    def wait_until_drawn(self, most=15_000):
        """Wait for the foot of the page and until the server works no more."""
        self.page.wait_for_selector(".foot", timeout=most)
        self.page.wait_for_function(
            "document.querySelector('[data-testid=stApp]').dataset.testScriptState ==='notRunning'"
            " && !document.querySelector('[data-stale=true]')"
        )

    def wait_until_settled(self):
        """Wait until nothing moves: what folds has folded, charts have the width of the screen."""
        self.wait_until_drawn()
        self.page.evaluate(SETTLED, [150, 500])

    def enter(self, label, text):
        """Type into a field; not while the page is being drawn, which may move the field."""
        self.wait_until_drawn()
        field = self.page.get_by_label(label, exact=True)
        field.fill(text)
        field.press("Enter")

    def holds(self, label, text):
        """Wait until a field holds a text."""
        from playwright.sync_api import expect

        expect(self.page.get_by_label(label, exact=True)).to_have_value(text)

    def choose(self, label, typed, whole):
        """Pick from a list what typing a part of it leaves."""
        self.page.get_by_role("combobox", name=label).first.click()
        self.page.keyboard.type(typed)
        self.page.get_by_role("option", name=whole).first.click()

    def pick(self, label, option):
        """Pick from a short list; a list that a redraw closed is opened again."""
        from playwright.sync_api import TimeoutError as Late

        self.wait_until_drawn()
        for _ in range(10):
            self.page.get_by_role("combobox", name=label).click()
            try:
                choice = self.page.get_by_role("option", name=option, exact=True)
                choice.click(timeout=2000)
                break
            except Late:
                self.page.keyboard.press("Escape")
        shown = self.page.get_by_role("combobox", name=label)
        self.page.wait_for_function(
            "([field, text]) => (field.value || field.closest('[data-testid=stSelectbox]')"
            ".innerText).includes(text)",
            arg=[shown.element_handle(), option],
        )
        self.wait_until_drawn()

    def download_when(self, fits, name):
        """Press a button that downloads, again while the page is about to draw another one."""
        for _ in range(20):
            found = self.download(name)
            if fits(found[1]):
                return found
            self.wait_until_drawn()
        return found

    def wait_for(self, selector, text):
        self.page.locator(selector).filter(has_text=text).first.wait_for()

    def open_page(self, title):
        self.page.locator(".st-key-pages").get_by_role("link", name=title, exact=True).click()
        self.page.wait_for_selector(f"[class*=st-key-here-] >> text={title}")
        self.wait_until_drawn()

    def download(self, name, **options):
        """Press a button that downloads; return the file's name and content."""
        button = self.page.get_by_role("button", name=name, **options)
        with self.page.expect_download() as found:
            button.click()
        return found.value.suggested_filename, Path(found.value.path()).read_bytes()

    def legible(self):
        """Nothing is wider than the screen, too faint, or cut."""
        assert self.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert self.page.evaluate(FAINT_TEXT) == []
        assert self.page.evaluate(CUT_TEXT) == []
        assert self.page.get_by_text("Deploy").count() == 0

    def legible_at_each_width(self):
        """The same page is legible on a phone, a tablet and a desk's screen."""
        before = self.page.viewport_size
        for width, height in WIDTHS.items():
            self.page.set_viewport_size({"width": width, "height": height})
            self.wait_until_settled()
            self.legible()
        self.page.set_viewport_size(before)
        self.wait_until_settled()

    def accessible(self):
        """The axe engine, read from its package, finds nothing serious."""
        from axe_playwright_python.sync_playwright import Axe

        asked = {"resultTypes": ["violations"]}
        found = Axe().run(self.page, options=asked).response
        assert found["passes"], "nothing was looked at"
        assert [
            (one["id"], node["target"], node["html"][:200])
            for one in found["violations"]
            if one["impact"] in ("serious", "critical")
            for node in one["nodes"]
        ] == []

    def photograph(self, name):
        """Keep a picture of the whole page, which nothing is asked of, with every test."""
        if not ALL:
            return
        height = self.page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
        size = self.page.viewport_size
        whole = min(max(height, size["height"]), 8_000)
        self.page.set_viewport_size({"width": size["width"], "height": whole})
        ARTEFACTS.mkdir(exist_ok=True)
        self.page.screenshot(path=ARTEFACTS / f"{name}.png")
        self.page.set_viewport_size(size)

    def tab_to(self, name, most=90):
        """Go on with the Tab key until something of this name has the focus, and show it."""
        for _ in range(most):
            self.page.keyboard.press("Tab")
            focused = self.page.evaluate(FOCUSED)
            if focused["name"].strip() == name:
                assert focused["ring"], name
                return
        raise AssertionError(f"{name} is not reached with the Tab key")

    def close(self):
        (self.page if self.shared else self.context).close()
        assert self.hosts == {self.host}
        assert self.complaints == []
