"""A visitor of the settings page without a browser: it speaks the protocol that the page speaks.

A browser for each of 30 visitors would be measured itself. As the page does, a visitor keeps the
state of every field that is drawn, sends all of them with each change, and has its answer when the
server says that the script has finished.
"""

from __future__ import annotations

import re
import time
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetState
from websockets.asyncio.client import connect

SECONDS = 30.0
"""No answer may take longer."""


@dataclass(frozen=True)
class Drawn:
    """An element on the page: the fragment that draws it, its field's name, its words."""

    fragment: str
    name: str
    words: str


class Visitor:
    """One visit; what is on the page stands in `answer`, the address in `query`."""

    def __init__(self, host: str) -> None:
        self.host = host
        self.fields: dict[str, WidgetState] = {}
        self.on_page: dict[tuple[int, ...], Drawn] = {}
        self.query, self.page, self.received = "", "", 0

    async def __aenter__(self) -> Visitor:
        self._line = connect(
            f"ws://{self.host}/_stcore/stream", max_size=None, open_timeout=SECONDS,
            subprotocols=["streamlit"],
        )  # fmt: skip
        self._socket = await self._line.__aenter__()
        return self

    async def __aexit__(self, *error: Any) -> None:
        await self._line.__aexit__(*error)

    @property
    def answer(self) -> str:
        """Everything that can be read on the page."""
        return re.sub(r"<[^>]+>", " ", "".join(one.words for one in self.on_page.values()))

    async def type(self, name: str, text: str) -> float:
        """Type into a field and press Enter; return the seconds until the page is drawn."""
        self.fields[name].string_value = text
        return await self.ask(name)

    async def tap(self, name: str, text: str) -> float:
        """Choose one of a row of pills."""
        self.fields[name].string_array_value.data[:] = [text]
        return await self.ask(name)

    async def press(self, name: str) -> float:
        """Press a button, which is a state for this one time."""
        self.fields[name].trigger_value = True
        return await self.ask(name)

    async def ask(self, changed: str = "") -> float:
        """Send every field and wait for the answer; return the seconds that it took."""
        message = BackMsg()
        asked = message.rerun_script
        asked.query_string, asked.page_script_hash = self.query, self.page
        asked.fragment_id = next(
            (one.fragment for one in self.on_page.values() if changed and one.name == changed), ""
        )
        asked.widget_states.widgets.extend(
            state for state in self.fields.values() if state.WhichOneof("value")
        )
        asked.context_info.url = f"http://{self.host}/"
        began = time.perf_counter()
        await self._socket.send(message.SerializeToString())
        drawn = await self._answered()
        took = time.perf_counter() - began
        # What this run had to draw and did not is gone from the page.
        kept = {} if not asked.fragment_id else {
            path: one for path, one in self.on_page.items() if one.fragment != asked.fragment_id
        }  # fmt: skip
        self.on_page = dict(sorted({**kept, **drawn}.items()))
        names = {one.name for one in self.on_page.values()}
        self.fields = {name: state for name, state in self.fields.items() if name in names}
        return took

    async def _answered(self) -> dict[tuple[int, ...], Drawn]:
        """Take what the server sends until the script has finished."""
        drawn = {}
        while True:
            data = await self._socket.recv()
            self.received += len(data)
            got = ForwardMsg.FromString(data)
            kind = got.WhichOneof("type")
            if kind == "new_session":
                self.page = got.new_session.page_script_hash
            elif kind == "page_info_changed":
                self.query = got.page_info_changed.query_string
            elif kind == "delta" and got.delta.WhichOneof("type") == "new_element":
                what = got.delta.new_element.WhichOneof("type")
                assert what != "exception", got.delta.new_element
                element = getattr(got.delta.new_element, what or "empty")
                words = element.body if what == "html" and "<style>" not in element.body else ""
                drawn[tuple(got.metadata.delta_path)] = Drawn(
                    got.delta.fragment_id, self._field(what, element), words
                )
            elif kind == "script_finished":
                assert got.script_finished in (
                    ForwardMsg.FINISHED_SUCCESSFULLY,
                    ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY,
                )
                return drawn

    def said(self, name: str) -> str:
        """Return what the address says of a field."""
        return parse_qs(self.query).get(name, [""])[0]

    def _field(self, what: str, element: Any) -> str:
        """Hold a field as the page would: the server's value, else what was entered."""
        key = str(getattr(element, "id", "")).partition("-")[2].partition("-")[2]
        if not key:
            return ""
        state = self.fields.get(key)
        fresh = getattr(element, "set_value", False)
        if state is None or state.id != element.id or fresh or what == "button":
            state = WidgetState(id=element.id)
            if what == "text_input":
                state.string_value = element.value if fresh else element.default
            elif what == "button_group":
                state.string_array_value.data.extend(
                    element.raw_values
                    if fresh
                    else [element.options[n].content for n in element.default]
                )
            elif what in ("selectbox", "radio"):
                if fresh:
                    if element.HasField("raw_value"):
                        state.string_value = element.raw_value
                elif element.HasField("default"):
                    state.string_value = element.options[element.default]
        self.fields[key] = state
        return key
