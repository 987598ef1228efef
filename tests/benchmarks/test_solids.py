"""How long the solids of one design take. Run by name: pytest tests/benchmarks."""

from __future__ import annotations

import pytest

from tablekit.relations.families import network
from tablekit.solids.assembly import assemble
from tablekit.solids.export import surfaces
from tablekit.solids.fit import check_fit
from tablekit.solids.notched import one_notch_posts, two_notch_posts


def solved(splay: float):
    return network("table").solve(
        {"table_height": 600.0, "top_diameter": 920.0, "post_section": 64.0, "splay": splay}
    )


@pytest.mark.parametrize("splay", [45.0, 54.735610317245346])
def test_fit(benchmark, splay):
    assert benchmark(check_fit, solved(splay)).fits


@pytest.mark.parametrize("splay", [45.0, 54.735610317245346, 65.0])
def test_one_notch(benchmark, splay):
    answer = benchmark(assemble, one_notch_posts(solved(splay)))
    assert (answer.verdict == "locked") == (splay == 65)


def test_two_notches(benchmark):
    assert benchmark(assemble, two_notch_posts(64.0, 1000.0)).verdict == "locked"


def test_surfaces(benchmark):
    assert len(benchmark(surfaces, solved(45.0))) == 7
