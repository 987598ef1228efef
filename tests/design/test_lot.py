"""Several pieces alike: what is bought, cut and laid out for all of them, against sums by hand."""

from __future__ import annotations

import json
import math
import re
from collections import Counter, defaultdict
from itertools import pairwise
from types import SimpleNamespace

import pytest

from tablekit.brief import BriefError, parse_brief
from tablekit.brief.writing import write_brief
from tablekit.packet.books import bench_book
from tablekit.packet.card import MOST_LINES, card, card_text
from tablekit.packet.offcuts import offcuts_text
from tablekit.packet.packet import answer_json
from tablekit.packet.summary import summary_text
from tablekit.planning.cut_list import cut_list
from tablekit.planning.stock_cutting import Plank
from tablekit.planning.surface import surface_plan
from tablekit.planning.work_order import piece_order
from tablekit.relations.families import network
from tablekit.setting_out import design_of

HEAD = 'name = "Trial table"\n'
GIVEN = """
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
BOARDS = """
[[boards]]
name = "A"
width = "140 mm"
length = "2.4 m"
count = {count}
price = 18.0
[[boards]]
name = "B"
width = "185 mm"
length = "980 mm"
count = 3
price = 20.0
avoid = [{{ from = "900 mm", to = "940 mm" }}]
"""


def lot(pieces: int, boards: int = 0, more: str = ""):
    rack = BOARDS.format(count=boards) if boards else ""
    return design_of(parse_brief(f"{HEAD}count = {pieces}\n{GIVEN}{more}{rack}"))


@pytest.fixture(scope="module")
def four():
    return lot(4, boards=14)


# -- the brief ------------------------------------------------------------------------------------


def test_a_brief_says_how_many_and_is_written_so() -> None:
    brief = parse_brief(f"{HEAD}count = 4\n{GIVEN}")
    assert brief.count == 4
    assert parse_brief(write_brief(brief)) == brief
    alone = parse_brief(f"{HEAD}{GIVEN}")
    assert alone.count == 1 and "count" not in write_brief(alone)


@pytest.mark.parametrize("count", ["0", "25", "2.5", '"four"'])
def test_a_number_that_is_no_lot_is_refused(count: str) -> None:
    with pytest.raises(BriefError, match="count"):
        parse_brief(f"{HEAD}count = {count}\n{GIVEN}")


def test_one_piece_is_answered_as_without_a_count() -> None:
    one, plain = lot(1, boards=4), design_of(parse_brief(HEAD + GIVEN + BOARDS.format(count=4)))
    assert answer_json(one) == answer_json(plain)
    assert not {"count", "board_layouts"} & json.loads(answer_json(one)).keys()
    assert summary_text(one) == summary_text(plain)


# -- parts, planks and fittings -------------------------------------------------------------------


def test_a_lot_has_the_parts_of_each_piece_times_their_number() -> None:
    """By hand: three posts in three laminations each, one plate and two screws to a post."""
    one, many = lot(1).cut_list, lot(4).cut_list
    counts = {line.part: line.count for line in many.lines}
    assert counts == {"post lamination": 4 * 9, "top": 4}
    assert [fitting.count for fitting in many.fittings] == [12, 12, 12, 12]
    for alone, alike in zip(one.lines, many.lines, strict=True):
        assert alike.finished == alone.finished and alike.rough == alone.rough
        assert (alike.volume, alike.mass) == pytest.approx((4 * alone.volume, 4 * alone.mass))


def test_planks_are_cut_for_the_lot_together() -> None:
    """By hand: a plank of 3650 mm, one post wide, yields three blanks of 1190 mm (3 × 1190 and two
    kerfs of 3 mm are 3576, and 3650 − 50 are 3600). Two posts to a piece would leave a third of
    each plank: here twelve blanks take four planks, and five pieces fifteen blanks take five."""
    given = {"post_length": 1150.0, "post_section": 64.0, "top_diameter": 900.0}
    sheet = network("table").solve(
        {**given, "top_thickness": 28.0, "post_laminations": 1.0, "post_trim": 40.0}
    )
    for pieces, planks in ((1, 1), (4, 4), (5, 5)):
        found = cut_list(sheet, planks=[Plank("long", 3650.0, 80.0, price=30.0)], count=pieces)
        assert found.planks is not None and found.planks.planks == {"long": planks}
        assert found.price == 30.0 * planks
    # Of 2450 mm each yields two: three posts take two planks, but twelve take six and not eight.
    for pieces, planks in ((1, 2), (4, 6)):
        found = cut_list(sheet, planks=[Plank("short", 2450.0, 80.0)], count=pieces)
        assert found.planks is not None and found.planks.planks == {"short": planks}
    short = cut_list(sheet, planks=[Plank("short", 2450.0, 80.0, count=5)], count=4)
    assert short.planks is None and "12 × post" in short.short


def test_waste_is_that_of_all_the_pieces() -> None:
    one, many = lot(1).cut_list, lot(4).cut_list
    design = lot(4)
    wood = 4 * design.sheet.number("total_mass") / design.sheet.number("wood_density")
    assert many.waste == pytest.approx(1 - wood / many.bought)
    assert many.bought <= 4 * one.bought + 1e-9


def test_finish_is_bought_for_the_lot() -> None:
    sheet = lot(1).sheet
    assert surface_plan(sheet, 4).lot_volume == pytest.approx(4 * sheet.number("finish_volume"))
    assert "on each of 4 pieces" in surface_plan(sheet, 4).text()


# -- the work -------------------------------------------------------------------------------------


def hands(order) -> dict[str, float]:
    return {task.step.key: task.step.hands for task in order.tasks}


def test_the_work_is_set_up_once_for_the_lot() -> None:
    """By hand from reference/work.csv: make ready once, then each item of each of four pieces."""
    sheet = network("table").solve(
        {
            "table_height": 735.0,
            "top_diameter": 600.0,
            "post_section": 50.0,
            "post_laminations": 1.0,
        }
    )
    one, four = hands(piece_order(sheet)), hands(piece_order(sheet, pieces=4))
    assert one.keys() == four.keys()
    expected = {
        "square_posts": 15 + 12 * 15, "cut_notches": 30 + 12 * 25, "cut_flats": 15 + 24 * 6,
        "fill_top": 5 + 4 * 15, "glue_base": 10 + 12 * 10, "look_over": 4 * 15,
    }  # fmt: skip
    assert {key: four[key] for key in expected} == pytest.approx(expected)
    setups = {"level_top": 10, "cut_round": 40, "ease_rim": 10, "sand_top": 5, "sand_posts": 5}
    for key, setup in setups.items():
        assert four[key] - setup == pytest.approx(4 * (one[key] - setup))


def test_what_cannot_wait_half_way_is_done_in_sessions() -> None:
    """By hand: gluing three posts takes 30 minutes, and making ready 10. A day of 100 minutes has
    room for three bases (10 + 90), so four take two sessions, the second made ready again."""
    sheet = network("stool").solve(
        {"seat_height": 460.0, "top_diameter": 330.0, "post_section": 50.0, "post_laminations": 1.0}
    )
    order = piece_order(sheet, pieces=4, wishes={"working_day": 100.0})
    glued = {task.step.key: task.step for task in order.tasks if "glue_base" in task.step.key}
    assert {key: step.hands for key, step in glued.items()} == {"glue_base_1": 100, "glue_base": 40}
    assert glued["glue_base_1"].words.endswith("session 1 of 2: 3 pieces")
    assert glued["glue_base"].words.endswith("session 2 of 2: 1 piece")


def test_tops_are_glued_up_one_after_the_other(four) -> None:
    glued = [task for task in four.order.tasks if task.step.key.startswith("glue_top")]
    for before, after in pairwise(glued):
        assert after.start >= before.done + 60 - 1e-6  # until the clamps are off: clamp_dwell
    done = {task.step.key: task.done for task in glued}
    joined = [(task, key) for task in glued for key in task.step.after if key in done]
    assert joined
    for task, panel in joined:
        assert task.start >= done[panel] + 12 * 60 - 1e-6  # until its own panels dry: glue_wait
    tops = Counter(re.match(r"Glue up top (\d) of 4", task.step.words)[1] for task in glued)
    assert tops.keys() == {"1", "2", "3", "4"}
    strips = sum(len(one.boards.layout.strips) for one in four.tops)
    assert hands(four.order)["mill_strips"] == pytest.approx(20 + 12 * strips)


def test_tops_that_the_clamps_do_not_serve_are_still_glued_before_they_are_levelled() -> None:
    design = lot(4, boards=14, more="[workshop]\nclamps = 1\n")
    (spare,) = (one for one in design.checks if one.id == "clamp_stock")
    assert spare.verdict == "fail"
    glued = [task for task in design.order.tasks if task.step.key.startswith("glue_top")]
    (level,) = (task for task in design.order.tasks if task.step.key == "level_top")
    assert len(glued) == 4
    for before, after in pairwise(glued):
        assert after.start >= before.done + 60 - 1e-6  # clamp_dwell, as assumed
    assert level.start >= max(task.ready for task in glued) - 1e-6


# -- boards ---------------------------------------------------------------------------------------


def original(board: str, copy: int) -> tuple[str, int]:
    """The board of the rack that a board of a later top once was."""
    told = re.match(r"(?:rest of )?(.*) no\. (\d+)(?:, left by top \d+)?$", board)
    return (told[1], int(told[2])) if told else (board, copy)


def test_no_wood_is_used_twice(four) -> None:
    """From the strips alone: on every board of the rack the strips of all the tops, a kerf of 3 mm
    between them and 15 mm of raw end find room, and no board is there that the rack lacks."""
    sizes = {"A": (2400.0, 14), "B": (980.0, 3)}
    lengths = defaultdict(list)
    for one in four.tops:
        for strip in one.boards.layout.strips:
            lengths[original(strip.board, strip.copy)].append(strip.length_needed)
    assert len({name for name, _ in lengths}) >= 1
    for (name, copy), pieces in lengths.items():
        long, count = sizes[name]
        assert 1 <= copy <= count
        assert sum(pieces) + 3 * (len(pieces) - 1) <= long - 15 + 1e-6
    # A board is begun once: what is left of it has another name.
    cut = Counter((one.board, one.copy) for top in four.tops for one in top.boards.layout.cut)
    assert set(cut.values()) == {1}
    assert any("left by top" in board for board, _ in cut)  # some top is made of offcuts of others


def test_every_top_is_covered(four) -> None:
    """Each strip is as wide as its board less 2 mm an edge and as long as its chord by Pythagoras;
    together they reach across 920 + 2 × 10 mm."""
    radius = 470.0
    assert len(four.tops) == 4
    for one in four.tops:
        strips = one.boards.layout.strips
        assert strips[0].left <= -radius + 1e-6 and strips[-1].right >= radius - 1e-6
        for strip, after in pairwise(strips):
            assert strip.right == pytest.approx(after.left)
        for strip in strips:
            near = 0.0 if strip.left < 0 < strip.right else min(abs(strip.left), abs(strip.right))
            chord = 2 * math.sqrt(max(0.0, radius**2 - near**2))
            assert strip.length_needed == pytest.approx(chord, abs=1e-3)
            assert strip.width <= (140 if strip.board.startswith("A") else 185) - 4 + 1e-6


def test_what_is_used_and_what_is_left_cost_what_was_paid(four) -> None:
    """Area by area: the boards that were begun are paid for by the tops and by what goes back."""
    used = sum(one.boards.layout.price for one in four.tops)
    begun = {
        original(one.board, one.copy) for top in four.tops for one in top.boards.layout.cut
    }  # fmt: skip
    paid = sum({"A": 18.0, "B": 20.0}[name] for name, _ in begun)
    per_area = 18.0 / (140 * 2400)
    rack = parse_brief(HEAD + GIVEN + offcuts_text(four)).boards
    # Every offcut is a rest of an A, measured down to half a millimetre, at most twice.
    assert {board.width for board in rack} == {140}
    left = sum(board.length * board.width * per_area for board in rack)
    assert used + left == pytest.approx(paid, abs=len(rack) * 140 * per_area)


def test_offcuts_of_the_lot_are_boards_for_the_next_brief(four) -> None:
    text = offcuts_text(four)
    assert text.startswith("# Left of the boards for 4 × Trial table")
    rack = parse_brief(HEAD + GIVEN + text).boards
    names = [board.name for board in rack]
    begun = {
        original(one.board, one.copy) for top in four.tops for one in top.boards.layout.cut
    }  # fmt: skip
    assert len(names) == len({original(name, 1) for name in names})  # one rest of a board
    assert {original(name, 1) for name in names} <= begun


def test_a_rack_that_serves_some_tops_says_how_many() -> None:
    design = lot(4, boards=7)
    (check,) = (one for one in design.checks if one.id == "boards")
    covered = len(design.tops) - 1
    assert check.verdict == "fail" and 1 <= covered < 4
    assert f"There are boards for {covered} of 4 tops" in check.message
    assert f"Top {covered + 1}:" in check.message
    # What has no boards is a panel in the cut list.
    panels = [line.count for line in design.cut_list.lines if line.part == "top"]
    assert panels == [4 - covered]
    layouts = json.loads(answer_json(design))["board_layouts"]
    assert [one is None for one in layouts] == [False] * covered + [True]


def test_a_lot_is_not_claimed_to_be_least(four) -> None:
    (check,) = (one for one in four.checks if one.id == "boards")
    assert check.verdict == "pass"
    assert "one after the other" in check.message and "not claimed" in check.message


def test_the_card_of_a_lot_is_no_longer_than_others(four) -> None:
    text = card_text(card(four))
    assert len(text.splitlines()) <= MOST_LINES and max(map(len, text.splitlines())) <= 80
    assert "A lot of 4" in " ".join(text.split()) and "Posts: 12 alike, 3 to a piece" in text
    assert "36 × post lamination" in text and "12 × foot pad" in text


def test_splayed_legs_are_counted_for_the_lot() -> None:
    stool = network("stool", style="splayed legs", legs="four legs").solve(
        {"seat_height": 450.0, "top_diameter": 330.0, "leg_diameter": 40.0}
    )
    found = cut_list(stool, count=3)
    assert (found.lines[0].part, found.lines[0].count) == ("leg", 12)
    work = hands(piece_order(stool, pieces=3))
    assert work["turn_legs"] == pytest.approx(20 + 12 * 45)  # reference/work.csv


def test_tops_from_boards_that_differ_are_cut_from_their_own_rack() -> None:
    """The strips of a second top stand with their own boards, as wide as these lie there."""
    design = lot(2, boards=7)
    lines = [line for line in design.cut_list.lines if line.part.startswith("top 2")]
    strips = design.tops[1].boards.layout.strips
    assert len(lines) == len(strips)
    wide = SimpleNamespace(A=140.0, B=185.0)
    for line in lines:
        name, _ = original(line.board, 1)
        assert line.rough.width == pytest.approx(getattr(wide, name))


# -- what the books say of further tops -----------------------------------------------------------

SEATS = """name = "Stools"
kind = "stool"
count = 3
[given]
seat_height = "290 mm"
top_diameter = "300 mm"
top_thickness = "44 mm"
leg_resultant = "18 deg"
leg_diameter = "35 mm"
tenon_diameter = "25 mm"
[base]
style = "splayed legs"
[[boards]]
name = "slab"
width = "330 mm"
length = "1.1 m"
"""


def said_of(document) -> list[str]:
    """Every sentence of the parts of a document."""
    found = []
    for section in document.sections:
        for part in section.parts:
            for one in getattr(part, "parts", ()) or (part,):
                found += re.split(r"(?<=\.) ", getattr(one, "text", ""))
    return found


def test_a_seat_of_one_board_has_nothing_to_glue_and_is_named_without_a_number() -> None:
    """1100 mm less the raw end hold three circles of 320 mm; each offcut is named by the top that
    left it."""
    design = design_of(parse_brief(SEATS))
    said = " ".join(said_of(bench_book(design)))
    assert "Clamp everything up dry" not in said and "glued up one at a time" not in said
    assert "Number the legs of each piece" in said and "posts" not in said
    notes = [line.note for line in design.cut_list.lines if line.board]
    assert notes == [
        "from board slab", "from board slab, left by top 1", "from board slab, left by top 2"
    ]  # fmt: skip


def test_what_holds_for_every_top_is_said_once(four) -> None:
    said = Counter(said_of(bench_book(four)))
    for once in (
        "Clamp everything up dry first.",
        "Wear gloves and eye protection, and keep your face out of line with a clamp as you "
        "tighten it.",
    ):
        assert said[once] == 1
    full = summary_text(four, 80)
    tops = len({str([(s.board, s.left) for s in t.boards.layout.strips]) for t in four.tops})
    assert tops > 1 and full.count("\nGluing up t") == 4  # one for each top
