"""Gluing up a post from laminations, by arithmetic of its own; and the cauls sawn for that."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from math import ceil
from pathlib import Path

import pytest

from tablekit.brief.reading import parse_brief
from tablekit.packet.packet import answer_json
from tablekit.setting_out import design_of
from tests.together import each

BRIEFS = Path(__file__).parents[2] / "notebooks/briefs"
POSTS = ("harbour-table", "reading-room-table", "workshop-stool", "low-table")


def design(name: str, more: str = ""):  # type: ignore[no-untyped-def]
    text = (BRIEFS / f"{name}.toml").read_text(encoding="utf-8")
    return design_of(parse_brief(text.replace("[workshop]", f"[workshop]\n{more}")))


@each("name", POSTS)
def test_clamps_and_time_by_hand(name: str) -> None:
    made = design(name)
    sheet, found = made.sheet, made.post_glue
    length, width, thick = (
        sheet.number(one) for one in ("post_blank", "lamination_width", "lamination_thickness")
    )
    joints, deep = round(sheet.number("post_laminations")) - 1, found.sheet.number("caul_depth")
    # 1.2 MPa over one face (175 psi, quoted from glue makers), 9 kN a G-clamp (common practice, no
    # source); pressure spreads at 45° through caul and lamination from either side (the same)
    capacity = 900 * 4.4482216152605 if name == "low-table" else 9000  # the brief has 900 lbf
    by_force, by_spread = 1.2 * length * width / capacity, length / (2 * (deep + thick))
    count = ceil(max(by_force, by_spread))
    assert found.clamps == count and len(found.places) == count
    assert found.places[0] == pytest.approx(length / count / 2)
    assert found.places[-1] == pytest.approx(length - length / count / 2)
    # 40 000 mm² spread in a minute, half a minute to close a joint and to set a clamp
    minutes = joints * (length * width / 40_000 + 0.5) + count * 0.5
    assert found.minutes == pytest.approx(minutes)
    assert found.in_time == (minutes <= found.sheet.number("open_time"))
    assert found.held.number("clamp_opening") == pytest.approx((joints + 1) * thick + 2 * deep)


def test_of_one_post_worked_through() -> None:
    """Harbour table: 1158.5 × 81 mm, 25.5 mm thick: 12.5 clamps by force, 8.8 by spacing."""
    found = design("harbour-table").post_glue
    assert found.clamps == 13
    assert found.places[:2] == pytest.approx((44.56, 133.67), abs=0.05)
    assert found.minutes == pytest.approx(12.19, abs=0.01)
    assert "13 G-clamps 89 mm apart" in found.how and "(open time 15 min)" in found.how
    short = design("reading-room-table").post_glue  # 11 min of work, 10 min of open time
    assert not short.in_time and "use a slower glue" in short.how
    (task,) = (one for one in design("reading-room-table").order.tasks
               if one.step.key == "glue_posts")  # fmt: skip
    assert task.step.how == short.how


def test_posts_in_one_piece_have_no_glue_up() -> None:
    text = (BRIEFS / "harbour-table.toml").read_text(encoding="utf-8")
    whole = design_of(parse_brief(text.replace("[given]", "[given]\npost_laminations = 1")))
    assert whole.post_glue is None
    assert "post_glue_up" not in json.loads(answer_json(whole))
    assert all(one.use == "top" for one in whole.cut_list.cauls)


@each("name", POSTS)
def test_every_caul_is_in_the_cut_list_and_no_more_than_are_used_at_once(name: str) -> None:
    made = design(name)
    data = json.loads(answer_json(made))
    listed = Counter()  # type: ignore[var-annotated]
    for one in data["buy_list"]["cauls"]:
        if one["use"] == "top":
            listed[round(one["length"], 1)] += one["count"]
    most = Counter()  # type: ignore[var-annotated]
    for stage in data["glue_up"]["stages"]:
        used = Counter()  # type: ignore[var-annotated]
        for up in stage["glue_ups"]:
            for caul in up["cauls"]:
                used[round(caul["length"], 1)] += caul["count"]
        assert used <= listed
        most |= used
    assert most == listed
    rows = list(csv.DictReader(io.StringIO(made.cut_list.to_csv(made.sheet.shop_style))))
    shown = [row for row in rows if row["part"].startswith("caul")]
    assert len(shown) == len(made.cut_list.cauls)
    assert all("not part of the piece" in row["note"] for row in shown)
    (post,) = (one for one in data["buy_list"]["cauls"] if one["use"] == "posts")
    (same,) = data["post_glue_up"]["cauls"]
    assert post["count"] == same["count"] == 2 and post["length"] == same["length"]
