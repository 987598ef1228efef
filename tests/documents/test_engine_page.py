"""The two subjects in DEVELOPERS.md, "The engine for another subject", run as they stand.

Their answers are held against the book they are from and, calculated with units by pint, against
the formulas as a book prints them.
"""

from __future__ import annotations

import io
import re
from contextlib import redirect_stdout
from functools import cache
from typing import Any

import pint
import pytest

from tablekit.engine import OutsideLimits, Sheet
from tests.documents.reading import blocks, text_of

HEADING = "## The engine for another subject\n"
SUBJECTS = ("LENS", "DIVIDER")


def page() -> list[str]:
    """The blocks of the section: for each subject its declarations, then what is done with them."""
    (_, after) = text_of("DEVELOPERS.md").split(HEADING)
    section = after.split("\n## ")[0]
    return [block.text for block in blocks("DEVELOPERS.md", section)]


@cache
def run(subject: str) -> tuple[dict[str, Any], str]:
    """What the names of a subject's blocks mean after they have run, and what they printed."""
    place = 2 * SUBJECTS.index(subject)
    room: dict[str, Any] = {}
    heard = io.StringIO()
    with redirect_stdout(heard):
        for text in page()[place : place + 2]:
            exec(text, room)
    return room, heard.getvalue()


def shown(subject: str) -> list[str]:
    """What the comments say that is printed, line by line, in order."""
    done = page()[2 * SUBJECTS.index(subject) + 1]
    return [" ".join(said.split()) for said in re.findall(r"(?:^|  )# (.*)$", done, re.MULTILINE)]


def test_each_subject_is_declared_and_then_used() -> None:
    texts = page()
    assert len(texts) == 2 * len(SUBJECTS)
    for subject, declared in zip(SUBJECTS, texts[::2], strict=True):
        assert f"\n{subject} = tk.Network(" in declared
        assert len(declared.splitlines()) <= 32


@pytest.mark.parametrize("subject", SUBJECTS)
def test_what_the_comments_say_is_what_is_printed(subject: str) -> None:
    printed = " ".join(run(subject)[1].split())
    lines, place = shown(subject), 0
    assert len(lines) >= 7
    for line in lines:
        place = printed.index(line, place) + len(line)  # ValueError where it is not printed next


# -- against the book -----------------------------------------------------------------------------


def near(sheet: Sheet, name: str, printed: str) -> None:
    """Within half a unit of the last figure printed."""
    figures = printed.split(" ")[0]
    decimals = len(figures.partition(".")[2])
    number = pint.Quantity(sheet.number(name), _of_pint(sheet[name].quantity.unit))
    assert (
        abs(number.to(printed.split(" ", 1)[1]).magnitude - float(figures)) <= 0.5 * 10**-decimals
    )


def _of_pint(unit: str) -> str:
    return {"1": "dimensionless", "Ω": "ohm"}.get(unit, unit)


def test_the_bulb_before_the_lens() -> None:
    # OpenStax, College Physics, example 25.6: a bulb 0.750 m from a lens of 0.500 m focal length
    # has its image at 1.50 m, twice as large (there -2.00, for it is upside down); from memory.
    room, _ = run("LENS")
    for name, printed in (("image_distance", "1.50 m"), ("magnification", "2.00 dimensionless")):
        near(room["bulb"], name, printed)
    for name, printed in (("object_distance", "0.750 m"), ("image_distance", "1.50 m")):
        near(room["twice"], name, printed)


def test_two_resistors_in_series() -> None:
    # OpenStax, College Physics, example 21.1: 12.0 V across 1.00, 6.00 and 13.0 Ω in series drive
    # 0.600 A; 7.80 V are across the last, and 7.20 W are given off in all; from memory. The first
    # two are one resistor of 7.00 Ω here.
    room, _ = run("DIVIDER")
    for sheet in (room["book"], room["both"]):
        for name, printed in (("current", "0.600 A"), ("output", "7.80 V"), ("power", "7.20 W"),
                              ("upper", "7.00 ohm"), ("lower", "13.0 ohm")):  # fmt: skip
            near(sheet, name, printed)


# -- against pint, with units all the way ---------------------------------------------------------


def measures(sheet: Sheet) -> dict[str, Any]:
    return {
        n: pint.Quantity(sheet.number(n), _of_pint(v.quantity.unit))
        for n, v in sheet.values.items()
    }


def alike(one: Any, other: Any) -> None:
    assert one.to(other.units).magnitude == pytest.approx(other.magnitude, rel=1e-9)


@pytest.mark.parametrize("name", ["bulb", "twice", "at_hand", "far"])
def test_the_lens_in_pint(name: str) -> None:
    at = measures(run("LENS")[0][name])
    alike(1 / at["object_distance"] + 1 / at["image_distance"], 1 / at["focal_length"])
    alike(at["image_distance"] / at["object_distance"], at["magnification"])


@pytest.mark.parametrize("name", ["book", "wanted", "both"])
def test_the_divider_in_pint(name: str) -> None:
    at = measures(run("DIVIDER")[0][name])
    share = at["lower"] / (at["upper"] + at["lower"])
    alike(at["supply"] * share, at["output"])  # the divider as it is usually written
    alike(at["supply"] ** 2 / (at["upper"] + at["lower"]), at["power"])
    alike(at["supply"] / (at["upper"] + at["lower"]), at["current"])


def test_a_limit_and_an_assumption_of_the_page_do_what_they_say() -> None:
    lens = run("LENS")[0]["LENS"]
    with pytest.raises(OutsideLimits, match="the object is farther off than the focal length"):
        lens.solve({"focal_length": 500, "object_distance": 400})
    divider = run("DIVIDER")[0]["DIVIDER"]
    free = divider.solve({"supply": 12, "output": 5, "upper": 1400})
    assert free["lower"].origin == "found"  # what was assumed gave way: 1400 Ω · 5 V / 7 V
    assert free.number("lower") == pytest.approx(1000.0, rel=1e-12)
