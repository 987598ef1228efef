"""What holds for every process of a test run, and for those that the tests start."""

from __future__ import annotations

import gc
import os
import sys

import pytest

# Where Python is told to leave no bytecode, each of the many processes that the tests start would
# compile the whole kit anew, about a seventh of what `set-out` takes.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# More processes than the machine has cores run already; more threads would wait for one another.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

# sympy remembers a thousand answers of each kind, too few for all the formulas of a run.
os.environ.setdefault("SYMPY_CACHE_SIZE", "10000")

# Formulas make very many small objects and few of them rings: looking for rings less often takes
# a thirtieth off a run.
gc.set_threshold(50_000, 20, 50)

# What waits for servers, browsers and kernels goes first, and a long file that would come last. So
# the run ends with short files, and neither process has long to wait for the other.
LONG_FIRST = ("tests/browser", "tests/faults", "notebooks", "tests/documents", "tests/trust")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One more than the machine has cores: servers and browsers are waited for much of the time."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Files in the order of `LONG_FIRST`, otherwise as they were found; no file is torn apart."""

    def place(item: pytest.Item) -> int:
        path = item.path.relative_to(config.rootpath).as_posix()
        return next((n for n, of in enumerate(LONG_FIRST) if path.startswith(of)), len(LONG_FIRST))

    items.sort(key=place)
