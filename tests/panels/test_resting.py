"""What takes longer than a frame waits until nothing moves."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from tablekit.brief import read_brief
from tablekit.panels import frames
from tablekit.panels.folds import NOTES, PASSED
from tablekit.panels.frames import Rest
from tablekit.panels.set_out import SetOutPanel

BRIEF = Path(__file__).parents[2] / "notebooks" / "briefs" / "workshop-stool.toml"
# Of the plans, not of the sheet: worked out of linear programmes.
PLANNED, MORE = "force in the joint", "also count the checks"


@pytest.fixture(autouse=True)
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frames, "REST", 0.05)


def test_without_a_page_it_is_done_at_once() -> None:
    done: list[int] = []
    Rest(lambda: done.append(1)).later()
    assert done == [1]


def test_many_frames_are_settled_once() -> None:
    done: list[float] = []

    async def drag() -> None:
        loop = asyncio.get_running_loop()
        rest = Rest(lambda: done.append(loop.time()))
        for _ in range(4):
            rest.later()
            await asyncio.sleep(0.02)
        last = loop.time() - 0.02
        await asyncio.sleep(0.2)
        assert len(done) == 1 and done[0] >= last + 0.04
        rest.later()
        rest.finish()
        rest.finish()
        assert len(done) == 2
        rest.later()
        rest.cancel()
        await asyncio.sleep(0.1)
        assert len(done) == 2

    asyncio.run(drag())


def test_the_checks_of_the_plans_follow_those_of_the_sizes() -> None:
    async def open_it() -> None:
        panel = SetOutPanel(read_brief(BRIEF))
        checks, folds = panel.checks, panel.checks.folds
        folds.selected_index = NOTES
        assert MORE in folds.children[NOTES].value
        own = folds.titles[PASSED]
        await asyncio.sleep(0.3)
        assert MORE not in folds.children[NOTES].value and folds.titles[PASSED] != own
        folds.selected_index = PASSED
        assert PLANNED in checks.attention.value + folds.children[PASSED].value

    asyncio.run(open_it())
