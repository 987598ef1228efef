"""What a shop's own measured spread does to what is said of a piece."""

from __future__ import annotations

import csv
import io
import math
import re
from pathlib import Path

import pytest

from tablekit import cli
from tablekit.brief import parse_brief, read_brief
from tablekit.brief.measured import parse_measured, to_measure_csv
from tablekit.packet.spread_text import spread_text
from tablekit.planning.own_spread import own_spreads, tolerances_of
from tablekit.relations.families import network
from tablekit.relations.levelling import DEFAULT
from tablekit.setting_out import design_of

BRIEFS = Path(__file__).parents[2] / "notebooks" / "briefs"
PLAIN = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
ERRORS = (0.1, 0.5, 0.3, 0.7, 0.4)


@pytest.fixture(scope="module")
def sheet():
    return network("table").solve(PLAIN)


def measured(name: str, drawn: float, errors: tuple[float, ...] = ERRORS):
    return [(name, drawn, drawn + error) for error in errors]


def test_what_is_measured_takes_the_place_of_what_is_assumed(sheet) -> None:
    own = own_spreads(sheet, measured("post_length", 1146.5))
    found = {one.name: one.plus_minus for one in tolerances_of(sheet, "table_height", own)}
    # By hand: the mean is 0.4, the squares about it sum to 0.09 + 0.01 + 0.01 + 0.09 = 0.2, and
    # two deviations are 2 √(0.2/4).
    assert found.pop("post_length") == pytest.approx(2 * math.sqrt(0.05), rel=1e-9)
    usual = {one.name: one.plus_minus for one in DEFAULT}
    assert found == {name: usual[name] for name in found} and len(found) == len(usual) - 1


def test_a_flat_is_measured_by_its_circle_and_counts_by_its_depth(sheet) -> None:
    """At the square crossing the circle is √2 of the depth (reference/derivations/flats.md)."""
    (own,) = own_spreads(sheet, measured("foot_flat", 25.0)).values()
    assert own.name == "foot_flat_depth"
    assert own.errors == pytest.approx([error / math.sqrt(2) for error in ERRORS], rel=1e-9)


def test_too_few_pieces_leave_the_assumed_tolerance(sheet) -> None:
    own = own_spreads(sheet, measured("post_length", 1146.5, ERRORS[:4]))
    found = {one.name: one for one in tolerances_of(sheet, "table_height", own)}
    assert found["post_length"].plus_minus == 0.5
    said = spread_text(sheet, "table_height", own)
    assert "post_length: 4 pieces" in said and "fewer than 5 pieces, so the usual ± stays" in said
    assert "  post_length ±0.5 mm\n" in said


def test_the_text_says_pieces_mean_spread_and_what_a_bias_does(sheet) -> None:
    said = spread_text(sheet, "table_height", own_spreads(sheet, measured("post_length", 1146.5)))
    # ± 0.447 by hand as above; five pieces leave 0.5991 to 2.8736 times that open (Boost.Math's
    # table); the mean is known to 2.776 √0.05/√5 = 0.278 (Student's t, from memory); a post that
    # is 0.4 mm long lifts the table by 0.4/√3 = 0.23 mm.
    assert "post_length: 5 pieces, mean error +0.4 mm, ±0.45 mm (±0.27 mm to ±1.3 mm)" in said
    assert "Posts come out 0.4 mm long on average (0.12 mm to 0.68 mm)" in said
    assert "It alone makes table_height 0.23 mm more." in said
    assert "  post_length ±0.45 mm   as measured\n" in said


def test_the_widest_result_is_that_of_the_widest_cuts(sheet) -> None:
    """Only post_length was measured: its share of the variance grows by 2.8736² (as above)."""
    own = own_spreads(sheet, measured("post_length", 1146.5))
    usual = {one.name: one.plus_minus for one in DEFAULT} | {"post_length": 2 * math.sqrt(0.05)}
    said = spread_text(sheet, "table_height", own)
    (plain,) = re.findall(r"^table_height comes out within ±([\d.]+) mm", said)
    (wide,) = re.findall(r"table_height would come out within ±([\d.]+) mm", said)
    grown = (usual["post_length"] / math.sqrt(3)) ** 2 * (2.8736**2 - 1)
    assert float(wide) == pytest.approx(math.sqrt(float(plain) ** 2 + grown), abs=0.06)


def test_pieces_all_alike_are_said_to_tell_nothing(sheet) -> None:
    own = own_spreads(sheet, measured("post_length", 1146.5, (0.5,) * 6))
    said = spread_text(sheet, "table_height", own)
    assert "6 pieces, all +0.5 mm off as far as they were read: no spread to see" in said
    assert "Posts come out 0.5 mm long on average" in said and "post_length ±0.5 mm\n" in said


@pytest.mark.parametrize("name", ["reading-room-table", "garden-stool", "low-table"])
def test_the_file_to_fill_in_is_one_that_is_read(name: str) -> None:
    design = design_of(read_brief(BRIEFS / f"{name}.toml"))
    rows = list(csv.DictReader(io.StringIO(to_measure_csv(design.brief, design.sheet))))
    assert {row["measured"] for row in rows} == {""}
    for row in rows:
        row["measured"] = row["drawn"]
    filled = io.StringIO()
    writer = csv.DictWriter(filled, rows[0].keys())
    writer.writeheader()
    writer.writerows(rows)
    found = parse_measured(filled.getvalue(), "filled.csv")
    assert len(found) == len(rows) > 10
    for one in found:  # what is marked is what the sheet has, to the step of the rule
        assert one.drawn == pytest.approx(design.sheet.number(one.name), abs=0.4)
    own = own_spreads(design.sheet, [(m.name, m.drawn, m.measured) for m in found])
    assert all(spread.mean == 0 for spread in own.values())


def test_a_lot_has_rows_for_each_of_its_pieces() -> None:
    text = (BRIEFS / "reading-room-table.toml").read_text("utf-8")
    design = design_of(parse_brief(text.replace("[given]", "count = 2\n\n[given]", 1)))
    rows = list(csv.DictReader(io.StringIO(to_measure_csv(design.brief, design.sheet))))
    lengths = [row["piece"] for row in rows if row["size"] == "post_length"]
    assert len(lengths) == len(set(lengths)) == 6
    assert sum(row["size"] == "top_diameter" for row in rows) == 2


def test_the_commands_work_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    brief, file = str(BRIEFS / "reading-room-table.toml"), tmp_path / "mine.csv"
    assert cli.main(["set-out", brief, "--to-measure", str(file)]) == 0
    assert cli.main(["set-out", brief, "--to-measure", str(file)]) == 2
    assert "is there already and may be filled in" in capsys.readouterr().err
    lines = file.read_text("utf-8").splitlines()
    filled = [line.replace(",,", ",1146.9,") if "post_length" in line else line for line in lines]
    file.write_text("\n".join(filled), "utf-8")
    asked = ["working", brief, "table_height"]
    assert cli.main([*asked, "--spread", "--measured", str(file)]) == 0
    assert "post_length: 3 pieces" in capsys.readouterr().out
    assert cli.main([*asked, "--measured", str(file)]) == 2
    assert "--measured goes with --spread" in capsys.readouterr().err
    file.write_text("piece,size\n", "utf-8")
    assert cli.main([*asked, "--spread", "--measured", str(file)]) == 2
    assert "mine.csv, line 1: the columns drawn, measured are missing" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("legs", "stretchers"),
    [(3, "none"), (3, "T"), (3, "ring"), (4, "none"), (4, "H"), (4, "ring")],
)
def test_the_height_on_legs_strays_as_by_hand_whatever_joins_them(
    legs: int, stretchers: str
) -> None:
    text = f'name = "S"\nkind = "stool"\n[base]\nstyle = "splayed legs"\nlegs = {legs}\n'
    text += f'stretchers = "{stretchers}"\n[given]\nseat_height = "450 mm"\n'
    sheet = design_of(parse_brief(text)).sheet
    lean, long = math.radians(sheet.number("leg_resultant")), sheet.number("shoulder_length")
    # By hand: height = top + (length − depth) cos θ, with ±0.3, ±0.5 and ±0.5 mm and ±0.5°.
    parts = [0.3, 0.5 * math.cos(lean), 0.5 * math.cos(lean),
             math.radians(0.5) * long * math.sin(lean)]  # fmt: skip
    said = spread_text(sheet, "seat_height", {})
    assert f"within ±{math.hypot(*parts):.1f} mm of 450 mm" in said
    share = parts[-1] ** 2 / math.hypot(*parts) ** 2
    assert f"leg_resultant matters most, with {100 * share:.0f} % of the variance" in said
    assert "the cut takes out what is off in legs" in " ".join(said.split())


def test_the_lean_of_a_bore_is_asked_and_counts() -> None:
    brief = read_brief(BRIEFS / "milking-stool.toml")
    sheet = design_of(brief).sheet
    rows = list(csv.DictReader(io.StringIO(to_measure_csv(brief, sheet))))
    leans = [row for row in rows if row["size"] == "leg_resultant"]
    assert [(one["drawn"], one["unit"]) for one in leans] == [("20", "deg")] * 3
    filled = "piece,size,drawn,measured,unit\n" + "".join(
        f"leg {k} of a stool,lean,20,{20 + error},deg\n" for k, error in enumerate(ERRORS)
    )
    own = own_spreads(sheet, [(m.name, m.drawn, m.measured) for m in parse_measured(filled, "m")])
    found = {one.name: one.plus_minus for one in tolerances_of(sheet, "seat_height", own)}
    # By hand, as above: 2 √(0.2/4).
    assert found["leg_resultant"] == pytest.approx(2 * math.sqrt(0.05), rel=1e-9)
    said = spread_text(sheet, "seat_height", own)
    assert "Bores lean 0.4° too far on average" in said
    posts = read_brief(BRIEFS / "reading-room-table.toml")
    assert "splay" not in to_measure_csv(posts, design_of(posts).sheet)
