"""One dashboard and one browser for all tests; each test has visits of its own."""

from __future__ import annotations

import re

import pytest

from tests.dashboard.browser.visits import ARTEFACTS, Visit, chromium
from tests.dashboard.server import running_dashboard


@pytest.fixture(scope="session")
def left(tmp_path_factory):
    """The folder that the server takes for passing files."""
    return tmp_path_factory.mktemp("passing")


@pytest.fixture(scope="session")
def server(left):
    chromium()
    with running_dashboard({"TMPDIR": str(left)}) as running:
        yield running


@pytest.fixture(scope="session")
def context(browser):
    """What visits share: the program of the page, which is loaded and compiled once."""
    made = browser.new_context()
    yield made
    made.close()


@pytest.fixture
def visit(browser, server, context, request):
    """Start visits; how each looked when its test ended stays as a picture."""
    visits = []

    def start(width=1024, place=""):
        visits.append(Visit(browser, server, width, place, context))
        return visits[-1]

    yield start
    ARTEFACTS.mkdir(exist_ok=True)
    test = re.sub(r"\W+", "-", request.node.name.removeprefix("test_")).strip("-")
    for number, made in enumerate(visits):
        made.page.screenshot(path=ARTEFACTS / f"last-{test}{number or ''}.png")
        made.close()
