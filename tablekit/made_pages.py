"""Pages whose cells are run once for all pupils.

The cells of a page of the kit come out alike for everybody: its panels open on the same design. So
one process runs them, and the kernel of each pupil is a copy of it, in which panels, plans and
first answers are there already and the memory for them is shared. What the cells said is set as a
page once. Of whom a page is, a panel is told in the copy (`on_arrival` of `pupils`).

This is done only where it can be seen to be right: the code of the page is word for word that of a
page of the kit, and the briefs in the pupil's folder are those that the cells read. Any other page
is run for each who opens it.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

from jupyter_client.session import Session
from traitlets.config import Config

from tablekit.offered import PAGE, cells_of
from tablekit.shipped import notebooks_path

Output = dict[str, Any]


class Unfit(Exception):
    """What a page said cannot be said again to others."""


# --- In the server --------------------------------------------------------------------------------


def code_of(page: Path) -> tuple[str, ...]:
    """The code cells of a notebook, in order; none where it is no notebook."""
    return cells_of(page, "code")


@cache
def _ours() -> frozenset[tuple[str, ...]]:
    return frozenset(code_of(page) for page in notebooks_path().glob(f"*{PAGE}"))


def alike_for_all(code: tuple[str, ...]) -> bool:
    """Whether this is the code of a page of the kit."""
    return bool(code) and code in _ours()


def briefs_of(folder: Path) -> dict[str, bytes]:
    """What the cells of a page may read in a folder: its briefs."""
    return {path.name: path.read_bytes() for path in sorted(folder.glob("briefs/*.toml"))}


def has_these(folder: Path, briefs: dict[str, bytes]) -> bool:
    """Whether the briefs in a folder are the same; it may have more of them."""
    try:
        return all((folder / "briefs" / name).read_bytes() == briefs[name] for name in briefs)
    except OSError:
        return False


# --- In the template ------------------------------------------------------------------------------


def outputs_of(code: Sequence[str]) -> list[list[Output]]:
    """Run the cells in a shell that has no kernel yet; what each of them said, as a notebook has
    it. What is told of things amiss is left out, as on any page.

    Raises Unfit where a cell fails, and where one changes what was said before."""
    from ipykernel.zmqshell import ZMQInteractiveShell

    # A history would be kept by a thread.
    quiet = Config({"HistoryManager": {"enabled": False}})
    shell = ZMQInteractiveShell.instance(config=quiet)
    return [_said(shell, source) for source in code]


class _Heard(Session):
    """Takes down what would be sent to a page: what is said, and the kinds of all else."""

    def __init__(self) -> None:
        super().__init__(key=b"")
        self.said: list[Output] = []
        self.others: list[str] = []

    def send(self, stream: Any, msg_or_type: Any, *_: Any, **__: Any) -> None:  # type: ignore[override]
        """One message, or the kind of one."""
        if isinstance(msg_or_type, str):
            self.others.append(msg_or_type)
            return
        kind = msg_or_type["header"]["msg_type"]
        if kind in ("display_data", "execute_result"):
            self.said.append(_output(kind, msg_or_type["content"]))
        else:
            self.others.append(kind)


def _said(shell: Any, source: str) -> list[Output]:
    heard = _Heard()
    shell.display_pub.session = shell.displayhook.session = heard
    with redirect_stdout(_Printed(heard.said)), redirect_stderr(io.StringIO()):
        result = shell.run_cell(source, store_history=False)
    why = result.error_before_exec or result.error_in_exec
    if why is not None:
        raise Unfit(f"{type(why).__name__}: {why}")
    if heard.others:
        raise Unfit(f"{heard.others[0]} cannot be said again")
    return heard.said


def _output(kind: str, content: dict[str, Any]) -> Output:
    more = {"execution_count": None} if kind == "execute_result" else {}
    return {"output_type": kind, "data": content["data"], "metadata": content["metadata"], **more}


class _Printed(io.TextIOBase):
    """Takes down what is printed, between what is shown."""

    def __init__(self, said: list[Output]) -> None:
        self._said = said

    def write(self, text: str) -> int:
        last = self._said[-1] if self._said else {}
        if last.get("output_type") == "stream":
            last["text"] += text
        else:
            self._said.append({"output_type": "stream", "name": "stdout", "text": text})
        return len(text)


@contextmanager
def on_one_core() -> Iterator[None]:
    """There no library starts threads of its own, which would not be in a copy."""
    cores = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(cores)})
    try:
        yield
    finally:
        os.sched_setaffinity(0, cores)


# --- In the kernel of a pupil ---------------------------------------------------------------------


class _WithoutModules:
    """The module sys, with no modules to be seen in it."""

    modules: ClassVar[dict[str, Any]] = {}

    def __getattr__(self, name: str) -> Any:
        return getattr(sys, name)


@contextmanager
def modules_unseen() -> Iterator[None]:
    """A kernel looks at every module for its debugger, which no page has: that alone would give
    each copy 17 MB of its own."""
    from ipykernel import ipkernel

    seen: Any = vars(ipkernel)
    before = seen.get("sys")
    seen["sys"] = _WithoutModules()
    try:
        yield
    finally:
        seen["sys"] = before


def adopt_widgets(kernel: Any) -> None:
    """Give the kernel what was made before it: the shell, and the widgets, which say nothing to a
    page while they have none."""
    kernel.shell.kernel = kernel
    comms = sys.modules.get("comm")
    if comms is not None:
        for one in comms.get_comm_manager().comms.values():
            one.kernel = kernel
