"""Counts how often each plan is worked out, and of what."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import wraps
from types import ModuleType
from typing import Any

import pytest

import tablekit.design
import tablekit.drawing
import tablekit.packet
import tablekit.planning
import tablekit.solids

COUNTED = (tablekit.planning, tablekit.solids)
USERS = (*COUNTED, tablekit.design, tablekit.drawing, tablekit.packet)
# What a plan is made from: a whole piece, its solids, or the boards of its top.
FROM = ("sheet", "source", "layout", "boards", "rack")
# Made from posts, and slow.
ALSO = {"surfaces_of"}
# Read off a sheet or a layout rather than worked out of it, and wanted in many places.
LOOKED_UP = {
    "section_of", "neighbours", "locked_words", "outside_rim",
    "load_of_design", "knee_height", "height_name", "strips_used", "foot_middles",
    "pieces_marked", "leg_stretchers",
}  # fmt: skip
# A sum or two for one line of the text on the posts, which is in the book and in a file.
SETTINGS = {"saw_passes", "router_guides"}


class Counts:
    """How often each plan was worked out of the same things.

    calls   by the name of the function and what it was given
    """

    def __init__(self) -> None:
        self.calls: Counter[tuple[str, str]] = Counter()
        self._alive: list[Any] = []  # or another thing may come to lie in the same place

    def watched(self, function: Callable[..., Any]) -> Callable[..., Any]:
        """The same function, counted."""
        takes = inspect.signature(function)

        @wraps(function)
        def counted(*given: Any, **named: Any) -> Any:
            said = takes.bind(*given, **named)
            said.apply_defaults()
            self._alive.append(said)
            self.calls[function.__name__, ", ".join(map(_told, said.arguments.items()))] += 1
            return function(*given, **named)

        return counted

    @property
    def plans(self) -> set[str]:
        """The functions that were called."""
        return {name for name, _ in self.calls}

    @property
    def again(self) -> dict[tuple[str, str], int]:
        """What was worked out more than once."""
        return {call: count for call, count in self.calls.items() if count > 1}


def _told(argument: tuple[str, Any]) -> str:
    name, value = argument
    # What is equal only to itself, as a sheet is, goes by its place; the rest by what it says.
    by_place = type(value).__hash__ in (None, object.__hash__)
    return f"{name}={type(value).__name__} at {id(value)}" if by_place else f"{name}={value!r}"


def modules(*packages: ModuleType) -> Iterator[ModuleType]:
    """Every module of some packages."""
    for package in packages:
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            yield importlib.import_module(found.name)


def plans() -> Iterator[Callable[..., Any]]:
    """Every public function that works something out of a whole piece."""
    for module in modules(*COUNTED):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ != module.__name__ or name.startswith("_"):
                continue
            first = next(iter(inspect.signature(function).parameters), "")
            if name in ALSO or (first in FROM and name not in LOOKED_UP | SETTINGS):
                yield function


def watch(patch: pytest.MonkeyPatch) -> Counts:
    """Counts from now on, wherever a function has been imported to."""
    counts = Counts()
    every = {function: counts.watched(function) for function in plans()}
    list(modules(*USERS))
    for module in [m for name, m in sys.modules.items() if name.startswith("tablekit.")]:
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function in every:
                patch.setattr(module, name, every[function])
    return counts
