"""The use that a height suits, and the seat that goes with a table or the table with a seat.

Derivation: `reference/derivations/people.md`. The usual heights are common practice, recorded in
`reference/people_and_loads.csv`; those of accessible tables are published.
"""

from __future__ import annotations

from dataclasses import dataclass

import sympy as sp

from tablekit.engine.quantity import (
    Constant,
    Quantity,
    Source,
    common_practice,
    derived,
    published,
    quoted,
)
from tablekit.engine.relation import Assumption, Check, Limit, Relation, Requirement, assume, equal
from tablekit.engine.shop import ShopStyle
from tablekit.engine.trouble import DesignError
from tablekit.relations import quantities as q
from tablekit.relations.kinds import is_seat

DERIVATION = "reference/derivations/people.md"
_MM = sp.Rational(1, 1000)

seat_to_top = Quantity(
    "seat_to_top", "u_s", "mm", "upper face of the seat to the upper face of the table", -1000,
    1000,
    latex="u_s",
)  # fmt: skip
seat_height_beside = Quantity(
    "seat_height_beside", "H_s", "mm", "height of the seat that goes with the table", 100, 1200,
    latex="H_s",
)  # fmt: skip
table_height_beside = Quantity(
    "table_height_beside", "H_t", "mm", "height of the table that goes with the stool", 100, 1500,
    latex="H_t",
)  # fmt: skip
thigh_room = Quantity(
    "thigh_room", "k_t", "mm", "upper face of the seat to the underside of the table", -1000, 1000,
    latex="k_t",
)  # fmt: skip

QUANTITIES = (seat_to_top, seat_height_beside, table_height_beside, thigh_room)
CONSTANTS: tuple[Constant, ...] = ()

# --- Seat and table -----------------------------------------------------------------------


def _beside(seat: Quantity, table: Quantity, name: str) -> Relation:
    return Relation(
        name=name,
        equation=equal(table, seat + seat_to_top),
        meaning="The table is higher than the seat by this distance.",
        why="A sitter's comfort depends on the distance from seat to top, whatever their heights "
        "above the floor.",
        source=derived(DERIVATION, "seat and top"),
        limits=(
            Limit(
                seat - seat_to_top,
                "the seat is at least as high above the floor as the top is above the seat, as it "
                "is at any table that people sit up to",
                otherwise="leave out",
            ),
        ),
        checks=(
            Check(
                {seat.name: "18 in", seat_to_top.name: "12 in"},
                {table.name: "30 in"},
                quoted(
                    "dining seats 17 to 19 in, tables 28 to 30 in, 10 to 12 in between",
                    "furniture makers' guides to heights",
                ),
            ),
            Check(
                {seat.name: "24 in", seat_to_top.name: "12 in"},
                {table.name: "36 in"},
                quoted(
                    "counter seats 24 to 26 in, counters 34 to 36 in",
                    "furniture makers' guides to heights",
                ),
            ),
        ),
    )


SEAT_BESIDE = _beside(seat_height_beside, q.table_height, "seat height to suit the table")
TABLE_BESIDE = _beside(q.seat_height, table_height_beside, "table height to suit the stool")

THIGH_ROOM = Relation(
    name="thigh room",
    equation=equal(thigh_room + q.top_thickness, seat_to_top),
    meaning="The distance from seat to table is the thigh room plus the thickness of the top.",
    why="No rail runs under the rim, so only the top takes height from the thighs.",
    source=derived(DERIVATION, "seat and top"),
    checks=(
        Check(
            {"seat_to_top": "280 mm", "top_thickness": "28 mm"},
            {"thigh_room": "252 mm"},
            derived(DERIVATION, "seat and top"),
        ),
    ),
)

SEAT_TO_TOP = assume(
    seat_to_top,
    280 * _MM,
    "Tables are made so much higher than their seats, whatever their use.",
    common_practice("255 to 305 mm"),
    usual=(-300, 600),
)

ASSUMPTIONS: tuple[Assumption, ...] = (SEAT_TO_TOP,)


def relations(kind: str) -> tuple[Relation, ...]:
    """Return the relations of a "table" with its seats, or of a "stool" with its table."""
    return (TABLE_BESIDE,) if is_seat(kind) else (SEAT_BESIDE, THIGH_ROOM)


# --- Usual heights ------------------------------------------------------------------------


def _height(number: float, style: ShopStyle) -> str:
    """Return a usual height as text, in whole inches for inch readers, as furniture is made."""
    return f"{number / 25.4:.0f} in" if style.display == "in" else f"{number:g} mm"


@dataclass(frozen=True)
class Use:
    """A use, with its lowest and highest usual heights, mm, and the comment on such a height."""

    name: str
    low: float
    high: float
    words: str

    def named(self, style: ShopStyle) -> str:
        """Return the use with its heights, in the reader's units."""
        return f"{self.name} ({_height(self.low, style).split()[0]} to {_height(self.high, style)})"


@dataclass(frozen=True)
class Graded(Requirement):
    """A requirement whose quantity has several good ranges, each with its own comment.

    `at` returns the plain requirement for one value. The fields of the plain requirement hold the
    best statement that can be made without the value.

    graded   source of the heights of the uses, if not `source`
    uses     in ascending order, not touching
    between  what to say between two uses, with `mend_low`, if naming the two is not enough
    notes    ranges that need an extra remark, whatever the use
    """

    graded: Source | None = None
    uses: tuple[Use, ...] = ()
    between: str = ""
    notes: tuple[Use, ...] = ()

    def at(
        self, number: float, style: ShopStyle | None = None, use: str | None = None
    ) -> Requirement:
        """Return the plain requirement for this value, in the quantity's unit.

        style  how the reader writes heights
        use    the first word of a use, such as "dining", to check against that use alone

        Raises DesignError for an unknown use."""
        style = style or ShopStyle()
        note = " ".join(one.words for one in self.notes if one.low <= number <= one.high)
        if use is not None:
            return self._stated(self._known(use), note, style)
        # A height within rounding error of a range is in it, as with any requirement.
        slack = 1e-9 * max(abs(number), 1.0)
        fit = next(
            (one for one in self.uses if one.low - slack <= number <= one.high + slack), None
        )
        if fit is not None:
            return self._plain((fit.low, fit.high), fine=f"{fit.words} {note}")
        return self._beyond(number, note, style)

    def _beyond(self, number: float, note: str, style: ShopStyle) -> Requirement:
        """Return the requirement for a value above all uses, below all, or between two."""
        above = next((one for one in self.uses if one.low > number), None)
        below = next((one for one in reversed(self.uses) if one.high < number), None)
        more = f"{self.care} {note}"
        if above is None:
            top = self.uses[-1]
            words = f"Too high for any use: the highest are {top.named(style)}."
            good = (None, top.high)
            return self._plain(good, too_high=words, mend_high=self.mend_high, care=more)
        if below is None:
            words = f"Too low for any use: the lowest are {above.named(style)}."
            return self._plain((above.low, None), too_low=words, mend_low=self.mend_low, care=more)
        words, mend = self.between, self.mend_low
        if not words:
            words = f"It is between {below.named(style)} and {above.named(style)}."
            mend = (
                f"Raise it to {_height(above.low, style)} or lower it to "
                f"{_height(below.high, style)}, or keep it if that is the height you want."
            )
        return self._plain((above.low, None), too_low=words, mend_low=mend, care=note)

    def _plain(self, good: tuple[float | None, float | None], **words: str) -> Requirement:
        """Return the requirement with these texts, given by field name."""
        return Requirement(
            self.id, self.name, self.quantity, self.graded or self.source, good,
            **{field: text.strip() for field, text in words.items()},  # type: ignore[arg-type]
        )  # fmt: skip

    def _known(self, use: str) -> Use:
        for one in self.uses:
            if one.name.split()[0] == use:
                return one
        known = " or ".join(f'"{one.name.split()[0]}"' for one in self.uses)
        raise DesignError(f'use = "{use}" is not known. Write {known}.')

    def _stated(self, use: Use, note: str, style: ShopStyle) -> Requirement:
        wanted = f"for {use.named(style)}, the use stated"
        return self._plain(
            (use.low, use.high),
            too_low=f"Too low {wanted}.",
            mend_low=f"Raise it to {_height(use.low, style)}.",
            too_high=f"Too high {wanted}.",
            mend_high=f"Lower it to {_height(use.high, style)}.",
            care=note,
            fine=f"{use.words} {note}",
        )


ACCESSIBLE_HEIGHT = published("2010 ADA Standards for Accessible Design", "902.3")
_ACCESSIBLE = Use(
    "accessible", 710, 865, "Within the 710 to 865 mm required of accessible tables (902.3)."
)
_CHILDREN = Use(
    "children's", 660, 709.9,
    "Accessible tables for children are 660 to 760 mm high (902.4).",
)  # fmt: skip

TABLE_USES = (
    Use(
        "low tables", 400, 460,
        "Suits a coffee table in front of a sofa; people do not sit up to it. Children climb on "
        "low tables: it is neither a seat nor a step.",
    ),
    Use(
        "side tables", 500, 635,
        "Suits a side table within reach of a chair or a bed; people do not sit up to it. Too low "
        "for eating or writing.",
    ),
    Use(
        "dining and writing tables", 710, 765,
        "Suits dining and writing, with seats 430 to 460 mm high.",
    ),
    Use(
        "counter tables", 865, 915,
        "Suits standing, or sitting on seats 610 to 660 mm high with a footrest.",
    ),
    Use(
        "bar tables", 1015, 1070,
        "Suits standing, or sitting on bar seats 710 to 765 mm high with a footrest. A table this "
        "tall tips easily: see the tipping check.",
    ),
)  # fmt: skip

# Without the height, only the range for accessible tables can be stated.
HEIGHT = Graded(
    id="height",
    name="table height",
    quantity="table_height",
    source=ACCESSIBLE_HEIGHT,
    good=(710, 865),
    too_low="Lower than the 710 mm required of an accessible table. A low table, 400 to 460 mm "
    "high, is meant to be; a dining table for public use is not.",
    too_high="Higher than the 865 mm allowed for an accessible table. Counter tables, 865 to 915 "
    "mm high, and bar tables, 1015 to 1070 mm, are meant to be; a dining table for public use is "
    "not.",
    fine="Within the range required of accessible dining and work tables (710 to 865 mm).",
    graded=common_practice(
        "low tables 405 to 455 mm, side tables 510 to 635 mm, dining 710 to 760 mm, counters 865 "
        "to 915 mm, bars 1015 to 1065 mm; "
        "accessible tables: 2010 ADA Standards for Accessible Design, 902.3"
    ),
    uses=TABLE_USES,
    notes=(_CHILDREN, _ACCESSIBLE),
)

_FOR_WHEELCHAIRS = "Less than the knees of a wheelchair user need under an accessible table."
KNEES = Graded(
    id="knee_height",
    name="height under the top",
    quantity="knee_clearance",
    source=published("2010 ADA Standards for Accessible Design", "306.3"),
    good=(685, None),
    too_low=_FOR_WHEELCHAIRS,
    mend_low="Raise the table or make the top thinner. On ordinary chairs, sitters need less.",
    fine="Enough height for the knees of a wheelchair user (685 mm). The posts take some of the "
    "depth: see the plan as well.",
    graded=common_practice(
        "nobody sits up to a low table; wheelchair users: 2010 ADA Standards for Accessible "
        "Design, 306.3"
    ),
    uses=(
        Use("low or side table", 0, 610, "Too low to sit up to, so it needs no knee room."),
        Use(
            "knees of a wheelchair user", 685, 1500,
            "Enough height for the knees of a wheelchair user (685 mm). The posts take some of the "
            "depth: see the plan as well.",
        ),
    ),
    between=_FOR_WHEELCHAIRS,
)  # fmt: skip

_CLIMB = (
    "Children climb on stools: have a stool for them tested to your local code. A stool is a seat, "
    "not a step; never stand on it."
)
SEAT_USES = (
    Use("child's stools", 250, 350, f"Suits a small child, or serves as a footstool. {_CLIMB}"),
    Use("low stools", 355, 425, f"A low stool, for low work or by the hearth. {_CLIMB}"),
    Use("dining seats", 430, 460, f"Suits an adult at a dining table or desk. {_CLIMB}"),
    Use(
        "workshop stools", 465, 600,
        "Suits a workbench or a drawing table, half standing: higher than a chair, with the feet "
        f"on the floor or on a footrest. {_CLIMB}",
    ),
    Use(
        "counter seats", 610, 660,
        "Suits a table 865 to 915 mm high. The feet do not reach the floor: add a footrest "
        f"about 430 to 460 mm below the seat. {_CLIMB}",
    ),
    Use(
        "bar seats", 710, 765,
        "Suits a bar table 1015 to 1070 mm high. The feet do not reach the floor: add a footrest "
        "about 430 to 460 mm below the seat. A stool this tall tips easily: see the tipping check. "
        f"{_CLIMB}",
    ),
)  # fmt: skip

SEAT = Graded(
    id="height",
    name="seat height",
    quantity="seat_height",
    source=common_practice(
        "low stools 355 to 430 mm, seats 430 to 460 mm, workshop stools up to 600 mm, at counters "
        "610 to 660 mm, at bars 710 to 765 mm"
    ),
    good=(430, 460),
    too_low="Lower than a chair.",
    too_high="Higher than a chair. Counter seats are 610 to 660 mm high and bar seats 710 to 765 "
    "mm, with a footrest about 430 to 460 mm below the seat.",
    care=_CLIMB,
    fine=f"As high as a chair, for an adult. {_CLIMB}",
    uses=SEAT_USES,
)

SEAT_AND_TOP = Requirement(
    id="seat_to_top",
    name="seat to top",
    quantity="seat_to_top",
    source=common_practice("255 to 305 mm"),
    good=(250, 310),
    too_low="The top is low over the seat, and thighs are tight. That does not matter beside a "
    "sofa, where people do not sit up to it.",
    mend_low="Make the table higher or the seat lower.",
    too_high="The top is high over the seat, and shoulders are hunched.",
    mend_high="Make the table lower, or make the seat higher with a footrest.",
    fine="The usual distance between seat and table.",
)

THIGHS = Requirement(
    id="thigh_room",
    name="thigh room",
    quantity="thigh_room",
    source=quoted(
        "thigh thickness of British men: 160 mm in the middle, 185 mm at the 95th percentile",
        "a table of body sizes, City University of Hong Kong",
    ),
    good=(190, None),
    too_low="Thighs are tight under the top.",
    mend_low="Make the top thinner, the table higher or the seat lower.",
    care="At a low table, which people do not sit up to, thigh room does not matter.",
    fine="There is room for thighs between the seat and the top.",
)

# The checks on table heights are with the other checks on a table.
REQUIREMENTS: tuple[Requirement, ...] = (SEAT, SEAT_AND_TOP, THIGHS)
