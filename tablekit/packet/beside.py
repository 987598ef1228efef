"""Doing one thing while another is done, where the machine can."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from tablekit.packet.signals import ended_at_once

if TYPE_CHECKING:
    from multiprocessing.connection import Connection


@contextmanager
def beside(work: Callable[[], None]) -> Iterator[None]:
    """Runs `work` beside what stands within, in a copy of this process; before it where a process
    cannot be copied, or has threads that a copy would lack, as in a notebook.

    `work` may only write files. Raises OSError when it comes to grief in its copy.
    """
    can_copy = "fork" in multiprocessing.get_all_start_methods()
    if not can_copy or threading.active_count() > 1:
        work()
        yield
        return
    context = multiprocessing.get_context("fork")
    hear, say = context.Pipe(duplex=False)
    copy = context.Process(target=_quietly, args=(work, say), daemon=True)
    copy.start()
    say.close()  # so that a copy that is killed is not waited for
    try:
        yield
    except BaseException:
        copy.terminate()
        copy.join()
        raise
    copy.join()
    if copy.exitcode:
        try:
            said = hear.recv()
        except EOFError:  # killed before it could say anything
            said = f"exit code {copy.exitcode}"
        raise OSError(f"writing stopped half way: {said}")


def _quietly(work: Callable[[], None], say: Connection) -> None:
    """Does it; on grief tells why in words and not by a traceback."""
    ended_at_once()
    try:
        work()
    except Exception as reason:
        say.send(str(getattr(reason, "strerror", None) or reason) or type(reason).__name__)
        raise SystemExit(1) from None
