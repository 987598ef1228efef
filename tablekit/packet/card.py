"""The card of a piece: the sizes for the first cut, what needs attention, and what to get."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablekit.design.checks import outside_the_seasons
from tablekit.engine.shop import shop_round, shop_text_up, times
from tablekit.engine.trouble import Contradiction, DesignError
from tablekit.engine.wording import capital, lowered
from tablekit.packet.checks import (
    VERDICTS,
    against_limit,
    loud,
)
from tablekit.packet.plain_page import PlainPage, Row
from tablekit.packet.summary import CAUTION, piece_line
from tablekit.planning.post_marks import (
    ASSEMBLED,
    BEARING,
    NEXT_ON_THE_END,
    NOTCHED,
    locked_words,
    notches_json,
)
from tablekit.planning.surface import liquid_text
from tablekit.relations.kinds import height_name

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.relation import Verdict
    from tablekit.planning.post_marks import PostMarks

MOST_LINES = 60  # of 80 characters: a card is read at a glance
AS_CUT_LINES = 6  # of them at most for the posts as cut, and as many for the panel as glued
ATTENTION, WOOD = "Needs attention", "Wood and fittings"
FROM_FOOT = "from the foot end"
_COLUMNS = (17, 34)
_FULL_WIDTH = 80


@dataclass(frozen=True)
class Attention:
    """What does not pass: what it is and by how much, and what to change."""

    verdict: Verdict
    what: str
    mend: str = ""

    @property
    def fails(self) -> bool:
        """Whether it fails; else it is cautioned against."""
        return self.verdict == "fail"

    @property
    def short(self) -> str:
        """Without what to change."""
        return f"{VERDICTS[self.verdict]} {self.what}."

    @property
    def text(self) -> str:
        """The whole of it."""
        return f"{self.short} {self.mend}".strip()


@dataclass(frozen=True)
class Card:
    """What a maker needs before the first cut.

    gave_way   what is not as it would have been assumed, a sentence each
    as_cut     how it came out so far and what to do now, a sentence or two each
    sizes      a heading, and rows of what, size, and from where to where
    unchecked  what no check speaks of although the piece stands or falls by it
    standing   how many checks pass, and which could not be judged
    attention  what fails, then what is cautioned against
    wood       what to get, a line each
    asked      the size whose working a maker is most likely to ask for
    arrises    how a post lies when its arrises are lettered, and the letters that sizes speak of;
               none for a base without posts
    """

    title: str
    kind: str
    gave_way: tuple[str, ...]
    as_cut: tuple[str, ...]
    sizes: tuple[tuple[str, tuple[Row, ...]], ...]
    unchecked: tuple[str, ...]
    standing: tuple[str, ...]
    attention: tuple[Attention, ...]
    wood: tuple[str, ...]
    asked: str
    arrises: tuple[str, str] | None = None


def card(job: Design) -> Card:
    """The card of a piece."""
    sheet = job.sheet
    return Card(
        sheet.name,
        piece_line(job),
        tuple(sheet.gave_way_said),
        tuple(_as_cut(job)),
        sizes(job),
        job.not_checked,
        tuple(_standing(job)),
        tuple(sorted(_attention(job), key=lambda one: not one.fails)),
        tuple(_wood(job)),
        f"{job.base.part} length",
        _arrises(job),
    )


def sizes(job: Design) -> tuple[tuple[str, tuple[Row, ...]], ...]:
    """The sizes for the first cut: a heading, and rows of what, size, and from where to where."""
    base = _posts(job) if job.on_posts else _legs(job)
    return (_base_heading(job), tuple(base)), ("Top", tuple(_top(job)))


@dataclass(frozen=True)
class MainSize:
    """One of the card's sizes by which a maker tells one design from another.

    row       as on the card, with as much of the remark as the size cannot be marked without
    quantity  whose size it is; "" where it is more than one size
    whole     all that is cut by it, where the remark has a part of that; else the size
    """

    row: Row
    quantity: str = ""
    whole: str = ""


def main_sizes(job: Design) -> tuple[MainSize, ...]:
    """The sizes that are cut to, the lean and where the feet stand."""
    what, length, _ = _length(job)
    part = job.base.part
    return (
        MainSize((f"{part} {what}", length, ""), f"{part}_length"),
        *(_main_notch(job) if job.on_posts else _main_socket(job)),
        MainSize((*_lean(job)[:2], ""), _lean_name(job)),
        MainSize((*_foot_spread(job)[:2], ""), "foot_spread"),
    )


def _main_notch(job: Design) -> Iterator[MainSize]:
    try:
        marks = job.post_work.marks[0]
    except DesignError:  # the sizes say why
        return
    if job.base.notches_each == 2:
        yield MainSize((*_notch_centre(job)[:2], FROM_FOOT), "notch_position")
        yield MainSize((*_notch_depth(job)[:2], ""), "notch_depth")
    elif job.post_work.angles.plain:
        yield MainSize((*_notch_place(job, marks)[:2], FROM_FOOT))
        yield MainSize((*_notch_depth(job)[:2], ""), "notch_depth")
    else:
        for row, deep in _on_arrises(job, marks):
            yield MainSize(row, whole=f"{row[1]}, {deep}")


def _main_socket(job: Design) -> Iterator[MainSize]:
    yield MainSize(_socket_centre(job), "socket_radius")
    yield MainSize(_drill(job), "drill_angle")


def card_text(found: Card, width: int = 80) -> str:
    """The card as plain text, no longer than `MOST_LINES` where 80 columns are to be had.

    width  in characters, as `PlainPage` takes it. Ends in a line end.
    """
    head, foot = PlainPage(width), PlainPage(width)
    head.title(found.title, found.kind)
    if found.gave_way:
        head.gap()
    for sentence in found.gave_way:
        head.paragraph(sentence)
    if found.as_cut:
        head.gap()
    for sentence in found.as_cut:
        head.paragraph(sentence)
    for heading, rows in found.sizes:
        head.heading(heading)
        for row in rows:
            head.row(*row, columns=_COLUMNS)
        if found.arrises and any(what.endswith(" flat") for what, *_ in rows):
            lies, letters = found.arrises
            head.row("arrises", lies, letters, columns=_COLUMNS)
    foot.heading(WOOD)
    for line in found.wood:
        foot.paragraph(line, indent=2)
    foot.gap()
    foot.paragraph(CAUTION)
    foot.heading("More")
    worked = f'tablekit working BRIEF "{found.asked}": how that size is calculated'
    for option, words in (*_MORE, ("working", worked)):
        foot.row(option, "", words, columns=(14, 15))
    middle = _look_at(found, width, MOST_LINES - len(head.lines) - len(foot.lines))
    return "\n".join([*head.lines, *middle, *foot.lines]) + "\n"


def _look_at(found: Card, width: int, room: int) -> list[str]:
    """What needs attention. What fails is never left out: where there is no room for its mend,
    what and by how much; the same of cautions, and how many more there are."""
    page = PlainPage(width)
    page.heading(ATTENTION if found.attention else "Checks")
    for text in (*map(loud, found.unchecked), *found.standing):
        page.paragraph(text, indent=2)
    room = room if width >= _FULL_WIDTH else 10**6
    for number, one in enumerate(found.attention):
        rest = found.attention[number + 1 :]
        kept = sum(len(_lines(other.short, width)) for other in rest if other.fails)
        kept += any(not other.fails for other in rest)  # a line for how many are left out
        full = _lines(one.text, width)
        if len(page.lines) + len(full) + kept <= room:
            page.lines += full
        elif one.fails:
            page.lines += _lines(one.short, width)
        else:
            _more_cautions(page, [one, *rest], room)
            break
    return page.lines


def _more_cautions(page: PlainPage, cautions: Sequence[Attention], room: int) -> None:
    """Cautions that there is no room for with their mends: without them as far as there is, and
    where to find the others."""
    for number, one in enumerate(cautions):
        lines = _lines(one.short, page.width)
        left = len(cautions) - number
        if len(page.lines) + len(lines) + (left > 1) > room:
            more = f"{left} more caution{'s' * (left > 1)}: see --full."
            page.paragraph(more, indent=2)
            return
        page.lines += lines


def _lines(text: str, width: int) -> list[str]:
    page = PlainPage(width)
    page.paragraph(text, indent=2)
    return page.lines


_MORE = (
    ("--full", "every size, default, check and source"),
    ("--out DIR", "drawings, marking out, cut list and order of work"),
)


def _as_cut(job: Design) -> Iterator[str]:
    """How posts and panel came out so far, and the two ways of each that serve best."""
    made, panel = job.as_cut, job.glued
    if made is not None:
        none = not made.remedies and not made.fine
        what = " No remedy was found that brings it right; see --full." if none else ""
        ways = [(one.text, one.short) for one in made.remedies[:2]]
        yield from _in_few_lines(f"As cut: {made.verdict}{what}", ways)
    if panel is not None:
        ways = [(one.text, one.short) for one in panel.remedies[:2]]
        yield from _in_few_lines(f"Top as glued: {lowered(panel.at_a_glance)}", ways)


def _in_few_lines(verdict: str, ways: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """The verdict and as many ways to mend it as few lines hold, each as (in full, in short): the
    second is cut short first, then the first, and then the second is left out."""
    for count in range(len(ways), 0, -1):
        for full in range(count if count == len(ways) else 0, -1, -1):
            told = [way[0] if k < full else way[1] for k, way in enumerate(ways[:count])]
            said = (verdict, *(f"{k}. {one}" for k, one in enumerate(told, start=1)))
            page = PlainPage(_FULL_WIDTH)
            for text in said:
                page.paragraph(text)
            if len(page.lines) <= AS_CUT_LINES:
                return said
    return (verdict,)


# -- sizes ----------------------------------------------------------------------------------------


def _base_heading(job: Design) -> str:
    count, pieces = job.base.count, job.brief.count
    each = f"{count} to a piece" if pieces > 1 else ""
    if job.on_posts and _relief(job):
        which = "one of the three to a piece" if each else "one"
        return f"Posts: {count * pieces}, {which} with a longer notch"
    part = "Posts" if job.on_posts else "Legs"
    if job.brief.as_cut:  # those that are cut are as they are
        part = f"{part} as drawn"
    return f"{part}: {count * pieces} alike{f', {each}' if each else ''}"


def _relief(job: Design) -> float:
    return job.sheet.get("notch_relief") or 0.0


def _posts(job: Design) -> Iterator[Row]:
    sheet = job.sheet
    deep, wide = sheet.shop("post_section"), sheet.shop("post_width")
    which = "" if deep == wide else "between the bearing faces × between the side faces"
    yield "section", times(deep, wide), which
    yield _length(job)
    try:
        marks = job.post_work.marks[0]
    except DesignError as reason:
        yield "notch, flats", "", f"cannot be marked out: {reason}"
    else:
        yield from _notches(job, marks)
        yield from _flats(job, marks)
    yield _lean(job)


def _length(job: Design) -> Row:
    where = (
        "end to end, before the flats are cut"
        if job.on_posts
        else "along the axis, level foot to end of tenon"
    )
    return "length", job.sheet.shop(f"{job.base.part}_length"), where


def _lean(job: Design) -> Row:
    where = "from plumb" if job.on_posts else "from plumb; the foot is sawn off by the same angle"
    return "lean", job.sheet.shop(_lean_name(job)), where


def _lean_name(job: Design) -> str:
    return "splay" if job.on_posts else "leg_resultant"


def _arrises(job: Design) -> tuple[str, str] | None:
    """As `planning/post_text.py` has them; the pages for the bench have a drawing."""
    try:
        marks = job.post_work.marks[0] if job.on_posts else None
    except DesignError:  # the sizes say why
        marks = None
    if marks is None:
        return None
    side, names = "right" if marks.mirrored else "left", [face.name for face in marks.faces]
    near = "" if job.base.notches_each == 1 else f", {names[BEARING]} towards you"
    return f"foot end {side}", f"{names[NOTCHED]} up{near}: A near, B far, D below A"


def _notches(job: Design, marks: PostMarks) -> Iterator[Row]:
    if job.base.notches_each == 2:
        yield from _two_notches(job)
    elif job.post_work.angles.plain:
        yield from _plain_notch(job, marks)
    else:
        yield from _compound_notch(job, marks)


def _plain_notch(job: Design, marks: PostMarks) -> Iterator[Row]:
    near, far = _walls(job, marks, "A")
    yield _notch_place(job, marks)
    yield "notch width", job.length(far - near), "along the post"
    yield _notch_depth(job)
    yield "notch walls", "square", "across the post; floor parallel to the face"


def _notch_place(job: Design, marks: PostMarks) -> Row:
    between = _between(job, *_walls(job, marks, "A"))
    return "notch", between, f"{FROM_FOOT}, along the post"


def _notch_depth(job: Design) -> Row:
    which = "the" if job.base.notches_each == 1 else "each"
    return "notch depth", job.sheet.shop("notch_depth"), f"down from {which} notched face"


def _compound_notch(job: Design, marks: PostMarks) -> Iterator[Row]:
    for row, _ in _on_arrises(job, marks):
        yield row
    wall, opposite = _walls(job, marks, "A")
    bevel, wide = f"{abs(job.post_work.angles.on_notched):.2f}°", job.length(opposite - wall)
    yield "notch bevel", bevel, f"off square on the notched face; {wide} wide"


def _on_arrises(job: Design, marks: PostMarks) -> Iterator[tuple[Row, str]]:
    """A compound notch on each arris, and how deep it is there: its walls are not square to the
    post and its floor is tilted, so each arris has lines of its own."""
    depths = {one.arris: one.depth for one in marks.depths}
    for arris in ("A", "B"):
        between = _between(job, *_walls(job, marks, arris))
        deep = f"{job.length(depths[arris])} deep"
        yield (f"notch, arris {arris}", between, f"{FROM_FOOT}; {deep}"), deep


def _between(job: Design, near: float, far: float) -> str:
    return f"{job.length(near).rpartition(' ')[0]} to {job.length(far)}"


def _walls(job: Design, marks: PostMarks, arris: str) -> tuple[float, float]:
    """Where the knife lines of the notch are marked on an arris, mm from the foot end."""
    cuts = (mark for mark in marks.on_arris(arris) if mark.cut and mark.what == "notch")
    near, far = (shop_round(mark.size, "mm", job.sheet.shop_style)[0] for mark in cuts)
    return near, far


def _notch_centre(job: Design) -> Row:
    return "notch centre", job.sheet.shop("notch_position"), f"{FROM_FOOT}, both notches"


def _two_notches(job: Design) -> Iterator[Row]:
    yield _notch_centre(job)
    yield "notch width", job.sheet.shop("notch_width"), "along the post"
    yield _notch_depth(job)
    yield "notch walls", "square", "across the post; floors parallel to the faces"
    if _relief(job):
        longer = max(notches_json(job.sheet) or (), key=lambda notch: float(notch["width"]))
        which = longer["face"].removesuffix(" notched")  # upper or lower
        centre = job.length(longer["centre_from_lower_end"])
        where = f"post {longer['post']}, {which}: centre {centre} from the foot end"
        yield "longer notch", job.length(longer["width"]), where


def _flats(job: Design, marks: PostMarks) -> Iterator[Row]:
    for flat in marks.flats:
        along, *others = map(job.length, (flat.along, flat.over_bearing, flat.over_side))
        circle = job.sheet.shop(f"{flat.end}_flat")
        if {along} == set(others):
            back = f"from corner {flat.arris} along each edge"
        else:
            towards = zip(others, NEXT_ON_THE_END[flat.arris], strict=True)
            ends = " and ".join(f"{size} towards {arris}" for size, arris in towards)
            back = f"along arris {flat.arris}; on the end {ends}"
        yield f"{flat.end} flat", along, f"{back}; {circle} circle"


def _legs(job: Design) -> Iterator[Row]:
    sheet = job.sheet
    yield _length(job)
    yield "shoulder", sheet.shop("shoulder_length"), "from the foot to the underside"
    foot, deep = sheet.shop("foot_diameter"), sheet.shop("socket_depth")
    yield "diameter", sheet.shop("leg_diameter"), f"under the top; {foot} at the foot"
    yield "tenon", sheet.shop("tenon_diameter"), f"diameter; socket {deep} deep along the axis"
    yield _socket_centre(job)
    yield _drill(job)
    if {"leg_rake", "leg_splay"} & job.brief.givens.keys():
        front, off = sheet.shop("front_bevel"), sheet.shop("sight_line")
        seen = f"from the side, {front} from the front; rake axis {off} off the sight line"
        yield "two bevels", sheet.shop("side_bevel"), seen
    hole, wide = sheet.shop("guide_length"), sheet.shop("guide_width")
    yield "guide block", wide, f"square; hole {hole} long, base sawn to the lean"
    if sheet.number("socket_cover") > 0:
        yield "depth stop", sheet.shop("bit_stop"), "edges of the bit to the end of that block"
    if job.base.has_stretchers:
        yield from _stretchers(job)
    yield _lean(job)


def _socket_centre(job: Design) -> Row:
    apart = f"from the centre of the underside, {360 / job.base.count:.0f}° apart"
    return "socket centre", job.sheet.shop("socket_radius"), apart


def _drill(job: Design) -> Row:
    sheet = job.sheet
    turn = sheet.number("sight_turn")
    line = "the radius" if abs(turn) < 0.05 else f"a line {sheet.shop('sight_turn')} off the radius"
    return "drill", sheet.shop("drill_angle"), f"from the underside, foot outward on {line}"


def _stretchers(job: Design) -> Iterator[Row]:
    assert job.leg_work is not None and job.leg_work.joins is not None
    sheet, lines = job.sheet, job.leg_work.joins.lines
    for line in lines:
        what = "stretchers" if line.name == "side" else line.name
        between = f"with tenons, {job.length(line.length)} between {line.joins}"
        yield what, job.length(line.whole), between
    thick, deep = sheet.shop("stretcher_diameter"), sheet.shop("stretcher_depth")
    where = f"tenons, {deep} long; {thick} at the middle"
    yield "their tenons", sheet.shop("stretcher_tenon"), where
    high, bevel = sheet.shop("stretcher_height"), sheet.shop("stretcher_angle")
    yield "their height", high, f"over the level feet; {bevel} to the leg, above"


def _top(job: Design) -> Iterator[Row]:
    sheet = job.sheet
    yield "top diameter", sheet.shop("top_diameter"), f"{sheet.shop('top_thickness')} thick"
    if sheet.get("trammel_radius") is not None:
        yield "trammel", sheet.shop("trammel_radius"), "pivot to the near edge of the cutter"
    if job.edge is not None:
        deep = "in from the rim" if job.edge.edge.bevelled else "radius of both arrises"
        yield "edge", sheet.shop("edge_size"), f"{deep}, {job.edge.edge.name}"
    yield "height", sheet.shop(height_name(sheet.kind)), "floor to the upper face"
    covered = sheet.number("overhang") >= 0
    yield (
        "overhang",
        sheet.shop("overhang"),
        f"centres of the {job.base.ends_at} to the rim, in plan"
        if covered
        else f"minus: the {job.base.ends_at} lie outside the rim",
    )
    yield _foot_spread(job)


def _foot_spread(job: Design) -> Row:
    where = "centre of one foot to the centre of the next"
    return "foot spread", job.sheet.shop("foot_spread"), where


# -- what needs attention -------------------------------------------------------------------------


def _standing(job: Design) -> Iterator[str]:
    passed = sum(check.verdict == "pass" for check in job.checks)
    whole = len(job.checks)
    worse = " at the exact sizes, but not all at the sizes as marked" * bool(job.worse_as_marked)
    count = f"All {whole}" if passed == whole else f"{passed} of {whole}"
    yield f"{count} checks pass{worse}."
    yield from job.not_judged


def _attention(job: Design) -> Iterator[Attention]:
    sheet = job.sheet
    if job.cut_list.short:
        yield Attention("fail", f"planks for the posts: {job.cut_list.short}")
    for note in outside_the_seasons(sheet):  # before anything else is cut
        what, _, mend = note.partition(": ")
        yield Attention("caution", lowered(what), capital(mend))
    locked = locked_words(sheet)
    for check in job.checks:
        if check.verdict == "pass":
            continue
        found = against_limit(sheet, check)
        said = check.mend or check.message
        if check.id == ASSEMBLED and locked:
            said = capital(locked)
        what = f"{check.name}: {found}" if found else check.name
        yield Attention(check.verdict, what, said)
    yield from _door(job)
    if isinstance(job.as_marked, Contradiction):
        no_such = f"rounded to the rule, these sizes no longer make a {job.brief.kind}"
        yield Attention("caution", no_such, "Mark the exact sizes in sheet.json.")
    for check in job.worse_as_marked:
        what = f"{check.name}, as marked: {against_limit(sheet, check)}"
        yield Attention(check.verdict, what, check.mend)


def _door(job: Design) -> Iterator[Attention]:
    """The door of the brief, where the piece does not go through it as it stands."""
    if job.brief.delivery.door is None or job.delivery is None:
        return
    from tablekit.planning.delivery import NO_WAY, WHOLE

    if job.delivery.state != WHOLE:
        fails = job.delivery.state == NO_WAY and job.delivery.certain
        said = job.delivery.door_line().rstrip(".")
        yield Attention("fail" if fails else "caution", lowered(said))


# -- wood and fittings ----------------------------------------------------------------------------


def _wood(job: Design) -> Iterator[str]:
    found, style = job.cut_list, job.sheet.shop_style
    of = f", {job.brief.wood.species}" if job.brief.wood.species else ""
    for line in found.lines:
        if not line.board:
            yield f"{line.count} × {line.part}, {line.rough.text(style, up=True)} rough{of}"
    if found.planks is not None:
        own = "from your stock" if job.brief.stock else "to buy"
        thick = shop_text_up(found.lines[0].rough.thickness, style)
        planks = ", ".join(f"{n}\u00a0of {name}" for name, n in found.planks.planks.items())
        yield f"Planks {own}, for the {job.base.sawn}: {planks}, at least {thick} thick"
    if job.laid:
        tops = "top" if job.brief.count == 1 else "tops"
        yield f"Boards from your rack, for the {tops}: {_counted(_cut_of_rack(job))}"
    for one in found.fittings:
        yield f"{one.count} × {one.name}, {one.size}"
    if job.surface is not None:
        volume = liquid_text(job.surface.lot_volume, job.sheet.shop_style)
        yield f"Finish: {volume}, {job.surface.coats} coats"


def _cut_of_rack(job: Design) -> Mapping[str, int]:
    """How many of each board are cut for all the tops; an offcut of one is no further board."""
    own = {board.name for board in job.brief.boards}
    cut = Counter[str]()
    for one in job.laid:
        assert one.boards is not None and one.boards.layout is not None
        cut.update({name: n for name, n in one.boards.layout.boards.items() if name in own})
    return cut


def _counted(taken: Mapping[str, int]) -> str:
    # The count stays with what it counts.
    return ", ".join(f"{count}\u00a0of {name}" for name, count in taken.items())
