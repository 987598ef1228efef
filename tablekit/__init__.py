"""tablekit: set out round tables and stools on three square posts let into one another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["Sheet", "__version__", "network", "read_brief"]

if TYPE_CHECKING:
    from tablekit.brief import read_brief
    from tablekit.engine.sheet import Sheet
    from tablekit.relations.families import network

_HOMES = {
    "Sheet": "tablekit.engine.sheet",
    "network": "tablekit.relations.families",
    "read_brief": "tablekit.brief",
}


def __getattr__(name: str) -> Any:
    # Loaded on first use: `tablekit --help` should not wait for a computer algebra system.
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'tablekit' has no attribute {name!r}")
