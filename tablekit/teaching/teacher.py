"""A page for the teacher: aims, timings, what to cut at a quarter of the size, and safety."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from tablekit.engine.shop import ShopStyle, shop_text
from tablekit.packet.document import Document, Section, Steps, Table, Text
from tablekit.planning import cut_list
from tablekit.relations.families import network
from tablekit.teaching.kinds import Display
from tablekit.teaching.kinds_top import KINDS

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet

# The model is a quarter of a table 736 mm high and 920 mm across on posts of 64 mm, on sizes that
# a rule can be read to; no pads, and a top of card or thin plywood. Millimetres.
SCALE = 4
MODEL: dict[str, float] = {
    "table_height": 184.0,
    "top_diameter": 230.0,
    "post_section": 16.0,
    "top_thickness": 6.0,
    "pad_projection": 0.0,
    "foot_flat": 6.0,
    "head_flat": 6.0,
}
POSTS = 3.0
_SIZES = (
    ("post_section", "side of the square stock"),
    ("post_length", "length of each post before its flats are cut"),
    ("notch_position", "foot end of the post to the centre of its notch"),
    ("notch_width", "length of the notch along the post"),
    ("notch_depth", "depth of the notch"),
    ("foot_flat_depth", "corner to the flat of a foot, plumb"),
    ("head_flat_depth", "corner to the flat of a head, plumb"),
    ("top_diameter", "diameter of the top"),
    ("top_thickness", "thickness of the top"),
    ("foot_radius", "radius of the foot circle"),
    ("head_radius", "radius of the head circle, to glue the top to"),
)


@dataclass(frozen=True)
class Lesson:
    """One part of the lesson: minutes, what the class does, and what it takes."""

    minutes: int
    what: str
    materials: str


LESSONS = (
    Lesson(15, "Handle a finished model. Where do the posts touch, and where not? Which sizes "
           "does a maker need?", "one model, rules"),
    Lesson(40, "Worksheets. Each student has different numbers, so neighbours compare methods, "
           "not answers.", "worksheets, calculators"),
    Lesson(20, "Corrections, with hints for anyone who is stuck. Collect the mistakes and let the "
           "class say how each could have been noticed.", "answer sheet"),
    Lesson(25, "Mark out three posts of the model on the bench, from one end and one face.",
           "square stock, knife or sharp pencil, square, marking gauge"),
    Lesson(50, "Cut the notches and flats. Try the joint dry.",
           "fine saw, chisel, bench hook, clamps"),
    Lesson(20, "Assemble it, glue the top on, and tip it with a finger on the rim: between two "
           "feet, then over a foot. Which is easier, and why?", "glue, card or plywood, a spring "
           "balance or small weights"),
    Lesson(10, "Measure the height and compare it with the calculated height.", "rule, square"),
)  # fmt: skip

AIMS = (
    "Read the sizes of a leaning post off a drawing, and tell what is measured plumb, along the "
    "post and in plan.",
    "Calculate the length of the posts for a given height, and the height for given posts, "
    "allowing for flats, pads and top.",
    "Explain why, at the square crossing, each post changes by √3 times the change in height.",
    "Set out a notch from the post section and the distance between the post axes.",
    "Say why a round top on three feet tips between two of them, and estimate at what load.",
    "Calculate how far a solid top moves over the seasons, and what its fastenings must allow for.",
    "Carry units through a calculation, round once, at the end, and judge whether an answer is "
    "plausible.",
)

SAFETY = (
    "Hold short stock in a bench hook or a clamp, never in the hand. Keep both hands behind the "
    "edge of the chisel, and let nobody stand in front of it.",
    "The stock of the model is too small for most machines: cut it by hand. Any sawing or planing "
    "by machine is done beforehand, in long lengths, by someone licensed for the machine, "
    "following its instructions and the rules of the school.",
    "Wear eye protection when sawing and chiselling. Tie back sleeves, hair and cords.",
    "The model is not a seat or a step. Tip it on the bench with a finger, not with your weight.",
    "The load that just tips a table is not a safe load. If you build at full size, follow the "
    "standards and rules that apply where the piece will stand.",
)


@cache
def model(display: Display = "mm") -> Sheet:
    """The sheet of the model at a quarter of the size, solved by the kit."""
    return network("table").solve(
        MODEL, name="model at a quarter of the size", shop=ShopStyle(display=display)
    )


def stock_for(models: int) -> float:
    """Length of square stock for the posts of a number of models, mm, cuts and waste not counted.

    Raises DesignError for none, or for more than the kit counts in one lot."""
    sheet = model()
    section = sheet.number("post_section")
    parts = cut_list.network().solve(
        {
            "part_count": POSTS * models,
            "part_length": sheet.number("post_length"),
            "part_width": section,
            "part_thickness": section,
            "wood_density": sheet.number("wood_density"),
        }
    )
    one_long_piece = {
        "part_count": 1.0,
        "part_volume": parts.number("part_volume"),
        "part_width": section,
        "part_thickness": section,
        "wood_density": sheet.number("wood_density"),
    }
    return cut_list.network().solve(one_long_piece).number("part_length")


def teacher_page(display: Display = "mm") -> Document:
    """The page for the teacher, ready for `lay_out_pages` or `web_page`."""
    return Document(
        "Teaching the three-post table",
        "For a class of joinery students. The model is a quarter of the size of a dining table.",
        (
            _aims(),
            _timings(),
            _to_cut(display),
            Section("Safety", tuple(Text(text, "caution") for text in SAFETY)),
        ),
    )


def _aims() -> Section:
    return Section(
        "What the class learns", (Text("After the lesson each student can:"), Steps(AIMS))
    )


def _timings() -> Section:
    rows = tuple((f"{one.minutes}", one.what, one.materials) for one in LESSONS)
    total = sum(one.minutes for one in LESSONS)
    kinds = ", ".join(name for name in KINDS)
    return Section(
        "Lesson plan",
        (
            Text(
                f"{total} minutes in all, best over two mornings. The times are a first estimate "
                "for a class of twelve who can saw to a line; note your own the first time."
            ),
            Table("The parts of the lesson", ("min", "what", "materials"), rows, frozenset({0})),
            Text(
                f"Kinds of exercise to choose from: {kinds}. Start with the notch and the height; "
                "keep the lean for a foot circle for students who are ahead."
            ),
        ),
    )


def _to_cut(display: Display) -> Section:
    sheet = model(display)
    rows = tuple((words, sheet.shop(name)) for name, words in _SIZES)
    style = sheet.shop_style
    return Section(
        f"The model, 1 : {SCALE}",
        (
            Text(
                "Straight-grained softwood or a soft hardwood for the posts, card or thin plywood "
                f"for the top. One model takes {shop_text(stock_for(1), 'mm', style)} of square "
                f"stock, four models {shop_text(stock_for(4), 'mm', style)}, before saw cuts and "
                "waste."
            ),
            Table("Sizes of the model, calculated by the kit", ("what", "size"), rows,
                  frozenset({1})),
            Text(
                "All three posts are alike: one square notch each, as long as the stock is wide. "
                "Mark every length from the foot end. Let the class cut a first post from card "
                "folded into a square tube: it shows the corner that the flat takes off."
            ),
            Text(
                "The flats are shallow here: a fine saw held level beside a block of the right "
                "height marks them more accurately than a rule."
            ),
        ),
    )  # fmt: skip
