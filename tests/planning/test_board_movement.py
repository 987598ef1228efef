"""A laid-out top whose boards move differently, and rough boards that have to clean up."""

from __future__ import annotations

import pytest

from tablekit.engine.trouble import RangeError
from tablekit.planning.board_movement import board_movement
from tablekit.planning.board_wood import cleaning_check
from tablekit.planning.boards import lay_out
from tablekit.relations.families import network
from tests.planning.racks import Board

TABLE = {"table_height": 735.0, "top_diameter": 500.0, "post_section": 64.0}
AIR = {"driest_moisture": 6.0, "dampest_moisture": 12.0, "shop_moisture": 9.0}


SHEET = network("table").solve({**TABLE, **AIR, "movement_coefficient": 0.00274})
# Two strips, each a board less 2 · 2 mm, side by side over a rough circle of 520 mm.
LAYOUT = lay_out(
    [Board("flat", 304, 700), Board("quarter", 254, 700)], 500, margin=10, end_waste=15, edge_loss=2
)


def test_each_strip_moves_by_its_own_coefficient_as_far_as_the_rim() -> None:
    # Wood Handbook table 13-5, white ash: 0.00274 tangential, 0.00169 radial; 6 to 12 % moisture
    moves = board_movement(LAYOUT, {"quarter": 0.00169}, SHEET)
    widths = {strip.board: strip.width for strip in moves.strips}
    assert sum(widths.values()) == pytest.approx(500)  # the top, not the margin round it
    by_hand = 6 * (0.00274 * widths["flat"] + 0.00169 * widths["quarter"])
    assert moves.together == pytest.approx(by_hand)
    assert moves.alone == pytest.approx(6 * 0.00274 * 500)
    assert moves.more == pytest.approx(by_hand - 6 * 0.00274 * 500) and moves.more < 0
    data = moves.to_json()
    assert data["movement"] == pytest.approx(moves.together)
    assert [strip["board"] for strip in data["strips"]] == [s.board for s in LAYOUT.strips]


def test_boards_alike_move_as_the_sheet_says() -> None:
    assert board_movement(LAYOUT, {}, SHEET).more == pytest.approx(0, abs=1e-9)


def test_a_strip_outside_the_rim_does_not_count() -> None:
    # Two boards make 500 of the 520 mm that are covered; the third only begins at the rim.
    boards = [Board("a", 254, 700, 2), Board("sliver", 34, 700)]
    layout = lay_out(boards, 500, margin=10, end_waste=15, edge_loss=2)
    moves = board_movement(layout, {"sliver": 0.006}, SHEET)
    assert sum(strip.width for strip in moves.strips) == pytest.approx(500)
    assert all(strip.width > 0 for strip in moves.strips)


def test_a_coefficient_that_no_wood_has_is_refused() -> None:
    with pytest.raises(RangeError, match="movement_coefficient"):
        board_movement(LAYOUT, {"flat": 0.3}, SHEET)


def rough(*thicknesses: float | None) -> list[Board]:
    return [Board(f"{k}", 100, 500, thickness=t) for k, t in enumerate(thicknesses)]


@pytest.mark.parametrize(
    ("thicknesses", "verdict"),
    [((32.0,), "pass"), ((40.0, 32.0, None), "pass"), ((40.0, 31.9), "fail"), ((3.0,), "fail")],
)
def test_boards_clean_up_or_not(thicknesses, verdict) -> None:
    # 28 mm and the allowances of 2, 1.5 and 0.5 mm: 32 mm (common practice, no source)
    check = cleaning_check(rough(*thicknesses), SHEET)
    assert check is not None and check.verdict == verdict
    assert check.limit == pytest.approx(32) and check.unit == "mm"
    assert check.value == min(t for t in thicknesses if t is not None)


def test_a_failure_says_which_board_and_what_would_do() -> None:
    check = cleaning_check(rough(40.0, 30.0, 30.0), SHEET)
    assert check is not None and check.message.startswith(
        "1, 2: 30 mm rough (at least 32 mm for 28 mm finished"
    )
    assert "make top_thickness 26 mm" in check.message  # 30 less 4 mm of allowances
    thin = cleaning_check(rough(3.0), SHEET)
    assert thin is not None and "make top_thickness" not in thin.message


def test_finished_boards_have_nothing_to_check() -> None:
    assert cleaning_check(rough(None, None), SHEET) is None
