"""The class server on a small folder: what it answers, and which kernels it runs."""

from __future__ import annotations

import http.client
import json
import os
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import psutil

from tablekit.pupils import COOKIE
from tests.browser.chromium import ROOT_FOLDER, started

START = """
import json, os, sys
from pathlib import Path
from tablekit.serving import prepare_app

changed, folder, *options = sys.argv[1:]
launch = prepare_app(Path(folder), browser=False)
print(launch.address, launch.teacher, sep="\\n", flush=True)
os.environ.update({**launch.environment, "JUPYTER_TOKEN": launch.token, **json.loads(changed)})
told = {word.split("=")[0] for word in options}
command = [*(word for word in launch.command if word.split("=")[0] not in told), *options]
os.execv(command[0], command)
"""
QUICK = "quick.ipynb"  # a page of one sum
PATIENCE = 120.0  # seconds, on a busy machine


def notebook(*cells: tuple[str, str], kernel: str = "python3") -> str:
    """A notebook of cells, each given as its type and its source."""
    extra = {"markdown": {}, "code": {"outputs": [], "execution_count": None}}
    named = {"name": kernel, "display_name": kernel, "language": "python"}
    made = [
        {"cell_type": kind, "id": f"c{k}", "metadata": {}, "source": text, **extra[kind]}
        for k, (kind, text) in enumerate(cells)
    ]
    whole = {"nbformat": 4, "nbformat_minor": 5, "metadata": {"kernelspec": named}}
    return json.dumps({**whole, "cells": made})


@dataclass
class Served:
    """A server that runs, its address with the token, and its log."""

    process: psutil.Process
    address: str
    log: Path

    @property
    def token(self) -> str:
        """The token, from its address."""
        return self.address.split("token=")[1]

    teacher: str = ""  # the address of the teacher's page

    def asked(
        self, path: str, token: str = "", method: str = "GET", cookie: str = ""
    ) -> tuple[int, str, str]:
        """Status, address that it sends one on to, and body; of exactly that path."""
        connection = self.connection()
        headers = {"Cookie": cookie} if cookie else {}
        connection.request(method, f"{path}?token={token}" if token else path, headers=headers)
        answer = connection.getresponse()
        told = answer.status, answer.headers.get("Location", ""), answer.read().decode()
        connection.close()
        return told

    def connection(self) -> http.client.HTTPConnection:
        """A new connection to it."""
        at = urlsplit(self.address)
        return http.client.HTTPConnection(at.hostname or "", at.port, timeout=PATIENCE)

    def pupil(self) -> str:
        """The cookie of a new pupil, who has opened the list of pages."""
        connection = self.connection()
        connection.request("GET", f"/?token={self.token}")
        answer = connection.getresponse()
        answer.read()
        (cookie,) = (c for c in answer.headers.get_all("Set-Cookie") if c.startswith(COOKIE))
        connection.close()
        return cookie.split(";")[0]

    def dropped(self, path: str) -> http.client.HTTPConnection:
        """A request that was sent, and whose answer is not waited for; to be closed."""
        connection = self.connection()
        connection.request("GET", f"{path}?token={self.token}")
        return connection

    def kernels(self) -> int:
        """How many kernels run: those forked from the template, and those that started alone."""
        return sum(
            "ipykernel_launcher" in " ".join(_command(child))
            or ("tablekit.forked_kernels" in _command(child) and _leads(child))
            for child in self.process.children(recursive=True)
        )

    def comes_to(self, kernels: int, within: float = PATIENCE) -> bool:
        """Whether this many kernels run within that time, s,, and still do a moment later."""
        end = time.monotonic() + within
        while time.monotonic() < end:
            if self.kernels() == kernels:
                time.sleep(1.0)
                if self.kernels() == kernels:
                    return True
            time.sleep(0.2)
        return False


def _leads(process: psutil.Process) -> bool:
    """Whether it leads a session, as a kernel does and what it was forked from does not."""
    try:
        return os.getsid(process.pid) == process.pid
    except ProcessLookupError:
        return False


def _command(process: psutil.Process) -> list[str]:
    try:
        return process.cmdline()
    except psutil.Error:  # it has just ended
        return []


@contextmanager
def serving(
    folder: Path, log: Path, most: int = 30, changes: Mapping[str, str] | None = None,
    options: Sequence[str] = (),
) -> Iterator[Served]:  # fmt: skip
    """The server on `folder`, as `tablekit open --as-app` starts it.

    most     how many pages may be open
    changes  of the environment
    options  further ones, after those of `tablekit open`
    """
    # A process of its own chooses the port, while no other server of the tests starts.
    given = (str(folder), f"--Kernels.most={most}", *options)
    environment = {**os.environ, "PYTHONPATH": str(ROOT_FOLDER)}
    changed = {"PYTHONPATH": str(ROOT_FOLDER), **(changes or {})}
    start = [sys.executable, "-P", "-c", START, json.dumps(changed), *given]
    with started(start, environment, log=log) as (process, address):
        assert process.stdout is not None
        teacher = process.stdout.readline().strip()
        yield Served(psutil.Process(process.pid), address, log, teacher)
