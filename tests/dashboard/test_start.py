"""How the dashboard is started."""

import socket
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from weldref import dashboard
from weldref.errors import InputError


def test_a_port_that_is_taken_is_one_sentence():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=f"port {port} on 127.0.0.1 is taken.*--port"):
            dashboard.start("127.0.0.1", port)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_port_that_is_none_is_one_sentence(port):
    with pytest.raises(InputError, match="give 1 to 65535"):
        dashboard.start("127.0.0.1", port)


def test_an_address_that_is_none_is_one_sentence():
    with pytest.raises(InputError, match="is not an address"):
        dashboard.start("no such.address", 8501)


def test_a_missing_extra_is_named(monkeypatch):
    monkeypatch.setattr(dashboard, "find_spec", lambda _name: None)
    with pytest.raises(InputError, match=r"weldref\[app\]"):
        dashboard.start()


def test_nothing_is_sent_and_nothing_is_offered_to_deploy():
    words = dashboard.command("127.0.0.1", 8501)
    flags = dict(zip(words[5::2], words[6::2], strict=True))
    assert flags["--server.address"] == "127.0.0.1"
    assert flags["--browser.gatherUsageStats"] == "false"
    assert flags["--client.toolbarMode"] == "minimal"
    assert flags["--server.headless"] == "true"
    assert flags["--server.fileWatcherType"] == "none"


def test_streamlit_run_starts_with_the_same_settings():
    """``streamlit run app.py`` reads the file in the project's folder."""
    file = Path(__file__).parents[2] / ".streamlit" / "config.toml"
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    said = {
        f"{table}.{key}": value for table, keys in tables.items() for key, value in keys.items()
    }
    words = {name: v if isinstance(v, str) else str(v).lower() for name, v in said.items()}
    assert words == {**dashboard.FLAGS, "server.address": "127.0.0.1"}


def test_importing_it_loads_nothing_heavy():
    code = (
        "import sys, weldref.dashboard;"
        "print([m for m in ('streamlit', 'altair', 'pandas', 'duckdb') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("ci", "display", "opens"), [("", ":0", True), ("true", ":0", False), ("", "", False)]
)
def test_a_browser_opens_only_where_there_is_a_screen(monkeypatch, ci, display, opens):
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("CI", ci)
    monkeypatch.setenv("DISPLAY", display)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert dashboard._has_screen() is opens
