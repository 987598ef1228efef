"""That many cases in one test are all tried, and those that fail are told."""

from __future__ import annotations

import pytest

from tests.together import each


def test_all_that_fail_are_told_together() -> None:
    tried = []

    @each(("one", "other"), [(1, 1), (1, 2), (3, 3), (4, 5)])
    def same(one: int, other: int) -> None:
        tried.append(one)
        assert one == other, f"{one} is not {other}"

    with pytest.raises(AssertionError) as told:
        same()
    assert tried == [1, 1, 3, 4]
    assert "2 of 4 cases fail" in str(told.value)
    assert "1 is not 2" in str(told.value) and "4 is not 5" in str(told.value)


def test_one_that_is_skipped_hides_no_other() -> None:
    @each("one", [1, 2], ids=str)
    def small(one: int) -> None:
        if one == 1:
            pytest.skip("too small to say")
        assert one < 2

    with pytest.raises(AssertionError, match="1 of 2 cases fail"):
        small()

    @each("one", [1])
    def none(one: int) -> None:
        pytest.skip("nothing to say")

    with pytest.raises(pytest.skip.Exception):
        none()


@each("number", [1, 2])
@each("letter", "ab")
def test_it_stands_over_another_and_beside_a_fixture(
    number: int, letter: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    assert number in (1, 2) and letter in "ab" and tmp_path_factory is not None


def test_an_ordinary_run_tries_some_in_turn_and_a_slow_one_all() -> None:
    had: list[tuple[int, str]] = []

    @each("number", range(3), ordinary=1)
    @each("letter", "abcd", ordinary=2)
    def both(number: int, letter: str) -> None:
        had.append((number, letter))

    (marked,) = both.pytestmark  # type: ignore[attr-defined]
    some, whole = marked.args[1]
    assert some == "some" and whole.values == ("all",)
    assert [mark.name for mark in whole.marks] == ["slow"]
    for _ in range(6):
        both(breadth=some)
    numbers, letters = zip(*had, strict=True)
    assert [numbers.count(number) for number in range(3)] == [4, 4, 4]
    assert [letters.count(letter) for letter in "abcd"] == [3, 3, 3, 3]
    had.clear()
    both(breadth="all")
    assert had == [(number, letter) for number in range(3) for letter in "abcd"]


def test_what_an_ordinary_run_tries_is_the_same_in_every_run() -> None:
    had: list[int] = []

    @each("number", range(9), ordinary=4)
    def some_of_nine(number: int) -> None:
        had.append(number)

    some_of_nine(breadth="some")
    assert had == [1, 2, 3, 8]


def test_a_case_is_taken_as_parametrize_takes_it() -> None:
    tried: list[object] = []

    @each("one", [{"a": 1}, pytest.param({"b": 2}, id="b"), (3, 4)])
    def one_each(one: object) -> None:
        tried.append(one)

    @each("one, other", [pytest.param(5, 6, id="both"), (7, 8)], ids=["both", "plain"])
    def two_each(one: int, other: int) -> None:
        tried.append((one, other))

    one_each()
    two_each()
    assert tried == [{"a": 1}, {"b": 2}, (3, 4), (5, 6), (7, 8)]
