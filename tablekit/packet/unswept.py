"""Pauses garbage collection for as long as a command takes."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unswept() -> Iterator[None]:
    """Within, garbage collection is off: a command is over in seconds, leaves some
    megabytes, and would spend a twentieth of its time on looking for them."""
    swept = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if swept:
            gc.enable()
