"""Worksheets for a class as one PDF, and for its teacher the answers and a page on the lesson.

write_worksheets("class", students=12, seed="autumn")

The page says aims, a plan for two hours and one for half a day, what to bring, what goes wrong,
what to ask, what to cut at a quarter of the size, and safety.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

from tablekit.drawing.style import Paper
from tablekit.engine.shop import ShopStyle, figures_text, shop_text
from tablekit.engine.trouble import DesignError
from tablekit.packet.document import (
    Document,
    Inset,
    Section,
    Steps,
    Subheading,
    Table,
    Text,
    WritingRoom,
)
from tablekit.packet.pages import A4, LETTER, Page, lay_out_pages, save_book
from tablekit.planning import cut_list
from tablekit.relations.families import network
from tablekit.teaching.checking import own_slips
from tablekit.teaching.exercises import exercise_set, sheet_code, together
from tablekit.teaching.figures import described, figure_height, figure_on
from tablekit.teaching.kinds import KINDS, Display
from tablekit.teaching.question import Exercise, short_working, with_numbers

if TYPE_CHECKING:
    from tablekit.engine.sheet import Sheet


# -- the sheets ------------------------------------------------------------------------------------

NAME = "Setting out a table or a stool"
WORKSHEETS, ANSWERS, LESSON_PLAN = "worksheets.pdf", "answers.pdf", "lesson-plan.pdf"
PAPERS = {"mm": A4, "in": LETTER}
_ROOM = {"mm": 25.5, "in": 17.0}  # Letter is shorter than A4
_NAME_ROOM = 8.5
_MISTAKES = 4  # that the teacher's page names for each question
_HOW = (
    "Show your working in the space under each question. Carry all figures through and round only "
    "at the end. Write each answer on its line, with its unit."
)


@dataclass(frozen=True)
class Sheets:
    """One student's exercises.

    number  of the student, from 1
    name    as it is printed; "" leaves a line to write it on
    code    by which the answers are found
    """

    number: int
    name: str
    code: str
    exercises: tuple[Exercise, ...]


def class_of(
    students: int | Sequence[str],
    seed: int | str,
    *,
    count: int = 6,
    display: Display = "mm",
    kinds: Sequence[str] | None = None,
) -> tuple[Sheets, ...]:
    """The exercises of a whole class, student by student.

    students  how many, or their names; the numbers go by the place in the list, not by the name
    count     exercises for each
    kinds     those to choose from, all if not said
    Raises DesignError for a class of none, or a kind that is not there.
    """
    names = [""] * students if isinstance(students, int) else list(students)
    if not names:
        raise DesignError("a class needs at least one student: give students = 1 or more, or names")
    return tuple(
        Sheets(
            number,
            name,
            sheet_code(seed, display, number),
            exercise_set(seed, number, count, display, kinds),
        )
        for number, name in enumerate(names, start=1)
    )


def write_worksheets(
    folder: str | Path,
    students: int | Sequence[str],
    seed: int | str,
    *,
    count: int = 6,
    display: Display = "mm",
    kinds: Sequence[str] | None = None,
    paper: Paper | None = None,
) -> tuple[Path, Path]:
    """Write `worksheets.pdf` and `answers.pdf` into `folder`; gives both paths.

    The same class and seed give the same bytes. Letter paper where the class works in inches and A4
    otherwise, unless another is given; `kinds` are those to choose from, all if not said. Earlier
    sheets of these names are replaced, once both new ones are finished.
    Raises DesignError for a class of none or a count below one, OSError where it cannot be written.
    """
    sheets = class_of(students, seed, count=count, display=display, kinds=kinds)
    paper = paper or PAPERS[display]
    papers = [page for one in sheets for page in lay_out_pages(worksheet(one, display), paper)]
    answers = lay_out_pages(answer_sheet(sheets, seed), paper)
    room = Path(folder)
    room.mkdir(parents=True, exist_ok=True)
    written = (room / WORKSHEETS, room / ANSWERS)
    _save({written[0]: (papers, NAME), written[1]: (answers, f"{NAME}: answers")})
    return written


def _save(books: Mapping[Path, tuple[Sequence[Page], str]]) -> None:
    """Write books, each its pages and its title, under their names once all are finished."""
    parts = {path: path.with_suffix(".part") for path in books}
    try:
        for path, (pages, title) in books.items():
            save_book(pages, parts[path], title)
        for path, part in parts.items():
            os.replace(part, path)
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)


def write_lesson_plan(
    folder: str | Path, display: Display = "mm", paper: Paper | None = None
) -> Path:
    """Write `lesson-plan.pdf`, the page for the teacher, into a folder; gives its path. Raises
    OSError where it cannot be written."""
    path = Path(folder) / LESSON_PLAN
    _save({path: (lay_out_pages(teacher_page(display), paper or PAPERS[display]), NAME)})
    return path


# -- the student's sheet --------------------------------------------------------------------------


def worksheet(sheets: Sheets, display: Display = "mm") -> Document:
    """One student's questions with room to work, and no answers."""
    who = f"Name: {sheets.name}" if sheets.name else ""
    head = (Text(who),) if who else (WritingRoom(_NAME_ROOM, label="Name"),)
    questions = tuple(
        _question(number, one, _ROOM[display])
        for number, one in enumerate(sheets.exercises, start=1)
    )
    return Document(
        f"Sheet {sheets.code}",
        f"{NAME}. {_HOW}",
        (Section("Questions", (*head, *questions)),),
    )


def _question(number: int, exercise: Exercise, room: float) -> WritingRoom:
    caution = exercise.kind.caution
    said = (Text(caution, "caution"),) if caution else ()
    question = (Subheading(f"{number}. {exercise.title}"), Text(exercise.question))
    high = figure_height(exercise)
    figure = (Inset(described(exercise), figure_on(exercise), high),) if high else ()
    return WritingRoom(room, (*question, *said, *figure), "Answer")


# -- the teacher's sheet --------------------------------------------------------------------------


def answer_sheet(sheets: Sequence[Sheets], seed: int | str) -> Document:
    """Answers and short workings of the whole class."""
    return Document(
        f"{NAME}: answers",
        f"For the teacher. Class of {len(sheets)}, seed {seed}. Each student's numbers differ; "
        "find the sheet by its code.",
        tuple(_answers(one) for one in sheets),
    )


def _answers(sheets: Sheets) -> Section:
    who = f", {sheets.name}" if sheets.name else ""
    rows = tuple(
        (f"{number}", one.title, _one_line(one), _answer(one), _within(one))
        for number, one in enumerate(sheets.exercises, start=1)
    )
    table = Table(
        "Last step of each working, answer and tolerance",
        ("", "question", "working", "answer", "within"),
        rows,
    )  # fmt: skip
    return Section(f"{sheets.code}: student {sheets.number}{who}", (table, _to_look_for(sheets)))


def _to_look_for(sheets: Sheets) -> Text:
    """The first mistakes of each question with the numbers that they lead to."""
    said = []
    for number, one in enumerate(sheets.exercises, start=1):
        found = {slip.mistake.name: slip for slip in reversed(own_slips(one))}
        first = [found[name] for name in reversed(found)][:_MISTAKES]
        told = (
            f"{figures_text(slip.number, one.unit, one.style, 5)} ({slip.mistake.name})"
            for slip in first
        )
        said.append(f"{number}. {', '.join(told)}")
    return Text(together(f"Mistakes to look for: {'; '.join(said)}."), "faint")


def _one_line(exercise: Exercise) -> str:
    """The last calculation on one line, its result left to the next column."""
    if exercise.kind.last_step:
        return exercise.kind.last_step
    if line := with_numbers(exercise):
        return together(line)
    if exercise.after is not None:
        return "; ".join(f"{left} = {right}" for left, right in short_working(exercise))
    (left, first), *rest = short_working(exercise)
    return together(" = ".join((left, first, *(right for _, right in rest[:-1]))))


def _answer(exercise: Exercise) -> str:
    exact, marked = exercise.answer_text, exercise.marked
    return together(f"{exact}, or {marked}" if marked else exact)


def _within(exercise: Exercise) -> str:
    return "exactly" if exercise.asked.whole else together(exercise.tolerance_text)


# -- the page for the teacher ----------------------------------------------------------------------

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
class Slot:
    """One slot of a lesson: minutes, what the class does, and what it takes."""

    minutes: int
    what: str
    materials: str


# Minutes are a first estimate of our own: common practice, no source.
TWO_HOURS = (
    Slot(10, "Hold a box by two opposite corners, one plumb above the other, and look at the three "
         "edges that meet at the top. Everyone picks the two guesses at the head of notebook 03.",
         "a box or a die for each pair; notebook 03 on each screen"),
    Slot(20, "Sections 1 and 2 of notebook 03 on the board: the class says each line before it is "
         "written. Where is the right angle? Why √3?", "board; notebook 03"),
    Slot(15, "Section 3: each pair takes a lean of 35°, 40° or 50° and calculates the angle "
         "between two posts; the page has four more. Draw them all as a curve on the board, and "
         "mark where it is 90°.", "calculators set to degrees"),
    Slot(15, "Section 4 with three sticks in the hand: where does a post carry, where does it lie? "
         "Then notebook 04: guess what two notches would do, pull the parts apart, and read on to "
         "the end of Two notches instead of one.", "three notched sticks; notebook 04"),
    Slot(5, "Break. Close the pages that are no longer needed.", ""),
    Slot(15, "Notebook 01: guess the post length. In the panel give the post length and release "
         "the height. Who finds by how much shorter posts make a table 10 mm lower?",
         "notebook 01"),
    Slot(25, "Exercises. Questions 1 to 3 are the notch, the post length and a change of height; "
         "Next passes over a later one that was not explained yet. Each student has other numbers, "
         "so neighbours compare methods and not answers.",
         "notebook 10 or printed worksheets; calculators"),
    Slot(10, "Collect the mistakes. How could each have been noticed?",
         "the results on the teacher's page, or the answer sheet"),
    Slot(5, "Tip a model with a finger on the rim: between two feet, then over a foot. Which takes "
         "less, and why? Notebook 07 is for next time.", "one finished model"),
)  # fmt: skip

HALF_DAY = (
    Slot(15, "Handle a finished model. Where do the posts touch, and where not? Read out the "
         "guesses of notebook 03; everyone writes down an answer.", "one model; notebook 03"),
    Slot(30, "Sections 1, 2 and 4 of notebook 03 on the board: the lean, √3, the notch.",
         "board; a box for each pair"),
    Slot(20, "Calculate the sticks: how long, and where the notch? Give out the depth of the "
         "flats; section 5 says why. Compare with the table of sizes below. Nobody marks wood "
         "before the numbers agree.", "calculators"),
    Slot(25, "Mark out three sticks from one end and one face. Lay all three side by side and look "
         "before anything is cut.",
         "square stock, rule, knife or sharp pencil, square, marking gauge"),
    Slot(10, "Break.", ""),
    Slot(55, "Saw to length, cut the notches, and try the joint dry. The third stick slides in "
         "along its notch.", "fine saw, chisel, mallet, bench hook, clamp, eye protection"),
    Slot(25, "Cut the flats. Stand the base dry on a flat board, lay the knife on the strip and "
         "mark round each foot; turn the base over for the heads. Take it apart and saw each stick "
         "on the bench hook.", "the strip, knife, fine saw, bench hook"),
    Slot(25, "Assemble it, fix the top on, and tip it with a finger on the rim: between two feet, "
         "then over a foot. Which is easier, and why?", "the disc, tape or quick glue, a spring "
         "balance or small weights"),
    Slot(20, "Measure the height and the circle of the feet, and compare them with what was "
         "calculated. How far may they be out, and why?", "rule, square"),
    Slot(15, "What went wrong, and what would have shown it sooner?", ""),
)  # fmt: skip

BRING = (
    "A box with square corners for each pair. A die will do; a cube folded from card is better, "
    "for its diagonal can be drawn on it.",
    "Three sticks with their notches cut, that go together; and one finished model with its top.",
    "A calculator for each pair. Check the setting: the cosine of 54.74 is 0.577 in degrees and "
    "−0.2356 in radians.",
    "For the screens: the class server on one machine (the README says how), the address with its "
    "token on the board, and notebooks 03, 04, 01 and 10 opened once by yourself beforehand.",
    "For the half day, one model to a pair: the stock below, cut to rough length, with a third "
    "more for second tries; for the top a disc of card or thin plywood, cut beforehand; and a "
    "strip of wood or card as thick as the flats are deep.",
    "For each pair then: a fine saw, a chisel no wider than the notch is long, a mallet, a bench "
    "hook, a clamp, a rule, a square, a marking gauge and a knife; eye protection for everyone.",
    "For the whole class then: double-sided tape, or glue that sets in minutes, as wood glue does "
    "not set in the lesson; a spring balance or small weights; and a first-aid box.",
)

WRONG = (
    ("The post comes out shorter than the table is high.", "Divided by √3 instead of multiplied.",
     "Ask whether a leaning post can be shorter than what it holds up."),
    ("The post is out by a few centimetres.", "The top, the pads or the flats were left out.",
     "Stack them up on the board, from the floor to the upper face."),
    ("cos θ is negative.", "The calculator is set to radians.", "Set it to degrees."),
    ("Two sticks go together and the third does not.", "A notch was cut into the wrong face, or at "
     "the wrong end.", "Mark the face that the notch opens to, and the foot, on all three before "
     "cutting; lay them side by side."),
    ("The third stick jams.", "It is pressed in from above.", "Slide it in along its notch, "
     "parallel to one of the other sticks."),
    ("The joint is loose.", "Sawn on the line or beyond it.", "Saw beside the line, in the waste, "
     "and pare to it."),
    ("The top is not level.", "Lengths were marked from different ends, or one flat is deeper.",
     "Mark every length from the foot end; compare the flats."),
    ("A page says that all places are taken.", "More pages are open than the machine can carry.",
     "Close those that are no longer needed, then reload."),
)  # fmt: skip

ASK = (
    ("Which of the three edges leans most?", "None: turned by a third of a circle the box looks "
     "the same."),
    ("The table gets 10 mm lower. What changes?", "Each post by 10 mm × √3 = 17.3 mm; not the "
     "size of the notch, nor the flats."),
    ("Every size is doubled. What stays?", "The angles: the lean, the angle between posts, the "
     "tilt of a notch."),
    ("Would deeper notches hold better?", "They leave less wood in the post just where it is bent "
     "most."),
    ("Two notches in each post look tidier. What is wrong with them?", "They fit, but the third "
     "post has no way in, unless one notch is cut longer and the gap filled."),
)  # fmt: skip

AIMS = (
    "Read the sizes of a leaning post off a drawing, and tell what is measured plumb, along the "
    "post and in plan.",
    "Calculate the length of the posts for a given height, and the height for given posts, "
    "allowing for flats, pads and top.",
    "Explain why, at the square crossing, each post changes by √3 times the change in height.",
    "Set out a notch from the post section and the distance between the post axes.",
    "Say why a round top on three feet tips between two of them.",
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
            _timings("Two hours, at screens", TWO_HOURS),
            _timings("Half a day, with sticks", HALF_DAY),
            Section("What to bring", (Steps(BRING),)),
            Section(
                "What goes wrong",
                (Table("Common mistakes", ("what is seen", "why", "what helps"), WRONG),),
            ),
            Section(
                "Questions to ask",
                (Table("Questions, and what to listen for", ("question", "answer"), ASK),),
            ),
            _exercises(),
            _to_cut(display),
            Section("Safety", tuple(Text(text, "caution") for text in SAFETY)),
        ),
    )


def _aims() -> Section:
    return Section(
        "What the class learns", (Text("After the lesson each student can:"), Steps(AIMS))
    )


def _timings(title: str, parts: tuple[Slot, ...]) -> Section:
    starts = accumulate((one.minutes for one in parts), initial=0)
    rows = tuple(
        (f"{start}", f"{one.minutes}", one.what, one.materials)
        for start, one in zip(starts, parts, strict=False)
    )
    total = sum(one.minutes for one in parts)
    return Section(
        title,
        (
            Text(
                f"{total} minutes in all. The times are a first estimate for a class of twelve; "
                "note your own the first time."
            ),
            Table("The parts of the lesson", ("from", "min", "what", "materials"), rows,
                  frozenset({0, 1})),
        ),
    )  # fmt: skip


def _exercises() -> Section:
    return Section(
        "Exercises",
        (
            Text(
                "A set begins with the notch, the post length and a change of height; after them "
                "comes every other kind, in an order that the set settles. For printed sheets you "
                f"may choose: {', '.join(KINDS)}. Keep the lean for a foot circle for students who "
                "are ahead."
            ),
            Text(
                "Notebook 03 derives with figures what is asked of the posts. Moisture, movement "
                "and the slot are in notebook 06, tipping in notebook 07, the tilt in notebook 11 "
                "and the sight line in notebook 14."
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
                "The flats are too shallow to mark with a rule: a knife laid on a strip as thick "
                "as they are deep marks all three at one height."
            ),
        ),
    )  # fmt: skip
