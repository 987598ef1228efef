"""Legs that are not alike: against plain vectors, random errors of every kind, and the remedies."""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from tablekit.engine.trouble import DesignError
from tablekit.planning.as_cut import NoLongerFit, WrongUnit
from tablekit.planning.leg_remedies import LegsMade, legs_made
from tablekit.planning.leg_work import LegWork, leg_work
from tablekit.planning.legs_as_cut import LegPieces, drawn, sheets_of, stand
from tablekit.relations import legs_as_cut
from tablekit.relations.families import network

Vector = NDArray[np.float64]
KINDS = [(kind, legs) for kind in ("stool", "table") for legs in ("three legs", "four legs")]


def work(kind: str = "stool", legs: str = "four legs", **more: float) -> LegWork:
    high = {"stool": {"seat_height": 450.0}, "table": {"table_height": 700.0}}[kind]
    sheet = network(kind, style="splayed legs", legs=legs).solve({**high, **more})
    found = leg_work(sheet)
    assert found is not None
    return found


def all_sawn(of: LegWork, **off: float) -> dict[str, float]:
    """Every leg as long as drawn, its foot cut, but for `leg_2=-4.0` and the like."""
    long = of.sheet.number("leg_length")
    return {f"leg_length_{k}": long + off.get(f"leg_{k}", 0.0) for k in range(1, of.count + 1)}


# -- vectors --------------------------------------------------------------------------------------


def feet_by_vectors(pieces: LegPieces) -> Vector:
    """The middles of the sawn feet in the frame of the top, shape (n, 3): every leg a stick in a
    bore, from the mouth along a direction that is put together from what both views show."""
    sheet, found = pieces.sheet, []
    for leg in pieces.legs:
        around = 2 * math.pi * (leg - 1) / pieces.work.count
        turned = around + math.radians(sheet.number("sight_turn"))
        radius = np.array([math.cos(around), math.sin(around), 0.0])
        across = np.array([-math.sin(around), math.cos(around), 0.0])
        sight = np.array([math.cos(turned), math.sin(turned), 0.0])
        beside = np.array([-math.sin(turned), math.cos(turned), 0.0])
        mouth = pieces.number("socket_radius", leg) * radius
        mouth = mouth + pieces.number("socket_aside", leg) * across
        seen = math.tan(math.radians(pieces.number("leg_lean", leg)))
        front = math.tan(math.radians(pieces.number("lean_aside", leg)))
        way = sight * seen + beside * front - np.array([0.0, 0.0, 1.0])
        way = way / np.linalg.norm(way)
        deep = pieces.number("socket_depth", leg)
        stops = pieces.number("tenon_length", leg) - pieces.work.bench.number("shoulder_clear")
        shows = pieces.number("leg_length", leg) - min(deep, stops)
        found.append(mouth + shows * way)
    return np.array(found)


def floors(feet: Vector) -> list[tuple[Vector, Vector, float]]:
    """Every plane through three feet with none of them below it: a foot, its normal up, and the
    gap under the foot that is left."""
    found = []
    for three in combinations(range(len(feet)), 3):
        a, b, c = feet[list(three)]
        normal = np.cross(b - a, c - a)
        normal = normal * np.sign(normal[2]) / np.linalg.norm(normal)
        gaps = (feet - a) @ normal
        if gaps.min() > -1e-6:
            found.append((a, normal, float(gaps.max())))
    return found


def by_vectors(pieces: LegPieces) -> tuple[float, float, float]:
    """Tilt in degrees, height and gap in mm, for the way of standing that tilts most."""
    top = np.array([0.0, 0.0, pieces.top("top_thickness")])
    ways = [
        (math.degrees(math.atan2(math.hypot(n[0], n[1]), n[2])),
         float((top - at) @ n) + pieces.sheet.number("pad_projection"), gap)
        for at, n, gap in floors(feet_by_vectors(pieces))
    ]  # fmt: skip
    return max(ways)


@cache
def with_errors(count: int = 40) -> tuple[LegPieces, ...]:
    """Random pieces, every foot sawn, with errors such as happen in a workshop and larger."""
    random, found = np.random.default_rng(11), []
    for k in range(count):
        kind, legs = KINDS[k % 4]
        turn = 0.0 if k % 3 else random.uniform(2, 25)
        of = work(kind, legs, leg_resultant=random.uniform(6, 24), sight_turn=turn,
                  pad_projection=(0.0, 3.0)[k % 2])  # fmt: skip
        sizes = {}
        for leg in range(1, of.count + 1):
            near = {"leg_length": 6.0, "socket_radius": 4.0, "socket_depth": 2.0,
                    "tenon_length": 2.0}  # fmt: skip
            pieces = drawn(of).with_sizes({f"leg_length_{leg}": of.sheet.number("leg_length")})
            for stem, most in near.items():
                size = pieces.number(stem, leg) + random.uniform(-most, most)
                sizes[f"{stem}_{leg}"] = size
            lean = of.sheet.number("leg_resultant")
            sizes[f"leg_lean_{leg}"] = lean + random.uniform(-2, 2)
            sizes[f"lean_aside_{leg}"] = random.uniform(-2, 2)
            sizes[f"socket_aside_{leg}"] = random.uniform(-5, 5)
        sizes["top_thickness"] = of.sheet.number("top_thickness") - random.uniform(-1, 3)
        found.append(drawn(of).with_sizes(sizes))
    return tuple(found)


@pytest.mark.witness(
    *(one for one in legs_as_cut.relations() if one is not legs_as_cut.FOOT_LEFT),
    by="sticks in bores and planes through their ends, as vectors in space, with random errors",
    within="1e-9 of a length, 1e-7 degrees",
)
def test_legs_with_random_errors_stand_as_vectors_say() -> None:
    # independent: feet_by_vectors and floors above
    rocking = 0
    for pieces in with_errors():
        found, (tilt, height, gap) = stand(pieces), by_vectors(pieces)
        feet = feet_by_vectors(pieces)
        for one, foot in zip(found.legs, feet, strict=True):
            assert (*one.foot, -one.drop) == pytest.approx(tuple(foot), abs=1e-7)
        assert found.tilt == pytest.approx(tilt, abs=1e-7)
        assert found.height == pytest.approx(height, rel=1e-9)
        assert found.rock == pytest.approx(gap, abs=1e-6)
        assert found.rim_drop == pytest.approx(
            pieces.sheet.number("top_diameter") * math.sin(math.radians(tilt)), abs=1e-6
        )
        ring = [*feet, feet[0]]
        sides = [abs(np.cross(a, b)[2]) / np.linalg.norm(a[:2] - b[:2])
                 for a, b in pairwise(ring)]  # fmt: skip
        assert found.arm == pytest.approx(min(sides), rel=1e-9)
        rocking += found.rock > 0.1
    assert rocking >= 15


def test_as_drawn_it_stands_as_drawn() -> None:
    for kind, legs in KINDS:
        of = work(kind, legs)
        for pieces in (drawn(of), drawn(of).with_sizes(all_sawn(of))):
            found = stand(pieces)
            name = "seat_height" if kind == "stool" else "table_height"
            assert found.height == pytest.approx(of.sheet.number(name), rel=1e-9)
            assert (found.tilt, found.rock) == pytest.approx((0, 0), abs=1e-5)
            assert all(one.off == pytest.approx(0, abs=1e-6) for one in found.legs)
            assert math.hypot(*found.legs[1].foot) == pytest.approx(
                of.sheet.number("foot_radius"), rel=1e-9
            )


@pytest.mark.witness(
    legs_as_cut.FOOT_LEFT, by="points round the end of a tapered foot in space", within="1e-9"
)
def test_a_square_foot_is_cut_as_low_as_its_whole_outline_allows() -> None:
    # independent: the circle of the sawn line on the cone of the leg, point by point. The kit's
    # cone is that of the drawn leg, whose diameter is foot_diameter where the drawn foot is.
    of = work("stool", "three legs", leg_diameter=50.0, foot_diameter=30.0, leg_resultant=20.0)
    blank = of.bench.number("leg_blank") - 12.0  # turned too short
    found = stand(drawn(of).with_sizes({"leg_blank_1": blank}))
    lean, taper = math.radians(20.0), of.sheet.number("leg_taper")
    left = found.legs[0].entry
    axis = blank - left - found.legs[0].drop / math.cos(lean)
    around = np.linspace(0, 2 * math.pi, 20001)
    # A point of the level plane at the angle `a` of the cone with radius 15 at the cut:
    # its place below the cut along the axis is s = ρ tan θ cos a with ρ = 15 − κ s.
    s = 15.0 * math.tan(lean) * np.cos(around) / (1 + taper * math.tan(lean) * np.cos(around))
    assert axis == pytest.approx(s.max(), rel=1e-9)


def test_a_square_foot_waits_for_the_shortest() -> None:
    of = work("stool", "four legs")
    short = of.sheet.number("leg_length") - 5.0
    found = stand(drawn(of).with_sizes({"leg_length_2": short}))
    drops = [one.drop for one in found.legs]
    assert max(drops) - min(drops) < 1e-9 and found.rock == pytest.approx(0, abs=1e-6)
    by = 5.0 * math.cos(math.radians(of.sheet.number("leg_resultant")))
    assert found.height == pytest.approx(450.0 - by, rel=1e-9)


def test_a_deeper_socket_does_not_swallow_a_shouldered_leg() -> None:
    of = work("stool", "four legs")
    assert of.shouldered
    deeper = {**all_sawn(of), "socket_depth_1": of.sheet.number("socket_depth") + 3}
    assert stand(drawn(of).with_sizes(deeper)).height == pytest.approx(450.0, rel=1e-9)
    plain = work("stool", "four legs", leg_diameter=30.0, tenon_diameter=30.0)
    assert not plain.shouldered
    deeper = {**all_sawn(plain), "socket_depth_1": plain.sheet.number("socket_depth") + 3}
    assert stand(drawn(plain).with_sizes(deeper)).rock > 2


# -- what now -------------------------------------------------------------------------------------


def after(sizes: dict[str, float], **of: float) -> LegsMade:
    return legs_made(work(**of), sizes)  # type: ignore[arg-type]


def test_what_is_within_tolerance_needs_nothing() -> None:
    of = work()
    made = legs_made(of, all_sawn(of, leg_2=-0.3))
    assert made.fine and not made.remedies and "nothing to do" in made.verdict
    square = legs_made(of, {"socket_radius_1": of.sheet.number("socket_radius") + 1})
    assert square.fine and "nothing to do but to cut the feet level" in square.verdict


def test_every_remedy_is_carried_out_and_looked_at_again() -> None:
    """What a remedy says comes of it is what vectors find of the sizes it leaves."""
    looked, kinds = 0, set()
    for pieces in with_errors():
        made = legs_made(pieces.work, pieces.sizes)
        for one in made.remedies:
            after_, kinds_ = one.pieces, one.what.split()[0]
            sawn = {f"leg_length_{leg}": after_.number("leg_length", leg) for leg in after_.legs}
            for leg, done in zip(after_.legs, one.after.legs, strict=True):
                if not after_.is_sawn(leg):  # a new leg is turned to its socket, cut to the others
                    lean = math.cos(math.radians(done.lean))
                    sawn[f"leg_length_{leg}"] = done.entry + done.drop / lean
                    clear = pieces.work.bench.number("shoulder_clear")
                    sawn[f"tenon_length_{leg}"] = done.entry + clear
            for leg, thick in after_.pads.items():
                lean = math.cos(math.radians(one.after.legs[leg - 1].lean))
                sawn[f"leg_length_{leg}"] = after_.number("leg_length", leg) + thick / lean
            tilt, height, gap = by_vectors(after_.with_sizes(sawn))
            assert one.after.height == pytest.approx(height, rel=1e-9)
            assert one.after.tilt == pytest.approx(tilt, abs=1e-6)
            if one.serves:
                visible = pieces.sheet.number("visible_slope")
                assert gap <= 0.5 + 1e-6
                assert math.tan(math.radians(tilt)) <= made.slope * visible * (1 + 1e-6)
            looked += 1
            kinds.add(kinds_)
    assert looked > 60 and kinds >= {"level", "make", "bore", "shim"}, (looked, kinds)


def test_what_is_taken_off_each_leg_is_what_it_is_longer_by() -> None:
    # by hand: three legs 4 mm longer than the other; 4 mm comes off each, along the leg
    of = work()
    made = legs_made(of, all_sawn(of, leg_2=-4.0))
    assert "rocks" in made.verdict and "low over leg 2" in made.verdict
    (level,) = [one for one in made.remedies if one.what.startswith("level it")]
    assert [(one.where, round(one.amount, 6)) for one in level.steps] == [
        ("foot 1", 4.0), ("foot 3", 4.0), ("foot 4", 4.0)
    ]  # fmt: skip
    (shim,) = [one for one in made.remedies if one.what.startswith("shim")]
    # by hand: 4 cos 15° = 3.86 mm, six leaves of 0.6 mm
    assert [(one.where, one.amount) for one in shim.steps] == [("foot 2", pytest.approx(3.6))]


def test_a_table_with_all_legs_short_takes_pads_or_stays_low() -> None:
    of = work("stool", "three legs")
    made = legs_made(of, all_sawn(of, leg_1=-6, leg_2=-6, leg_3=-6))
    # by hand: 6 cos 18° = 5.706 mm
    assert made.height_off == pytest.approx(-5.706, abs=5e-4) and not made.fine
    (pads,) = made.remedies
    assert pads.what == "thicker pads" and pads.height_off == pytest.approx(0, abs=1e-6)


def test_tenons_that_do_not_fit_and_floors_that_are_thin() -> None:
    of = work("stool", "three legs")  # tenon 30 mm, 0.1 mm of clearance
    loose = legs_made(of, {"tenon_diameter_2": 29.2})
    assert "tenon 2 is loose, with 0.9 mm of play" in loose.verdict
    assert "0.8 mm thicker" in loose.remedies[0].text and loose.remedies[0].serves
    tight = legs_made(of, {"tenon_diameter_1": 30.6, "socket_diameter_1": 30.1})
    assert "tenon 1 is 0.5 mm too thick for its socket" in tight.verdict
    # by hand, at 18°: 36 − 31.5 · 0.95106 − 15.05 · 0.30902 = 1.39 mm
    thin = legs_made(of, {"top_thickness": 36.0, "socket_depth_1": 31.5})
    assert "only 1.4 mm is left over socket 1" in thin.verdict
    assert "floor of the sockets" in thin.verdict  # the check that fails now
    # and 6 mm are left by 31.5 − (6 − 1.39)/0.95106 = 26.66 mm
    assert "bore sockets 2 and 3 26.7 mm deep" in thin.remedies[0].text
    through = legs_made(of, {"top_thickness": 34.0, "socket_depth_1": 31.5})
    assert "socket 1 comes through the upper face" in through.verdict
    assert "wedged from above" in through.remedies[0].text


def test_a_socket_bored_askew_may_be_left_or_bored_afresh() -> None:
    of = work("stool", "three legs")
    made = legs_made(of, {"lean_aside_2": 3.0})
    # by hand: 402 mm of drop, tan 3° = 0.05241, 21.07 mm
    assert made.standing.legs[1].off == pytest.approx(21.07, abs=5e-3)
    assert "foot 2 stands 21.1 mm out of place" in made.verdict
    assert [one.what for one in made.remedies] == ["leave it", "bore socket 2 afresh"]
    assert made.remedies[1].after.legs[1].off == pytest.approx(0, abs=1e-6)


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    of = work("stool", "three legs")
    with pytest.raises(WrongUnit, match=r"length of leg 1 is 45 mm and was drawn .*right unit"):
        legs_made(of, {"leg_length_1": 45.0})
    with pytest.raises(NoLongerFit, match="leg 4: this piece has 3 legs"):
        legs_made(of, {"socket_depth_4": 30.0})
    with pytest.raises(DesignError, match=r"leg 2 cannot be worked through.*measure again"):
        legs_made(of, {"leg_length_2": 21.0})


def test_the_working_has_a_sheet_for_each_leg_and_the_floor() -> None:
    of = work()
    sheets = sheets_of(drawn(of).with_sizes(all_sawn(of, leg_2=-4.0)))
    assert [sheet.name for sheet in sheets] == [
        "leg 1 as cut", "leg 2 as cut", "leg 3 as cut", "leg 4 as cut", "the floor under the feet"
    ]  # fmt: skip
    assert sheets[-1].number("rock_gap") == pytest.approx(
        stand(drawn(of).with_sizes(all_sawn(of, leg_2=-4.0))).rock, rel=1e-9
    )
