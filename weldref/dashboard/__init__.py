"""Start the dashboard, on this machine alone unless told otherwise.

This module only starts it, and imports nothing heavy: the command line imports it.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time
import webbrowser
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from http.client import HTTPConnection, HTTPException
from importlib.util import find_spec
from pathlib import Path
from types import FrameType

from weldref.data.own import OwnTables
from weldref.data.store import open_tables
from weldref.errors import InputError

SECONDS_TO_START = 30.0

FLAGS = {
    "server.headless": "true",  # we open the browser ourselves, once the port answers
    "server.fileWatcherType": "none",
    "browser.gatherUsageStats": "false",
    # A full collection after each change took two thirds of the server's time with a class on it;
    # Python collects by itself, and memory stays as it was.
    "runner.postScriptGC": "false",
    "client.toolbarMode": "minimal",
    "client.showErrorDetails": "none",
    # Its banner would look up this machine's public address on the network.
    "logger.hideWelcomeMessage": "true",
    "theme.base": "light",
    "theme.primaryColor": "#1d4f6b",
    "theme.backgroundColor": "#ffffff",
    "theme.secondaryBackgroundColor": "#f2f5f7",
    "theme.textColor": "#1f2933",
    "theme.borderColor": "#7b8794",
    "theme.showWidgetBorder": "true",
}


def start(address: str = "127.0.0.1", port: int = 8501, own: OwnTables | None = None) -> int:
    """Run the dashboard until it is stopped, and open it in the user's browser.

    Returns the exit code: 0 when it was stopped with Ctrl+C. Raises `InputError` if Streamlit is
    not installed or the address cannot be listened on.
    """
    missing = [name for name in ("streamlit", "altair", "pypdfium2") if find_spec(name) is None]
    if missing:
        raise InputError(
            f"dashboard: {' and '.join(missing)} not installed; "
            "install the extra: pip install 'weldref[app]'"
        )
    check_free(address, port)
    if own:
        open_tables(own)  # a row that is not accepted is reported here, not on a page
    url = address_of(address, port)
    told = {"WELDREF_TABLES": str(own.folder), "WELDREF_TABLES_MODE": own.mode} if own else {}
    with _stopped_like_ctrl_c():
        server = subprocess.Popen(  # noqa: S603  our own module, no shell
            command(address, port), env={**os.environ, **told}
        )
        try:
            if _answers(server, address, port):
                print(f"weldref: dashboard at {url} (stop with Ctrl+C)", flush=True)
                if _has_screen():
                    webbrowser.open(url)
            return server.wait()
        except KeyboardInterrupt:
            return 0
        finally:
            _stop(server)


def command(address: str, port: int) -> list[str]:
    """Write the command that runs Streamlit on the dashboard's page."""
    flags = {**FLAGS, "server.address": address, "server.port": str(port)}
    entry = Path(__file__).with_name("entry.py")
    return [
        *(sys.executable, "-m", "streamlit", "run", str(entry)),
        *(part for name, value in flags.items() for part in (f"--{name}", value)),
    ]


def check_free(address: str, port: int) -> None:
    """Make sure that the address can be listened on.

    >>> check_free("127.0.0.1", 0)
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: dashboard: port 0 is not accepted; give 1 to 65535
    """
    if not 1 <= port <= 65535:
        raise InputError(f"dashboard: port {port} is not accepted; give 1 to 65535")
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(
            address, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except (OSError, UnicodeError):
        raise InputError(f"dashboard: '{address}' is not an address of this machine") from None
    with socket.socket(family, kind, protocol) as trial:
        # As the server does: a port that was closed a moment ago counts as free.
        if os.name == "posix":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(place)
        except PermissionError:
            raise InputError(f"dashboard: port {port} needs rights you do not have") from None
        except OverflowError:
            raise InputError(f"dashboard: port {port} is not accepted") from None
        except OSError:
            raise InputError(
                f"dashboard: port {port} on {address} is taken or not of this machine; "
                "give another with --port"
            ) from None


def address_of(address: str, port: int) -> str:
    """Write the address that a browser on this machine opens.

    >>> address_of("0.0.0.0", 8501), address_of("::1", 8501)
    ('http://127.0.0.1:8501', 'http://[::1]:8501')
    """
    host = _host(address)
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def _answers(server: subprocess.Popen[bytes], address: str, port: int) -> bool:
    """Wait until the server is up; False if it ended or takes too long."""
    end = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < end and server.poll() is None:
        # An open port is not enough: the server listens before it is ready to answer or stop.
        connection = HTTPConnection(_host(address), port, timeout=1)
        with closing(connection), suppress(OSError, HTTPException):
            connection.request("GET", "/_stcore/health")
            if connection.getresponse().status == 200:
                return True
        time.sleep(0.05)
    return False


def _host(address: str) -> str:
    """Name the address by which this machine reaches a server that listens on all."""
    return {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(address, address)  # noqa: S104


def _has_screen() -> bool:
    """Tell whether opening a browser makes sense here."""
    if os.environ.get("CI"):
        return False
    if sys.platform.startswith("linux"):
        # Without a screen, webbrowser may start a text browser in the user's terminal.
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True


@contextmanager
def _stopped_like_ctrl_c() -> Iterator[None]:
    """Treat a request to terminate like Ctrl+C, so that the server stops too."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _stop(server: subprocess.Popen[bytes]) -> None:
    if server.poll() is None:
        server.terminate()
        try:
            server.wait(timeout=5)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()
