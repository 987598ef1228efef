"""What a page says to its kernel, without a browser: by the messages of Jupyter and of its widgets
(version 2.1 of their protocol)."""

from __future__ import annotations

import json
import uuid
from typing import Any

from jupyter_server.services.kernels.connection.base import (
    deserialize_msg_from_ws_v1,
    serialize_msg_to_ws_v1,
)
from tornado.httpclient import HTTPRequest
from tornado.websocket import WebSocketClientConnection, websocket_connect

PROTOCOL = "v1.kernel.websocket.jupyter.org"


def kernel_of(page: str) -> str:
    """The kernel of a page."""
    return page.split('"kernelId": "')[1].split('"')[0]


async def connected(
    address: str, page: str, cookie: str, protocols: tuple[str, ...] = (PROTOCOL,)
) -> WebSocketClientConnection:
    """A page's connection to its kernel; `address` is one of its server, with the token."""
    at, _, token = address.removeprefix("http").partition("?")
    host = at.removeprefix("://").split("/")[0]
    channels = f"ws://{host}/api/kernels/{kernel_of(page)}/channels?{token}"
    asked = HTTPRequest(channels, headers={"Cookie": cookie}, connect_timeout=600)
    return await websocket_connect(asked, subprotocols=list(protocols))


async def shown(connection: WebSocketClientConnection) -> tuple[dict[str, Any], int]:
    """What the kernel says that the widgets of its page show: the state of each by its model, and
    the bytes of the answer. It asks first who the kernel is, as a page does."""
    await answered(connection, "kernel_info_request", {}, "kernel_info_reply")
    comm = {"comm_id": uuid.uuid4().hex, "target_name": "jupyter.widget.control", "data": {}}
    await answered(connection, "comm_open", comm, "status", "idle")
    ask = {"comm_id": comm["comm_id"], "data": {"method": "request_states"}}
    content, size = await answered(connection, "comm_msg", ask, "comm_msg")
    return {model: one["state"] for model, one in content["data"]["states"].items()}, size


async def changed(connection: WebSocketClientConnection, model: str, **state: Any) -> None:
    """A hand has changed a widget, and the kernel is done with it."""
    data = {"method": "update", "state": state, "buffer_paths": []}
    content = {"comm_id": model, "data": data}
    await answered(connection, "comm_msg", content, "status", "idle")


async def answered(
    connection: WebSocketClientConnection, kind: str, content: dict[str, Any], wanted: str,
    state: str = "",
) -> tuple[dict[str, Any], int]:  # fmt: skip
    """Send a message; the content of the first answer of a kind, a status of that state, and the
    bytes of it."""
    head = {"msg_id": uuid.uuid4().hex, "msg_type": kind, "session": uuid.uuid4().hex}
    head |= {"username": "", "version": "5.3", "date": "2000-01-01T00:00:00Z"}
    parts = [json.dumps(one).encode() for one in (head, {}, {"version": "1.0.0"}, content)]
    await connection.write_message(serialize_msg_to_ws_v1(parts, "shell"), binary=True)
    while True:
        answer = await connection.read_message()
        if answer is None:
            raise RuntimeError("the kernel has hung up")
        assert isinstance(answer, bytes)
        _, (header, parent, _, told, *_) = deserialize_msg_from_ws_v1(answer)
        if json.loads(parent or b"{}").get("msg_id") != head["msg_id"]:
            continue
        said = json.loads(told)
        fits = said.get("execution_state", "") == state
        if json.loads(header)["msg_type"] == wanted and fits:
            return said, len(answer)
