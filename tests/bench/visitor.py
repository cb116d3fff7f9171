"""A visitor of the settings page without a browser: it speaks the protocol that the page speaks.

A browser for each of 30 visitors would be measured itself. As the page does, a visitor keeps the
state of every field that is drawn, sends all of them with each change, and has its answer when the
server says that the script has finished.
"""

from __future__ import annotations

import re
import time
from typing import Any
from urllib.parse import parse_qs

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetState
from websockets.asyncio.client import connect

SECONDS = 30.0
"""No answer may take longer."""


class Visitor:
    """One visit; what was answered last stands in `answer`, the address in `query`."""

    def __init__(self, host: str) -> None:
        self.host = host
        self.fields: dict[str, WidgetState] = {}
        self.query, self.page, self.answer = "", "", ""

    async def __aenter__(self) -> Visitor:
        self._line = connect(
            f"ws://{self.host}/_stcore/stream", max_size=None, open_timeout=SECONDS,
            subprotocols=["streamlit"],
        )  # fmt: skip
        self._socket = await self._line.__aenter__()
        return self

    async def __aexit__(self, *error: Any) -> None:
        await self._line.__aexit__(*error)

    async def type(self, name: str, text: str) -> float:
        """Type into a field and press Enter; return the seconds until the page is drawn."""
        self._field(name).string_value = text
        return await self.ask()

    async def turn(self, name: str, value: float) -> float:
        """Turn a dial."""
        state = self._field(f"{name}-dial")
        del state.double_array_value.data[:]
        state.double_array_value.data.append(value)
        return await self.ask()

    async def press(self, name: str) -> float:
        """Press a button, which is a state for this one time."""
        pressed = self.fields.pop(name)
        pressed.trigger_value = True
        return await self.ask(pressed)

    async def ask(self, *more: WidgetState) -> float:
        """Send every field and wait for the answer; return the seconds that it took."""
        message = BackMsg()
        asked = message.rerun_script
        asked.query_string, asked.page_script_hash = self.query, self.page
        states = [state for state in self.fields.values() if state.WhichOneof("value")]
        asked.widget_states.widgets.extend([*states, *more])
        asked.context_info.url = f"http://{self.host}/"
        began = time.perf_counter()
        await self._socket.send(message.SerializeToString())
        drawn: dict[str, WidgetState] = {}
        words = []
        while True:
            got = ForwardMsg.FromString(await self._socket.recv())
            kind = got.WhichOneof("type")
            if kind == "new_session":
                self.page = got.new_session.page_script_hash
            elif kind == "page_info_changed":
                self.query = got.page_info_changed.query_string
            elif kind == "delta":
                element = got.delta.new_element
                what = element.WhichOneof("type")
                assert what != "exception", element
                if what == "html":
                    words.append(element.html.body)
                elif what:
                    self._drawn(what, getattr(element, what), drawn)
            elif kind == "script_finished":
                assert got.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY
                break
        took = time.perf_counter() - began
        self.fields = drawn
        self.answer = re.sub(r"<[^>]+>", " ", "".join(words))
        return took

    def said(self, name: str) -> str:
        """Return what the address says of a field."""
        return parse_qs(self.query).get(name, [""])[0]

    def dial(self, name: str) -> float:
        """Return where a dial stands."""
        return self._field(f"{name}-dial").double_array_value.data[0]

    def _field(self, name: str) -> WidgetState:
        return self.fields[name]

    def _drawn(self, what: str, element: Any, drawn: dict[str, WidgetState]) -> None:
        """Hold a field as the page would: the server's value, else what was entered."""
        key = getattr(element, "id", "").partition("-")[2].partition("-")[2]
        if not key:
            return
        state = self.fields.get(key)
        if state is None or state.id != element.id or getattr(element, "set_value", False):
            state = WidgetState(id=element.id)
            fresh = getattr(element, "set_value", False)
            if what == "text_input":
                state.string_value = element.value if fresh else element.default
            elif what == "slider":
                state.double_array_value.data.extend(element.value if fresh else element.default)
            elif what in ("selectbox", "radio"):
                if fresh:
                    if element.HasField("raw_value"):
                        state.string_value = element.raw_value
                elif element.HasField("default"):
                    state.string_value = element.options[element.default]
        drawn[key] = state
