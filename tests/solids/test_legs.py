"""Splayed legs as solids, against plain vectors and the volumes of cones and cylinders."""

from __future__ import annotations

from functools import cache
from math import acos, cos, pi, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest

from tablekit.engine.trouble import DesignError
from tablekit.relations.families import network
from tablekit.solids.cutting import mesh, solid, volume_and_centre
from tablekit.solids.leg_assembly import assemble_legs, bored
from tablekit.solids.legs import Leg, LegModel, build_legs, leg_solid
from tests.relations.splayed_vectors import Design, direction
from tests.relations.test_splayed_vectors import random_design

STYLE = "splayed legs"
WORDS = {3: "three legs", 4: "four legs"}
PADS = 3.0


def sheet_of(design: Design, kind: str = "table") -> Any:
    """The kit's sheet of a design of the vectors."""
    given = {
        "leg_rake": np.degrees(design.rake), "leg_splay": np.degrees(design.splay),
        "sight_turn": np.degrees(design.turn), "leg_rise": design.rise,
        "socket_radius": design.socket_radius, "leg_diameter": design.thick,
        "foot_diameter": design.thin, "tenon_diameter": design.tenon,
        "socket_depth": design.depth, "top_thickness": design.top,
        "top_diameter": 2 * design.rim, "pad_projection": PADS,
    }  # fmt: skip
    return network(kind, style=STYLE, legs=WORDS[design.count]).solve(given, name="random")


@cache
def designs() -> tuple[Design, ...]:
    """Of three and of four legs, straight out and not, sockets blind."""
    random = np.random.default_rng(20261130)
    found = []
    for number in range(60):
        one = random_design(random, 3 + number % 2, number % 4 < 2)
        lean = acos(-direction(one)[2])
        if one.depth * cos(lean) + one.tenon / 2 * sin(lean) < one.top - 1:
            found.append(one)
    return tuple(found[:16])


@cache
def made() -> tuple[tuple[Design, LegModel], ...]:
    return tuple((one, build_legs(sheet_of(one))) for one in designs())


def test_there_are_designs_of_every_sort():
    counts = {(one.count, one.turn > 0, one.thin < one.thick) for one in designs()}
    assert len(counts) >= 7


def test_axes_are_those_of_the_vectors():
    for design, model in made():
        down = direction(design)  # in the leg's own axes, x along the rake
        lean = acos(-down[2])
        for number, leg in enumerate(model.legs):
            assert leg.number == number + 1
            # Out to the socket, then down the sight line: its angle to the radius is the turn.
            flat = leg.socket[:2] / np.linalg.norm(leg.socket[:2])
            out = (leg.foot - leg.socket)[:2]
            assert np.linalg.norm(leg.socket[:2]) == pytest.approx(design.socket_radius, rel=1e-9)
            assert leg.socket[2] == pytest.approx(PADS + design.rise, rel=1e-9)
            assert leg.foot[2] == pytest.approx(PADS, abs=1e-9)
            assert np.linalg.norm(out) == pytest.approx(design.rise * tan(lean), rel=1e-9)
            assert out @ flat == pytest.approx(np.linalg.norm(out) * cos(design.turn), abs=1e-6)
            assert np.linalg.norm(leg.end - leg.socket) == pytest.approx(design.depth, rel=1e-9)
            assert leg.along[2] == pytest.approx(cos(lean), rel=1e-9)
            assert np.abs(np.cross(leg.end - leg.foot, leg.along)).max() < 1e-9 * design.rise
            turn = 2 * pi * number / design.count
            ahead = np.array([cos(turn), sin(turn)])
            assert leg.foot[:2] @ ahead == pytest.approx(np.linalg.norm(leg.foot[:2]), rel=1e-9)


def test_a_leg_lies_between_floor_and_underside_and_its_shoulder_just_touches():
    for design, model in made():
        under = PADS + design.rise
        for leg in model.legs:
            assert leg.shaft.vertices[:, 2].min() == pytest.approx(PADS, abs=1e-9)
            shaft_top = leg.shaft.vertices[:, 2].max()
            narrow = 2 * _radius(design, leg.shoulder, leg) <= design.tenon + 1e-6
            if narrow:
                assert shaft_top <= under + design.thick
            else:
                assert shaft_top == pytest.approx(under, abs=1e-9 * under)
            assert leg.tenon.vertices[:, 2].max() < under + design.top


def _radius(design: Design, at: np.ndarray, leg: Leg) -> float:
    """Radius of the cone at a point of the axis: in proportion between foot and underside."""
    share = np.linalg.norm(at - leg.foot) / np.linalg.norm(leg.socket - leg.foot)
    return (design.thin + share * (design.thick - design.thin)) / 2


def test_every_corner_lies_on_the_cone_or_the_tenon():
    for design, model in made():
        for leg in model.legs[:2]:
            for piece, radius in ((leg.shaft, None), (leg.tenon, design.tenon / 2)):
                arms = piece.vertices - leg.foot
                places = arms @ leg.along
                away = np.linalg.norm(arms - np.outer(places, leg.along), axis=1)
                length = np.linalg.norm(leg.socket - leg.foot)
                cone = (design.thin + places / length * (design.thick - design.thin)) / 2
                expected = cone if radius is None else np.full(len(places), radius)
                assert away == pytest.approx(expected, rel=1e-9)


def test_volumes_are_those_of_cone_and_cylinder_as_nearly_as_the_polygon_is_a_circle():
    """Plain formulas: a frustum, less what the level cut of a cone takes (found by slices), and a
    cylinder. A regular polygon of n corners has n/(2π) sin(2π/n) of its circle."""
    for design in designs():
        for sides in (48, 192):
            leg = build_legs(sheet_of(design), sides).legs[0]
            share = sides / (2 * pi) * sin(2 * pi / sides)
            tenon = pi / 4 * design.tenon**2 * np.linalg.norm(leg.end - leg.shoulder)
            assert leg.tenon.volume == pytest.approx(share * tenon, rel=1e-9)
            whole = _cone_to_the_shoulder(design, leg)
            # The level cut meets polygon and circle alike to the second order in 1/n.
            assert leg.shaft.volume == pytest.approx(share * whole, rel=2 / sides**2)


def _cone_to_the_shoulder(design: Design, leg: Leg) -> float:
    """Volume of a round leg from the level foot to its square shoulder, mm³, by slices square to
    the axis: whole circles above the cut, segments of circles across it."""
    lean = acos(leg.along[2])
    length = np.linalg.norm(leg.socket - leg.foot)
    high = float(np.linalg.norm(leg.shoulder - leg.foot))
    rate = (design.thick - design.thin) / 2 / length
    t = tan(lean)
    # The cut leaves of the circle at the place w what lies at x >= -w/t towards the raised side.
    low, top = -design.thin / 2 * t / (1 + rate * t), design.thin / 2 * t / (1 - rate * t)
    nodes, weights = np.polynomial.legendre.leggauss(400)
    places = (low + top) / 2 + (top - low) / 2 * nodes
    radii = design.thin / 2 + rate * places
    x = np.clip(places / t / radii, -1, 1)  # so far the kept part goes, as a share of the radius
    kept = radii**2 * (np.pi - np.arccos(x) + x * np.sqrt(1 - x**2))
    cut = float(weights @ kept) * (top - low) / 2
    ends = design.thin / 2 + rate * top, design.thin / 2 + rate * high
    rest = pi / 3 * (high - top) * (ends[0] ** 2 + ends[0] * ends[1] + ends[1] ** 2)
    return cut + rest


def test_the_sheet_counts_a_leg_to_the_underside_and_the_solid_to_its_shoulder():
    """Between them is a collar: of a straight leg, as high as its shoulder is below."""
    given = {
        "seat_height": 450, "top_diameter": 340, "leg_diameter": 38, "foot_diameter": 38,
        "leg_resultant": 14, "top_thickness": 40,
    }  # fmt: skip
    sheet = network("stool", style=STYLE, legs="three legs").solve(given, name="straight")
    leg = build_legs(sheet, 192).legs[0]
    clear = 19 * tan(np.radians(14))
    share = 192 / (2 * pi) * sin(2 * pi / 192)
    collar = pi * 19**2 * clear
    assert leg.shaft.volume / share == pytest.approx(sheet.number("leg_volume") - collar, rel=1e-4)


def test_the_bored_top_loses_what_lies_over_the_underside_of_its_tenons():
    for design, model in made()[:8]:
        sides = len(model.legs[0].tenon.faces) - 2
        share = sides / (2 * pi) * sin(2 * pi / sides)
        # A level cut of a bore takes from one side what it leaves on the other.
        socket = pi / 4 * design.tenon**2 * design.depth * share
        whole = solid(model.top).volume()
        assert whole - model.seat.volume() == pytest.approx(design.count * socket, rel=1e-6)


def test_mouths_lie_on_the_underside_and_on_the_bore():
    for design, model in made():
        for leg in model.legs:
            mouth = model.mouth(leg)
            assert np.ptp(mouth[:, 2]) < 1e-9 * design.rise
            arms = mouth - leg.socket
            away = np.linalg.norm(arms - np.outer(arms @ leg.along, leg.along), axis=1)
            assert away == pytest.approx(np.full(len(away), design.tenon / 2), rel=1e-9)
            lean = acos(leg.along[2])
            longest = np.linalg.norm(arms, axis=1).max()
            assert longest == pytest.approx(design.tenon / 2 / cos(lean), rel=1e-4)


def test_pads_stand_under_the_feet():
    for design, model in made():
        assert len(model.pads) == design.count
        for pad, leg in zip(model.pads, model.legs, strict=True):
            heights = pad.vertices[:, 2]
            assert (heights.min(), heights.max()) == pytest.approx((0, PADS), abs=1e-9)
            assert pad.vertices.mean(axis=0)[:2] == pytest.approx(leg.foot[:2], abs=1e-9)


def test_surfaces_are_closed_and_named():
    _, model = made()[0]
    names = [part.name for part in model.surfaces]
    count = len(model.legs)
    assert names[:count] == [f"leg {k}" for k in range(1, count + 1)] and names[-1] == "top"
    for part in model.surfaces:
        edges = np.vstack([part.triangles[:, [a, b]] for a, b in ((0, 1), (1, 2), (2, 0))])
        back = {(b, a) for a, b in edges.tolist()}
        assert back == {(a, b) for a, b in edges.tolist()}


def test_a_through_tenon_is_sawn_flush_and_leaves_a_hole_right_through():
    given = {
        "seat_height": 450, "top_diameter": 340, "leg_diameter": 38, "leg_resultant": 14,
        "top_thickness": 40, "socket_depth": 50,
    }  # fmt: skip
    sheet = network("stool", style=STYLE, legs="four legs").solve(given, name="through")
    assert sheet.number("socket_cover") < 0
    model = build_legs(sheet)
    for leg in model.legs:
        assert leg.tenon.vertices[:, 2].max() == pytest.approx(450, abs=1e-9)
    # Genus of a closed surface: a disc with four holes through it (Euler's polyhedron formula).
    corners, triangles = mesh(model.seat)
    assert len(corners) - len(triangles) // 2 == 2 - 2 * 4
    assert assemble_legs(sheet).verdict == "goes together"


# --- going together ------------------------------------------------------------------------------


def test_each_leg_goes_in_along_its_own_axis_with_the_others_in_place():
    tried = 0
    for design in designs()[:6]:
        found = assemble_legs(sheet_of(design))
        if found.meeting:
            continue
        tried += 1
        assert found.verdict == "goes together" and not found.stuck
        assert found.shared < 1e-6
        # Out when the highest corner of the tenon's end is past the underside.
        lean = acos(-direction(design)[2])
        far = design.depth + design.tenon / 2 * tan(lean)
        assert found.distances == pytest.approx([far] * design.count, rel=0.01)
    assert tried >= 4


def test_the_pieces_of_the_bored_top_fill_it_once():
    sheet = sheet_of(designs()[0])
    model = build_legs(sheet, 16)
    pieces = bored(model).pieces
    assert sum(piece.volume for piece in pieces) == pytest.approx(model.seat.volume(), rel=1e-9)
    for piece in pieces:
        for leg in model.legs:
            assert (solid(piece) ^ solid(leg.tenon)).volume() < 1e-6


def test_sockets_that_run_into_one_another_are_found():
    """Bores 12 mm from the centre that lean 30° inward over 60 mm cross: their axes pass the plumb
    line 12/tan 30° = 21 mm up."""
    given = {
        "seat_height": 450, "top_diameter": 340, "leg_diameter": 20, "tenon_diameter": 16,
        "leg_resultant": 30, "top_thickness": 80, "socket_depth": 60, "socket_radius": 12,
        "pad_projection": 3,
    }  # fmt: skip
    sheet = network("stool", style=STYLE, legs="three legs").solve(given, name="meeting")
    found = assemble_legs(sheet)
    assert found.verdict == "locked" and found.meeting == ((1, 2), (1, 3), (2, 3))
    assert "run into one another" in found.words


def test_a_part_in_the_way_is_noticed():
    """The sweep itself must be able to say no: a leg whose tenon is thicker at its end than at the
    mouth is caught."""
    from tablekit.solids.contact import Slides

    sheet = sheet_of(next(one for one in designs() if one.turn == 0))
    model = build_legs(sheet, 16)
    slides = Slides([bored(model), *model.legs])
    still = np.zeros((len(model.legs) + 1, 3))
    aside = np.zeros_like(still)
    aside[1] = [1.0, 0.0, 0.0]  # sideways: the socket holds it
    assert slides.stop(still, aside, range(len(still))) < 1e-3
    up = np.zeros_like(still)
    up[1] = model.legs[0].along  # deeper: the bottom of the socket stops it
    assert slides.stop(still, up, range(len(still))) < 1e-3


def test_what_is_missing_is_named():
    class Open:
        kind = "table"
        network = network("table", style=STYLE)

        def get(self, name: str) -> float | None:
            return None if name == "leg_run" else 1.0

    with pytest.raises(DesignError, match="leg_run"):
        build_legs(Open())


def test_a_leg_weighs_what_its_solid_says():
    """The union of shaft and tenon has both volumes: they only touch."""
    _, model = made()[1]
    leg = model.legs[0]
    volume, centre = volume_and_centre(leg_solid(leg))
    assert volume == pytest.approx(sum(piece.volume for piece in leg.pieces), rel=1e-9)
    assert leg.foot[2] < centre[2] < leg.end[2] and sqrt(volume) > 0
