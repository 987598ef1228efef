"""Drawings, laid out in millimetres on the paper; shown on a screen by matplotlib."""

from __future__ import annotations

import os
import sys
from contextlib import suppress


def _load_without_a_window() -> None:
    """matplotlib stops where MPLBACKEND names no way of showing windows that it knows. The kit
    shows none: it takes the name over where it means something, and lets it be where not."""
    asked = os.environ.get("MPLBACKEND")
    if not asked or "matplotlib" in sys.modules:
        return
    del os.environ["MPLBACKEND"]
    try:
        import matplotlib
    finally:
        os.environ["MPLBACKEND"] = asked
    with suppress(ValueError):
        matplotlib.rcParams["backend"] = asked


_load_without_a_window()
