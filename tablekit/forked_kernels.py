"""Kernels of the class server, forked from one process that has loaded the kit already.

A kernel that starts by itself spends three seconds of processor time on loading, and holds 170 MB
that it shares with no other. The template loads once what the pages import and builds the panel of
each brief; a kernel is a copy of it, and what neither writes to they share. Before a copy is made
the template has one thread and no sockets but the one to the server: threads and the context of a
socket library do not survive a copy. A page that comes out alike for all (`made_pages`) has a
template of its own, a copy of the first in which its cells have been run. The kernels and the
templates end with the server.

Linux alone, as it takes a handle of a process (pidfd); elsewhere kernels start by themselves.
"""

from __future__ import annotations

import ast
import asyncio
import gc
import importlib
import json
import os
import random
import select
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from contextvars import ContextVar
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from jupyter_client.provisioning import KernelProvisionerFactory, LocalProvisioner

from tablekit.engine.trouble import DesignError
from tablekit.made_pages import (
    Output,
    Unfit,
    adopt_widgets,
    modules_unseen,
    on_one_core,
    outputs_of,
)
from tablekit.offered import PAGE, cells_of, offered
from tablekit.pupils import arrive, forget_arrivals

NAME = "tablekit-forked"
POSSIBLE = sys.platform == "linux" and hasattr(os, "pidfd_open")
PATIENCE = 120  # seconds for the template to answer, on a busy machine
_ENDED = 1  # with what a kernel ended is known to its parent alone


# --- In the server --------------------------------------------------------------------------------


def _ready(descriptor: int, event: int, wait: int | None = None) -> bool:
    """Whether that has happened to it, or its other end is gone; `wait` for so many milliseconds,
    for ever if not said. However many files are open: `select` takes no more than 1024."""
    watch = select.poll()
    watch.register(descriptor, event)
    return bool(watch.poll(wait))


class Forked:
    """A kernel that was forked, by its handle; what a provisioner uses of a `subprocess.Popen`."""

    stdin = stdout = stderr = None

    def __init__(self, pid: int, handle: int) -> None:
        self.pid, self._handle = pid, handle

    def poll(self) -> int | None:
        """None while it runs."""
        if self._handle >= 0:
            if not _ready(self._handle, select.POLLIN, 0):
                return None
            os.close(self._handle)
            self._handle = -1
        return _ENDED

    def wait(self) -> int:
        """Once it has ended."""
        if self._handle >= 0:
            _ready(self._handle, select.POLLIN)
        return self.poll() or 0

    def send_signal(self, number: int) -> None:
        """Send it a signal; nothing where it has ended, whatever has its number by now."""
        if self.poll() is None:
            with suppress(ProcessLookupError):
                signal.pidfd_send_signal(self._handle, number)

    def kill(self) -> None:
        """End it at once."""
        self.send_signal(signal.SIGKILL)


class Source:
    """A process that kernels are forked from, by the socket to it."""

    def __init__(self, ours: socket.socket) -> None:
        self._lock = threading.Lock()
        self._serves = True
        self._ours = ours
        self._ours.settimeout(PATIENCE)

    @property
    def serves(self) -> bool:
        """Whether it may still be asked."""
        # Not what it says: that may be the answer to somebody else.
        return self._serves and not _ready(self._ours.fileno(), 0, 0)

    def forked(self, arguments: list[str], environment: dict[str, str], folder: str) -> Forked:
        """A new kernel, once the process is ready.

        Raises OSError where it has ended, may not be copied or does not answer."""
        order = {"arguments": arguments, "environment": environment, "folder": folder}
        pid, handle = self._asked(order)
        return Forked(pid, handle)

    def _asked(self, order: dict[str, Any], handles: int = 1) -> tuple[int, ...]:
        with self._lock:
            if not self._serves:
                raise OSError("there is no template any more")
            try:
                self._ours.sendall(json.dumps(order).encode() + b"\n")
                said, found, *_ = socket.recv_fds(self._ours, 64, handles)
            except OSError:
                self._serves = False  # an answer that comes late would be taken for the next
                raise
            self._serves = bool(said)
        if not found:
            raise OSError(said.decode() or "the template has ended")
        return (int(said), *found)

    def close(self) -> None:
        """No kernel will be asked for any more; those that there are go on."""
        self._serves = False
        self._ours.close()


class Template(Source):
    """The process that has the kit loaded. It is started with `folder`, whose pages say what to
    load, and starts loading at once."""

    def __init__(self, folder: Path) -> None:
        ours, theirs = socket.socketpair()
        with theirs:
            number = theirs.fileno()
            command = [sys.executable, "-P", "-m", __name__, str(number), str(folder)]
            # What is freed goes back to the system, of which thirty kernels have more than one.
            thrifty = {"MALLOC_ARENA_MAX": "1", "MALLOC_TRIM_THRESHOLD_": "131072"}
            self._process = subprocess.Popen(
                command, pass_fds=[number], stdin=subprocess.DEVNULL, env={**os.environ, **thrifty}
            )
        super().__init__(ours)

    def page(self, code: Sequence[str], environment: dict[str, str], folder: str) -> MadePage:
        """A copy that runs the cells of a page in `folder`.

        Raises OSError as `forked` does, and Unfit where its cells do not come out alike for all."""
        order = {"code": [*code], "environment": environment, "folder": folder}
        _, handle, ours = self._asked(order, handles=2)
        os.close(handle)
        return MadePage(socket.socket(fileno=ours))


class MadePage(Source):
    """A process in which the cells of a page have been run.

    outputs  what each of them said
    """

    def __init__(self, ours: socket.socket) -> None:
        super().__init__(ours)
        try:
            with ours.makefile("rb") as told:
                said = json.loads(told.readline() or b'{"why": "it has ended"}')
            if "why" in said:
                raise Unfit(said["why"])
        except BaseException:
            self.close()
            raise
        self.outputs: list[list[Output]] = said["outputs"]


# The page that the next kernel is for, where its cells have been run already.
OF_PAGE: ContextVar[MadePage | None] = ContextVar("page", default=None)


class ForkedProvisioner(LocalProvisioner):
    """Starts the kernels of this Python from the template, and any other as usual."""

    template: Template | None = None  # of the whole server

    async def launch_kernel(self, cmd: list[str], **how: Any) -> Any:
        """Start it. Where the template does not serve, this is said in the log, and the kernel
        starts by itself."""
        start = [sys.executable, "-m", "ipykernel_launcher"]
        source = OF_PAGE.get() or self.template
        if source is None or cmd[:3] != start:
            return await super().launch_kernel(cmd, **how)
        folder = str(how.get("cwd") or Path.cwd())
        try:
            kernel: Any = await asyncio.to_thread(source.forked, cmd[3:], how["env"], folder)
        except OSError as why:
            if OF_PAGE.get() is not None:
                raise  # any other kernel would have none of its panels
            self.log.warning("A kernel starts by itself: %s", why)
            return await super().launch_kernel(cmd, **how)
        # It leads a session and a group of its own, under its own number.
        self.process, self.pid, self.pgid, self.cwd = kernel, kernel.pid, kernel.pid, folder
        return self.connection_info


def fork_kernels(folder: Path) -> None:
    """From now on kernels of this process are forked; `folder` has the pages."""
    if POSSIBLE:
        factory = KernelProvisionerFactory.instance()
        at = f"{__name__}:{ForkedProvisioner.__name__}"
        factory.provisioners[NAME] = EntryPoint(NAME, at, factory.GROUP_NAME)
        factory.default_provisioner_name = NAME
        ForkedProvisioner.template = Template(folder)


# --- In the template ------------------------------------------------------------------------------

# What a kernel would else load by itself as it starts.
KERNEL = (
    "ipykernel.kernelapp", "ipykernel.ipkernel", "ipykernel.zmqshell", "ipykernel.debugger",
    "IPython.core.completerlib", "IPython.extensions.storemagic", "tornado.platform.asyncio",
    "sqlite3", "pdb", "psutil",
)  # fmt: skip


def imported(folder: Path) -> Iterator[str]:
    """Which modules of the kit the pages of `folder` import."""
    for name in sorted(offered(folder)):
        if name.endswith(PAGE):
            with suppress(ValueError, SyntaxError, RecursionError):  # what holds no Python
                for source in cells_of(folder / name, "code"):
                    yield from _ours(source)


def _ours(source: str) -> Iterator[str]:
    for part in ast.walk(ast.parse(source)):
        if isinstance(part, ast.ImportFrom) and (part.module or "").split(".")[0] == "tablekit":
            yield str(part.module)


def _built(brief: Path) -> None:
    """Build what pages show of a brief, as far as they import it: networks are then compiled, and
    the memory that libraries take for themselves is shared. No view of solids: it cannot be closed,
    and a kernel that has one already sends no page anything."""
    panel = sys.modules.get("tablekit.panels.set_out")
    solids = sys.modules.get("tablekit.solids.piece")
    if panel is None:
        return
    set_out = importlib.import_module("tablekit.setting_out").set_out
    with suppress(DesignError):
        wish = importlib.import_module("tablekit.brief").read_brief(brief)
        panel.SetOutPanel(wish)
        if solids is not None:
            _ = solids.Solids(set_out(wish)).pulling


def load(folder: Path) -> None:
    """Load what any kernel needs and what the pages import, and build the panel of each brief, so
    that its network is compiled."""
    # As a kernel has it before the first page imports matplotlib.
    os.environ.setdefault("MPLBACKEND", "module://matplotlib_inline.backend_inline")
    # A page without code is not debugged, and the debugger would take 15 MB and three threads.
    sys.modules["debugpy"] = None  # type: ignore[assignment]
    import ipywidgets

    for name in dict.fromkeys((*KERNEL, *imported(folder))):
        with suppress(ImportError):
            importlib.import_module(name)
    for brief in sorted(folder.glob("briefs/*.toml")):
        _built(brief)
    ipywidgets.Widget.close_all()  # else every page would be sent these
    forget_arrivals()
    # It does so when it is imported, where there is a kernel already.
    ipywidgets.register_comm_target()


def serve(orders: socket.socket) -> dict[str, Any] | None:
    """Fork for each order until the server closes its end; then None. In a copy: its order, and for
    that of a page its own end of a socket to the server."""
    for line in orders.makefile("rb"):
        threads = len(os.listdir("/proc/self/task"))
        if threads > 1:  # a copy would have one of them, and whatever lock another held
            orders.sendall(b"the template has %d threads" % threads)
            continue
        order = dict(json.loads(line))
        theirs, ours = socket.socketpair() if "code" in order else (None, None)
        try:
            pid = os.fork()
        except OSError as why:
            orders.sendall(str(why).encode())
            continue
        if pid == 0:
            return {**order, "orders": ours}
        handles = [os.pidfd_open(pid)]
        if theirs is not None and ours is not None:
            ours.close()
            handles.append(theirs.detach())
        socket.send_fds(orders, [str(pid).encode()], handles)
        for handle in handles:
            os.close(handle)
    return None


def make(order: dict[str, Any]) -> dict[str, Any] | None:
    """Run the cells of a page, say what they said, and fork its kernels; as `serve`. Without more
    orders it stays until the last kernel has ended, which would not go on without it."""
    orders, template = order["orders"], os.getppid()
    os.environ.update(order["environment"])
    os.chdir(order["folder"])
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)  # a cell may wait for a process
    try:
        with on_one_core():
            said = json.dumps({"outputs": outputs_of(order["code"])})
    except Unfit as why:
        orders.sendall(json.dumps({"why": str(why)}).encode() + b"\n")
        return None
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    _settle()
    orders.sendall(said.encode() + b"\n")
    found = serve(orders)
    while found is None and os.getppid() == template and _has_kernels():
        time.sleep(1.0)
    return found


def _has_kernels() -> bool:
    try:
        os.waitpid(-1, os.WNOHANG)
    except ChildProcessError:
        return False
    return True


def _settle() -> None:
    gc.collect()
    gc.freeze()  # the collector would write to what is shared


def become(order: dict[str, Any], orders: socket.socket) -> list[str]:
    """Make of this copy what a new process would begin with; gives the arguments of the kernel."""
    parent = os.getppid()
    os.setsid()
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    orders.detach()
    os.closerange(3, os.sysconf("SC_OPEN_MAX"))
    os.environ.clear()
    # A kernel looks whether it still has the same parent, and ends where it has not.
    os.environ.update(order["environment"], JPY_PARENT_PID=str(parent))
    os.chdir(order["folder"])
    random.seed()  # no two kernels draw the same numbers
    if "numpy" in sys.modules:
        sys.modules["numpy"].random.seed()
    # No history of what was typed: nobody types code here.
    own = (f"--IPKernelApp.parent_handle={parent}", "--HistoryManager.enabled=False")
    return [*order["arguments"], *own]


def run_kernel(arguments: list[str]) -> None:
    """Be a kernel, of what was made before if anything was, until it is ended."""
    from ipykernel.kernelapp import IPKernelApp

    arrive()
    app = IPKernelApp.instance()
    with modules_unseen():
        app.initialize(arguments)
    adopt_widgets(app.kernel)
    app.start()


def main() -> None:
    """The template, and each kernel in its copy: `DESCRIPTOR FOLDER`."""
    descriptor, folder = sys.argv[1:]
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C in the terminal is for the server
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for a kernel here
    orders = socket.socket(fileno=int(descriptor))
    orders.set_inheritable(False)
    with on_one_core():
        load(Path(folder))
    _settle()
    order = serve(orders)
    if order is not None and "code" in order:
        orders.close()
        orders = order["orders"]
        order = make(order)
    if order is not None:
        run_kernel(become(order, orders))


if __name__ == "__main__":
    main()
