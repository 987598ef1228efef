"""The parts cut as solids: volumes, contact, and that faults are found."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from tablekit.engine.trouble import DesignError
from tablekit.relations.families import network
from tablekit.solids.body import box
from tablekit.solids.cutting import post_solid, solid, volume_and_centre
from tablekit.solids.fit import check_fit
from tablekit.solids.model import build
from tablekit.solids.notched import Notch, NotchedPost, one_notch_posts, two_notch_posts
from tests.relations import reference_vectors as vectors
from tests.solids import cut_solids
from tests.together import each as each_of

SECTION, LENGTH = 64.0, 1000.0


def sharp_posts(splay: float = cut_solids.SQUARE, up: bool = True) -> tuple[NotchedPost, ...]:
    """Posts by plain vectors, ends left sharp, as this kit's own records."""
    design = vectors.Design(
        SECTION, LENGTH, splay, SECTION / 2, LENGTH / 2, 0.0, 0.0, notches_up=up
    )
    found, _, _ = vectors.posts(design)
    made = []
    for k, post in enumerate(found):
        guest = found[(k + 1) % 3]
        rows = guest.half_spaces()
        sense = np.sign(guest.side @ post.along)
        foot, head = (rows[5], rows[4]) if sense > 0 else (rows[4], rows[5])
        planes = np.array([rows[3] if up else rows[2], foot, head])
        notch = Notch(planes[:, :3], -planes[:, 3], (k + 1) % 3 + 1)
        ends = post.waist + post.low * post.along, post.waist + post.high * post.along
        bar = box("post", k + 1, *ends, (SECTION / 2 * post.bearing, SECTION / 2 * post.side))
        made.append(NotchedPost(k + 1, bar, post.along, (notch,)))
    return tuple(made)


@pytest.mark.parametrize("up", [True, False])
def test_square_crossing_of_one_metre_posts(up):
    # Counted by hand: 64 × 64 × 1000 less half of 64³
    fit = check_fit(sharp_posts(up=up))
    assert [part.volume for part in fit.parts] == pytest.approx([3_964_928] * 3, rel=1e-12)
    assert [part.pieces for part in fit.parts] == [1, 1, 1]
    assert not fit.problems
    notched = sharp_posts(up=up)[0]
    taken = solid(notched.prism) ^ solid(notched.cutter(notched.notches[0]))
    assert taken.volume() == pytest.approx(131_072, rel=1e-12)


@pytest.mark.parametrize("degrees", [15, 30, 45, 54.735610317245346, 65])
@pytest.mark.parametrize("up", [True, False])
def test_posts_equal_those_cut_another_way(degrees, up):
    # Boxes and booleans without this kit: tests/solids/cut_solids.py
    splay = float(np.radians(degrees))
    design = vectors.Design(
        SECTION, LENGTH, splay, SECTION / 2, LENGTH / 2, 0.0, 0.0, notches_up=up
    )
    others, _ = cut_solids.one_notch(design)
    for post, other in zip(sharp_posts(splay, up), others, strict=True):
        mine = post_solid(post)
        assert (mine - other).volume() < 1e-6
        assert (other - mine).volume() < 1e-6


def test_one_notch_posts_lie_where_plain_vectors_put_them():
    sheet = network("table", way_up="notches down").solve(
        {"post_length": 900.0, "top_diameter": 800.0, "post_section": 60.0, "splay": 40.0}
    )
    design = vectors.Design(
        60.0, 900.0, np.radians(40), 30.0, sheet.number("notch_position"), 0, 0, notches_up=False
    )
    others, _ = cut_solids.one_notch(design)
    posts = one_notch_posts(sheet)
    # The vectors put the waist at height 0; the model stands the piece on its feet.
    rise = float(build(sheet).waists[0, 2])
    for post, other in zip(posts, others, strict=True):
        mine = post_solid(post).translate([0, 0, -rise])
        assert (mine - other).volume() < 1e-6
        flats = sheet.number("foot_flat_depth"), sheet.number("head_flat_depth")
        corner = sheet.number("bearing_rise") * sheet.number("side_rise") * np.cos(np.radians(40))
        pyramids = sum(depth**3 for depth in flats) / (6 * corner)
        # A corner cut level loses a pyramid of d³/(6 × the product of the three climbs).
        assert (other - mine).volume() == pytest.approx(pyramids, rel=1e-9)


def test_contact_areas_at_the_square_crossing():
    # Counted by hand in quarters of 64 × 64: the guest's own notch takes a quarter from the floor,
    # one wall is half the section deep, the other keeps half of that.
    fit = check_fit(sharp_posts())
    square = SECTION**2
    assert len(fit.contacts) == 9
    for touch in fit.contacts:
        share = {"floor": 3 / 4, "foot wall": 1 / 2, "head wall": 1 / 4}[touch.face]
        assert touch.designed == pytest.approx(share * square, rel=1e-9)
        assert touch.pressed == pytest.approx(share * square, rel=1e-5)
        assert touch.guest == touch.host % 3 + 1


@pytest.mark.parametrize("ratio", [0.2, 0.35, 0.7])
def test_contact_areas_when_let_in_more_or_less(ratio):
    # Square crossing, offset e: floor w² − e'², walls w·e' and e·e', with e' = w − e, by hand
    sheet = network("table").solve(
        {"post_length": 900.0, "top_diameter": 800.0, "post_section": 60.0,
         "axis_offset": 60 * ratio}
    )  # fmt: skip
    shares = {"floor": 1 - (1 - ratio) ** 2, "foot wall": 1 - ratio, "head wall": ratio - ratio**2}
    for touch in check_fit(sheet).contacts:
        assert touch.pressed / 3600 == pytest.approx(shares[touch.face], rel=1e-4)


def random_givens(seed: int) -> tuple[str, dict[str, float]]:
    """An invented design: any lean, section, let-in and way up that leave the posts room."""
    chance = np.random.default_rng(seed)
    section = chance.uniform(30, 65)
    return chance.choice(["notches up", "notches down"]), {
        "post_length": section * chance.uniform(14, 22),
        "post_section": section,
        "splay": chance.uniform(22, 66),
        "axis_offset": section * chance.uniform(0.35, 0.65),
        "top_diameter": chance.uniform(400, 1300),
        "foot_flat": section * chance.uniform(0.1, 0.3),
        "head_flat": section * chance.uniform(0.1, 0.3),
    }


@each_of("seed", range(16))
def test_volumes_agree_with_the_relations(seed):
    way_up, givens = random_givens(seed)
    fit = check_fit(network("table", way_up=way_up).solve(givens))
    assert not fit.problems
    assert [pair.name for pair in fit.compared] == ["post_volume", "notch_volume", "top_volume"]
    assert max(pair.difference for pair in fit.compared) < 1e-9
    posts = [part for part in fit.parts if part.name == "post"]
    # By three-fold symmetry the base's middle of mass lies on the centre line.
    middle = sum(part.volume * part.centre for part in posts) / sum(part.volume for part in posts)
    assert np.abs(middle[:2]).max() < 1e-9 * givens["post_length"]


def test_parts_of_a_whole_table():
    sheet = network("table").solve({"table_height": 735, "top_diameter": 920, "post_section": 64})
    fit = check_fit(sheet)
    assert [(part.name, part.number) for part in fit.parts] == [
        ("post", 1), ("post", 2), ("post", 3), ("pad", 1), ("pad", 2), ("pad", 3), ("top", 1)
    ]  # fmt: skip
    assert fit.fits
    assert fit.volume == pytest.approx(sum(part.volume for part in fit.parts))
    top = fit.parts[-1]
    assert top.centre == pytest.approx([0, 0, 735 - sheet.number("top_thickness") / 2], abs=1e-9)
    assert top.centre[2] > fit.centre[2] > fit.parts[0].centre[2]


def test_two_notches_leave_the_core_and_two_empty_eighths():
    # Counted in eighths of the crossing cube: a post keeps two of the eight, three posts six
    posts = two_notch_posts(SECTION, LENGTH)
    fit = check_fit(posts)
    each = SECTION**2 * LENGTH - 3 / 4 * SECTION**3
    assert [part.volume for part in fit.parts] == pytest.approx([each] * 3, rel=1e-12)
    assert not fit.problems
    bars = [solid(post.prism) for post in posts]
    together = (bars[0] + bars[1] + bars[2]).volume()
    assert together == pytest.approx(3 * SECTION**2 * LENGTH - 2 * SECTION**3, rel=1e-12)
    assert fit.volume == pytest.approx(together - 2 * (SECTION / 2) ** 3, rel=1e-12)
    by_hand = cut_solids.two_notches(SECTION, LENGTH)
    assert [other.volume() for other in by_hand] == pytest.approx([each] * 3, rel=1e-12)


def test_two_notch_posts_stand_on_their_flats():
    posts = two_notch_posts(64.0, 1000.0, 450.0, 17.0, 12.0)
    for post in posts:
        low, high = post.prism.vertices[:, 2].min(), post.prism.vertices[:, 2].max()
        assert low == pytest.approx(0, abs=1e-9)
        # (L + 2w)/√3 over sharp corners, isometric projection, less both flats
        assert high == pytest.approx(1128 / np.sqrt(3) - 29, rel=1e-12)
    assert not check_fit(posts).problems


def test_too_shallow_a_notch_is_found():
    posts = list(sharp_posts())
    posts[0] = posts[0].with_notch(0, posts[0].notches[0].deepened(-0.1))
    fit = check_fit(posts)
    # A tenth of a millimetre over the floor's three quarters of 64²
    assert fit.overlaps[0].volume == pytest.approx(307.2, rel=1e-9)
    assert "post 1 and post 2 overlap by 307.2 mm³" in fit.problems


def test_too_deep_a_notch_is_found():
    posts = list(sharp_posts())
    posts[0] = posts[0].with_notch(0, posts[0].notches[0].deepened(0.1))
    assert "nothing bears on the floor of a notch in post 1" in check_fit(posts).problems


def test_a_post_cut_through_is_found():
    posts = list(sharp_posts())
    posts[1] = posts[1].with_notch(0, posts[1].notches[0].deepened(33))
    assert "post 2 is in 2 pieces, not one" in check_fit(posts).problems


def test_a_wrong_volume_on_the_sheet_is_found():
    class Wrong:
        """A sheet whose notch is a millionth too large."""

        def __init__(self, sheet):
            self._sheet = sheet

        def __getattr__(self, name):
            return getattr(self._sheet, name)

        def get(self, name):
            value = self._sheet.get(name)
            return value * (1 + 1e-6) if name == "notch_volume" else value

    sheet = network("table").solve({"table_height": 735, "top_diameter": 920, "post_section": 64})
    (problem,) = check_fit(Wrong(sheet)).problems
    assert problem.startswith("notch_volume measured on the solids is 131072")


def test_centre_of_mass_of_an_l():
    # By hand: a bar 4 × 1 × 1 with a 1 × 1 × 1 corner block left after the notch
    bar = box("post", 1, np.zeros(3), np.array([4.0, 0, 0]), (np.eye(3)[1], np.eye(3)[2]))
    planes = np.array([[0.0, 0, -1], [-1.0, 0, 0], [1.0, 0, 0]])
    post = NotchedPost(1, bar, np.eye(3)[0], (Notch(planes, np.array([0.0, -1.0, 5.0]), 2),))
    volume, centre = volume_and_centre(post_solid(post))
    # 4 × 2 × 2 less 3 × 2 × 1 whose middle is at (2.5, 0, 0.5)
    assert volume == pytest.approx(10)
    assert centre == pytest.approx([(16 * 2 - 6 * 2.5) / 10, 0, -0.3])


def test_pieces_fill_the_post_and_do_not_overlap():
    for post in (*sharp_posts(np.radians(35)), *two_notch_posts(40.0, 700.0)):
        solids = [solid(piece) for piece in post.pieces]
        total = sum(piece.volume for piece in post.pieces)
        assert total == pytest.approx(post_solid(post).volume(), rel=1e-12)
        joined = solids[0]
        for piece in solids[1:]:
            joined = joined + piece
        assert joined.volume() == pytest.approx(total, rel=1e-9)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"section": 0.0, "length": 100.0}, "make no post"),
        ({"section": 50.0, "length": 40.0}, "make no post"),
        ({"section": 50.0, "length": 500.0, "notch_position": 20.0}, "run into the foot"),
        ({"section": 50.0, "length": 500.0, "notch_position": 480.0}, "run into the head"),
        ({"section": 50.0, "length": 500.0, "foot_flat_depth": 30.0}, "foot_flat_depth 30 mm"),
    ],
)
def test_two_notch_posts_refuse_what_has_no_room(given, words):
    with pytest.raises(ValueError, match=words):
        two_notch_posts(**given)


def test_a_notch_without_width_is_refused():
    post = sharp_posts()[0]
    notch = replace(post.notches[0], offsets=post.notches[0].offsets - [0, 40, 40])
    with pytest.raises(ValueError, match="a notch of post 1 has no width"):
        post.cutter(notch)


def test_the_solids_library_is_loaded_only_when_a_solid_is_cut():
    code = (
        "import sys, tablekit.solids.assembly, tablekit.solids.fit, tablekit.solids.export; "
        "print('manifold3d' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert answer.stdout.strip() == "False"


def test_a_missing_solids_library_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "manifold3d", None)
    with pytest.raises(DesignError, match="pip install manifold3d"):
        check_fit(sharp_posts())
