"""The working as it is written on paper: short, answer first, and nothing missing from it."""

from __future__ import annotations

import math
import re

import pytest

from tablekit.brief import read_brief
from tablekit.engine.formula import FormulaWriter, Piece, Plain
from tablekit.engine.network import Network
from tablekit.engine.on_paper import on_paper
from tablekit.engine.quantity import Quantity, common_practice
from tablekit.engine.reduced import ClosedWorking, TogetherWorking
from tablekit.engine.relation import Relation, equal
from tablekit.engine.sheet import Sheet
from tablekit.engine.shop import ShopStyle, figures_text
from tablekit.engine.units import parse_quantity
from tablekit.packet.books import DocumentBoard
from tablekit.packet.document import Formula as Lines
from tablekit.relations.families import network
from tablekit.setting_out import set_out
from tablekit.shipped import notebooks_path
from tests.engine.test_formula import Reader

DEMOS = notebooks_path() / "briefs"


@pytest.fixture(scope="module")
def table() -> Sheet:
    return set_out(read_brief(DEMOS / "reading-room-table.toml"))


@pytest.fixture(scope="module")
def stool() -> Sheet:
    """Its lean comes of relations that are solved together."""
    return set_out(read_brief(DEMOS / "workshop-stool.toml"))


@pytest.mark.parametrize(
    ("which", "name", "most"),
    [("table", "post_length", 12), ("table", "tipping_load", 30), ("stool", "tipping_load", 30)],
)
def test_it_is_short(which: str, name: str, most: int, request: pytest.FixtureRequest) -> None:
    lines = on_paper(request.getfixturevalue(which).working(name)).splitlines()
    assert len(lines) <= most and max(map(len, lines)) <= 96


def is_used(letter: str, said: str) -> bool:
    """Whether a letter stands in a formula, but for what is tried until it agrees."""
    formulas = re.sub(r"tried until .* agree|N·m|m/s²", "", said)
    return re.search(rf"(?<![\w′]){re.escape(letter)}(?![\w′])", formulas) is not None


def test_what_rests_on_a_lean_that_was_tried_quotes_it_and_says_where_its_steps_are(
    stool: Sheet,
) -> None:
    quoted, whole = (on_paper(stool.working(name)) for name in ("base_mass", "splay"))
    assert "; see its working" in " ".join(quoted.split()) and "see its working" not in whole
    (together,) = (
        step for step in stool.working("splay").steps if isinstance(step, TogetherWorking)
    )
    for step in together.follow:
        letter = stool.network.quantity(step.unknown).letter
        value = figures_text(
            stool.number(step.unknown), stool.network.quantity(step.unknown).unit, stool.shop_style
        )
        alike = rf"{re.escape(letter)}( =|,|$)"
        stands = re.search(rf"{re.escape(letter)} = {re.escape(value)}", quoted) or re.search(
            rf"= {re.escape(value)} = {alike}", " ".join(quoted.split())
        )
        # What no later formula takes is left to the working of the lean.
        assert stands or not is_used(letter, quoted), letter
        assert letter in whole


def test_a_post_length_by_hand(table: Sheet) -> None:
    """735 less 3 of pad and 32 of top; two flats of 25/√2; then √3 times that less twice 63.5."""
    said = on_paper(table.working("post_length"))
    assert said.startswith("post length: L = 1146.67 mm. In the shop: 1146.5 mm (0.2 mm under).\n")
    assert "= 735 mm − 3 mm − 32 mm = 700 mm\n" in said
    assert "L = √3·H_c − 2·w = √3 × 735.355 mm − 2 × 63.5 mm = 1146.67 mm\n" in said
    assert "= 17.6777 mm = d_h\n" in said and "= 735.355 mm\n" in said  # both flats in one line
    assert "f_f = 25 mm" in said and "min(" not in said  # the plain one of several bounds


def short_of_the_mass(sheet: Sheet, name: str) -> set[str]:
    """What a quantity rests on, the total mass included, but not what only that rests on."""
    wanted, seen = [name], set[str]()
    while wanted:
        one = wanted.pop()
        if one not in seen:
            seen.add(one)
            step = sheet.plan.step_of.get(one)
            if step is not None and (one != "total_mass" or one == name):
                wanted += step.needs
                wanted += step.unknowns
    return seen


@pytest.mark.parametrize("thinned", [5, pytest.param(1, marks=pytest.mark.slow)])
@pytest.mark.parametrize("which", ["table", "stool"])
def test_every_quantity_has_every_step_and_ends_in_its_answer(
    which: str, thinned: int, request: pytest.FixtureRequest
) -> None:
    sheet: Sheet = request.getfixturevalue(which)
    names = [n for n, value in sheet.values.items() if value.number is not None]
    for name in names[::thinned]:
        working = sheet.working(name)
        said, shown = " ".join(on_paper(working).split()), short_of_the_mass(sheet, name)
        for found in {found for step in working.steps for found in step.finds}:
            letter = re.escape(sheet.network.quantity(found).letter)
            if found not in shown:
                assert "M = " in said and "see its working" in said  # in that of the mass
                continue
            if found in working.reduced.exact and found != name:
                continue  # held by the test of the square crossing
            if found in working.reduced.same and found != name:
                other = re.escape(sheet.network.quantity(working.reduced.same[found].name).letter)
                assert re.search(rf"(^|[ ,]){letter} =( \S+ =)* {other}(,| )", said), (name, found)
                assert sheet.si[found] == pytest.approx(
                    sheet.si[working.reduced.same[found].name], rel=1e-12
                )
                continue
            figures = figures_text(
                sheet.number(found), sheet.network.quantity(found).unit, sheet.shop_style
            )
            in_a_loop = any(
                found in step.finds for step in working.steps if isinstance(step, TogetherWorking)
            )
            # Of a loop the others are in the working of what is tried, as it says.
            elsewhere = in_a_loop and "see its working" in said and not is_used(
                sheet.network.quantity(found).letter, said
            )  # fmt: skip
            assert f"= {figures}" in said or elsewhere, (name, found)
        numbers = [int(n) for n in re.findall(r"^ ?(\d+) ", on_paper(working), re.MULTILINE)]
        assert numbers == list(range(1, len(numbers) + 1))


def test_what_is_solved_together_says_what_is_tried_and_what_has_to_agree(stool: Sheet) -> None:
    said = on_paper(stool.working("splay"))
    assert re.search(r"^ \d splay +tried until both sides of .+ agree: θ = 50\.5129°$", said, re.M)


def test_a_value_that_there_is_none_of_says_why(stool: Sheet) -> None:
    none = [name for name, value in stool.values.items() if value.number is None]
    for name in none:
        assert f"no value here, {stool[name].reason}" in on_paper(stool.working(name))


# -- the square crossing -------------------------------------------------------------------------

SQUARE = {"table_height": 735.0, "top_diameter": 1000.0, "post_section": 64.0}
TANGENT = math.sqrt(2)  # of the lean: each of three edges of a cube to its diagonal
BY_HAND = {  # Euclid XIII.15: the square on the diagonal of a cube is three times that on an edge
    "splay": math.atan(TANGENT),
    "crossing_angle": math.pi / 2,
    "roll": math.pi / 4,
    "bearing_rise": 1 / math.sqrt(3),
    "side_rise": 1 / math.sqrt(3),
    "notch_floor_tilt": 0.0,
}


def test_the_numbers_of_a_cube_stand_at_the_square_crossing(table: Sheet) -> None:
    said = on_paper(table.working("tipping_load"))
    assert "cos θ = n = m = 1/√3, sin θ = √(2/3), tan θ = K = √2, β = 45°" in said
    assert "φ = 90°" in on_paper(table.working("total_mass"))
    assert "0.57735" not in said and "1.41421" not in said
    exact = table.working("tipping_load").reduced.exact
    for name, number in BY_HAND.items():
        assert float(exact[name]) == pytest.approx(number, abs=1e-15)
        assert table.si[name] == pytest.approx(number, abs=1e-12)


@pytest.mark.parametrize(
    ("lean", "square"),
    [("54.7356 deg", False), ("54.735610317245346 deg", True), ("54.73561031 deg", False)],
)
def test_a_lean_that_is_only_nearly_square_has_decimals(lean: str, square: bool) -> None:
    """arccos(1/√3) is 54.735610317245345684…° (OEIS A195696); within 1e-12 rad or not at all."""
    given = {**SQUARE, "splay": parse_quantity(lean, "deg")}
    said = on_paper(network("table").solve(given).working("post_length"))
    assert ("√3·H_c" in said) is square and ("0.57735" in said) is not square


def test_splayed_legs_have_no_square_crossing() -> None:
    sheet = set_out(read_brief(DEMOS / "garden-stool.toml"))
    for name in ("total_mass", "leg_resultant"):
        assert "square crossing" not in on_paper(sheet.working(name))


@pytest.mark.parametrize("which", ["table", "stool"])
def test_a_formula_cut_down_still_gives_the_number_by_the_rules_of_algebra(
    which: str, request: pytest.FixtureRequest
) -> None:
    """Read back from the text by a reader that knows nothing of the writer."""
    sheet: Sheet = request.getfixturevalue(which)
    things = {**sheet.network.quantities, **sheet.network.constants}
    values = {
        thing.letter: sheet.network.constants[n].si if n in sheet.network.constants else sheet.si[n]
        for n, thing in things.items()
        if n in sheet.network.constants or n in sheet.si
    }
    checked = 0
    for name in ("post_length", "tipping_load", "overhang", "notch_width", "foot_reach"):
        working = sheet.working(name)
        for step in working.reduced.steps:
            if isinstance(step, ClosedWorking) and sheet.values[step.unknown].number is not None:
                text = FormulaWriter(Plain(), lambda s: Piece(things[s.name].letter)).text(
                    working.reduced.form(step)
                )
                assert Reader(text, values).sum() == pytest.approx(
                    sheet.si[step.unknown], rel=1e-9, abs=1e-12
                ), (name, step.unknown, text)
                checked += 1
    assert checked > 10


def test_what_is_equal_elsewhere_is_not_laid_to_the_square_crossing() -> None:
    """Where c is nought, a = b + c is b unchanged, and d = 2 a is twice b."""
    names = ("a", "b", "c", "d")
    a, b, c, d = (Quantity(name, name, "mm", "for this test", 0, 100) for name in names)
    total, twice = (
        Relation(name, equal(left.symbol, right), "For this test.", "So it is.", common_practice())
        for name, left, right in (
            ("total", a, b.symbol + c.symbol), ("twice", d, 2 * a.symbol)
        )
    )  # fmt: skip
    sheet = Network("small", [a, b, c, d], [total, twice]).solve({"b": 5, "c": 0})
    said = on_paper(sheet.working("d"))
    assert re.search(r"^equal +a = b$", said, re.M) and "square" not in said
    assert re.search(r"^ 1 d +d = 2·b = 2 × 5 mm = 10 mm$", said, re.M)
    assert re.search(r"^ 1 a +a = b = 5 mm$", on_paper(sheet.working("a")), re.M)


def test_a_negative_number_stands_in_brackets() -> None:
    """−3² is −9, and (−3)² is 9; nor do two signs stand side by side."""
    x, y, z = (Quantity(name, name, "1", "for this test", -100, 100) for name in "xyz")
    squares = equal(z, x.symbol**2 - 2 * y.symbol)
    relation = Relation("squares", squares, "For this test.", "So it is.", common_practice())
    sheet = Network("small", [x, y, z], [relation]).solve({"x": -3, "y": -5})
    assert "z = x² − 2·y = (−3)² − 2 × (−5) = 19" in on_paper(sheet.working("z"))


def test_the_same_working_is_written_the_same_each_time(table: Sheet) -> None:
    for name in ("flat_ratio", "post_length"):
        assert len({table.working(name).text() for _ in range(5)}) == 1


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("lean", [38, 45, 50, 54, 58, 61])
def test_a_lean_that_is_given_takes_a_dozen_lines(units: str, lean: int) -> None:
    """What follows from the lean alone stands in one row, and the mass is quoted; each has a
    working of its own that starts from the lean."""
    given = {"table_height": 724.0, "top_diameter": 914.4, "post_section": 63.5}
    shop = ShopStyle("in" if units == "in" else "mm")
    sheet = network("table").solve({**given, "splay": float(lean)}, shop=shop)
    length, load = (on_paper(sheet.working(name)) for name in ("post_length", "tipping_load"))
    assert len(length.splitlines()) <= 12 and len(load.splitlines()) <= 30
    assert max(map(len, (*length.splitlines(), *load.splitlines()))) <= 96
    # By plain trigonometry (reference/derivations/crossing.md, flats.md).
    roll = math.atan(1 / (math.sqrt(3) * math.cos(math.radians(lean))))
    n, m = (math.sin(math.radians(lean)) * f(roll) for f in (math.sin, math.cos))
    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    ratio = n * math.hypot(c, m) + m * math.hypot(c, n) + s * c
    for said in (length, load):
        row = re.search(r"^at that splay +(.+)$", said, re.M)
        assert row is not None
        for letter, number in (("n", n), ("m", m), ("K", ratio)):
            assert f"{letter} = {number:.6g}" in row[1]
    assert re.search(r"^found +M = [\d.]+ (kg|lb); see its working$", load, re.M)
    assert "mass" not in length and "top mass" in on_paper(sheet.working("total_mass"))
    assert "roll" in on_paper(sheet.working("flat_ratio"))


@pytest.mark.parametrize(
    ("units", "post", "tipping"), [("mm", 12, 24), ("in", 12, 25)]
)  # fmt: skip
def test_a_base_off_square_takes_a_dozen_lines(units: str, post: int, tipping: int) -> None:
    """The formula at the lean found, with its numbers; how the lean was found is a working of its
    own, which has every step of the loop."""
    off_square = {"mm": (720.0, 900.0, 64.0, 640.0), "in": (736.6, 914.4, 63.5, 635.0)}[units]
    names = ("table_height", "top_diameter", "post_section", "foot_spread")
    sheet = network("table").solve(
        dict(zip(names, off_square, strict=True)), shop=ShopStyle("in" if units == "in" else "mm")
    )
    length, load = (on_paper(sheet.working(name)) for name in ("post_length", "tipping_load"))
    assert len(length.splitlines()) <= post and len(load.splitlines()) <= tipping
    assert max(map(len, (*length.splitlines(), *load.splitlines()))) <= 96
    assert "L = (H_c − n·w − w·m)/cos θ\n" in length and "    roll " not in length
    whole = on_paper(sheet.working("splay"))
    for label in ("roll", "bearing rise", "flat ratio", "foot arm", "post length"):
        assert re.search(rf"^    {label} ", whole, re.M), label
    # By plain arithmetic, from what the working shows (reference/derivations/crossing.md).
    lean, rise, side = (sheet.si[n] for n in ("splay", "bearing_rise", "side_rise"))
    corner = sheet.number("corner_height")
    by_hand = (corner - off_square[2] * (rise + side)) / math.cos(lean)
    assert sheet.number("post_length") == pytest.approx(by_hand, rel=1e-9)


def test_a_reading_is_put_in_on_the_scale_of_its_formula() -> None:
    """70 °F are (70 − 32)/1.8 = 21.1111 °C (NIST SP 811, B.8), and the equation is fitted to
    degrees Celsius: 0.805 + 0.000736·21.1111 − 0.00000273·21.1111² = 0.819321 (Wood Handbook,
    4-5)."""
    given = {"driest_temperature": parse_quantity("70 degF", "degC"), **SQUARE}
    sheet = network("table").solve(given, shop=ShopStyle("in"))
    said = " ".join(on_paper(sheet.working("driest_dissolving")).split())
    assert "T_d = 70 °F" in said and "°C" not in said
    assert "0.000736·(T_d/°F − 32)/1.8" in said and "((T_d/°F − 32)/1.8)²" in said
    assert "0.000736 × (70 − 32)/1.8" in said and "((70 − 32)/1.8)²" in said
    assert "0.819321" in said
    metric = on_paper(network("table").solve(given).working("driest_dissolving"))
    assert "T_d = 21.1111 °C" in metric and "0.000736·T_d/°C" in metric and "°F" not in metric
    board = DocumentBoard(sheet.working("driest_dissolving"))
    board.write(brief=False)
    every = [line for part in board.parts if isinstance(part, Lines) for line in part.lines]
    assert any("(T_d/°F − 32)/1.8" in text for _, text in every)
    assert not any("°C" in text for _, text in every)
