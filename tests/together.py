"""One test for many cases: a test by itself costs the run some hundredths of a second."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import Any

import pytest

_MOST_SHOWN = 12
_BREADTH, _ALL = "breadth", "all"
_PARAM = type(pytest.param())  # a case with an id of its own


def each(
    names: str | Sequence[str],
    cases: Iterable[Any] | Callable[[], Iterable[Any]],
    ids: Callable[[Any], object] | Iterable[str] | None = None,
    ordinary: int | None = None,
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """As `pytest.mark.parametrize`, in one test: all cases are tried, and those that fail are told
    together. A case that is skipped counts for nothing; the test is skipped if all are.

    names  of the arguments that vary, as `parametrize` takes them
    cases  or a function that makes them, which runs with the test: what takes long to make is then
           not made by every process that only reads the file
    ids    what a case of one argument is called in the report, or what each case is called
    ordinary  how many of them an ordinary run tries, where all take long; `pytest -m slow` tries
           all. The choice is the same in every run. Below another `each` the test is run again and
           again, and its cases take turns"""
    wanted = [name.strip() for name in names.split(",")] if isinstance(names, str) else [*names]
    told = ids if ids is None or callable(ids) else [*ids]
    if not callable(cases):
        cases = [*cases]
        assert cases, f"no cases for {names}"

    def decorate(test: Callable[..., None]) -> Callable[..., None]:
        signature = inspect.signature(test)
        below = _BREADTH in signature.parameters  # of another that has its choice as well
        turns = _Turns(test.__name__)

        @functools.wraps(test)
        def together(**fixtures: Any) -> None:
            sets = [_values(case, wanted) for case in (cases() if callable(cases) else cases)]
            assert sets, f"no cases for {names}"
            assert not isinstance(told, list) or len(told) == len(sets), f"names of {names}"
            every = fixtures[_BREADTH] == _ALL if ordinary else True
            if ordinary and not below:
                del fixtures[_BREADTH]
            tried = range(len(sets)) if every else turns.next(ordinary or 0, len(sets))
            failed: list[tuple[int, BaseException]] = []
            skipped: list[BaseException] = []
            for number in tried:
                case = sets[number]
                try:
                    test(**dict(zip(wanted, case, strict=True)), **fixtures)
                except pytest.skip.Exception as reason:
                    skipped.append(reason)
                except (Exception, pytest.fail.Exception) as error:
                    failed.append((number, error))
            if failed:
                shown = "\n\n".join(
                    f"{told[at] if isinstance(told, list) else _called(sets[at], told)}: {error}"
                    for at, error in failed[:_MOST_SHOWN]
                )
                said = f"{len(failed)} of {len(tried)} cases fail\n\n{shown}"
                raise AssertionError(said) from failed[0][1]
            if len(skipped) == len(tried):
                raise skipped[0]

        rest = [p for name, p in signature.parameters.items() if name not in wanted]
        if ordinary and not below:
            rest.append(inspect.Parameter(_BREADTH, inspect.Parameter.KEYWORD_ONLY))
        together.__signature__ = signature.replace(parameters=rest)  # type: ignore[attr-defined]
        del together.__wrapped__  # pytest would look at the signature behind it
        return _in_part_or_whole(together) if ordinary and not below else together

    return decorate


def _in_part_or_whole(test: Callable[..., None]) -> Callable[..., None]:
    whole = pytest.param(_ALL, marks=pytest.mark.slow)
    return pytest.mark.parametrize(_BREADTH, ["some", whole])(test)


class _Turns:
    """Chooses cases as cards are dealt: all have been had before one comes again."""

    def __init__(self, seed: str):
        self._random, self._left = Random(seed), []

    def next(self, wanted: int, count: int) -> list[int]:
        """So many numbers below `count`, in order; all of them if there are no more."""
        chosen: set[int] = set()
        while len(chosen) < min(wanted, count):
            self._left = self._left or self._random.sample(range(count), count)
            chosen.add(self._left.pop())
        return sorted(chosen)


def _values(case: Any, wanted: Sequence[str]) -> Sequence[Any]:
    """Those of one case, by the order of the names."""
    if isinstance(case, _PARAM):
        return case.values
    return case if len(wanted) > 1 else (case,)


def _called(case: Sequence[Any], ids: Callable[[Any], object] | None) -> str:
    return str(ids(*case) if ids is not None and len(case) == 1 else case)
