"""Doing one thing while another is done, where the machine can."""

from __future__ import annotations

import multiprocessing
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from tablekit.packet.signals import ended_at_once

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Made = TypeVar("Made")


@dataclass
class Work(Generic[Made]):
    """What is done beside something else. `made` is what it gave, once both are done."""

    made: Made | None = None


@contextmanager
def beside(work: Callable[[], Made]) -> Iterator[Work[Made]]:
    """Runs `work` beside what stands within, in a copy of this process; before it where a process
    cannot be copied, or has threads that a copy would lack, as in a notebook.

    `work` may write files, give back something that can be sent from one process to another, and
    warn: what it warns of is heard here. Raises OSError when it comes to grief in its copy.
    """
    done: Work[Made] = Work()
    can_copy = "fork" in multiprocessing.get_all_start_methods()
    if not can_copy or threading.active_count() > 1:
        done.made = work()
        yield done
        return
    context = multiprocessing.get_context("fork")
    hear, say = context.Pipe(duplex=False)
    copy = context.Process(target=_quietly, args=(work, say), daemon=True)
    copy.start()
    say.close()  # so that a copy that is killed is not waited for
    try:
        yield done
        try:
            grief, made, heard = hear.recv()
        except EOFError:  # killed before it could say anything
            copy.join()
            grief, made, heard = f"exit code {copy.exitcode}", None, []
    except BaseException:
        copy.terminate()
        copy.join()
        raise
    copy.join()
    for one in heard:
        warnings.warn_explicit(*one)
    if grief:
        raise OSError(f"writing stopped half way: {grief}")
    done.made = made


def _quietly(work: Callable[[], Any], say: Connection) -> None:
    """Does it and sends what it made; on grief why, in words and not by a traceback."""
    ended_at_once()
    grief, made = "", None
    with warnings.catch_warnings(record=True) as heard:
        try:
            made = work()
        except Exception as reason:
            grief = str(getattr(reason, "strerror", None) or reason) or type(reason).__name__
    say.send((grief, made, [(str(w.message), w.category, w.filename, w.lineno) for w in heard]))
