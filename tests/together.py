"""One test for many cases: a test by itself costs the run some hundredths of a second."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import pytest

_MOST_SHOWN = 12
_PARAM = type(pytest.param())  # a case with an id of its own


def each(
    names: str | Sequence[str],
    cases: Iterable[Any] | Callable[[], Iterable[Any]],
    ids: Callable[[Any], object] | Iterable[str] | None = None,
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """As `pytest.mark.parametrize`, in one test: all cases are tried, and those that fail are told
    together. A case that is skipped counts for nothing; the test is skipped if all are.

    names  of the arguments that vary, as `parametrize` takes them
    cases  or a function that makes them, which runs with the test: what takes long to make is then
           not made by every process that only reads the file
    ids    what a case of one argument is called in the report, or what each case is called"""
    wanted = [name.strip() for name in names.split(",")] if isinstance(names, str) else [*names]
    told = ids if ids is None or callable(ids) else [*ids]
    if not callable(cases):
        cases = [*cases]
        assert cases, f"no cases for {names}"

    def decorate(test: Callable[..., None]) -> Callable[..., None]:
        @functools.wraps(test)
        def together(**fixtures: Any) -> None:
            sets = [_values(case, wanted) for case in (cases() if callable(cases) else cases)]
            assert sets, f"no cases for {names}"
            assert not isinstance(told, list) or len(told) == len(sets), f"names of {names}"
            failed: list[tuple[int, BaseException]] = []
            skipped: list[BaseException] = []
            for number, case in enumerate(sets):
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
                said = f"{len(failed)} of {len(sets)} cases fail\n\n{shown}"
                raise AssertionError(said) from failed[0][1]
            if len(skipped) == len(sets):
                raise skipped[0]

        signature = inspect.signature(test)
        rest = [p for name, p in signature.parameters.items() if name not in wanted]
        together.__signature__ = signature.replace(parameters=rest)  # type: ignore[attr-defined]
        del together.__wrapped__  # pytest would look at the signature behind it
        return together

    return decorate


def _values(case: Any, wanted: Sequence[str]) -> Sequence[Any]:
    """Those of one case, by the order of the names."""
    if isinstance(case, _PARAM):
        return case.values
    return case if len(wanted) > 1 else (case,)


def _called(case: Sequence[Any], ids: Callable[[Any], object] | None) -> str:
    return str(ids(*case) if ids is not None and len(case) == 1 else case)
