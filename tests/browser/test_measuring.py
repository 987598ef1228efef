"""What is measured at the bench, typed into the page on a phone: its answer against the plan."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

import pytest

from tablekit.brief import AsCut, parse_brief
from tablekit.engine.shop import fine_text
from tablekit.packet.as_cut_text import as_cut_rows
from tablekit.packet.document import Document, Section, Text
from tablekit.packet.measuring import measuring
from tablekit.packet.web import framed
from tablekit.planning.leg_remedies import LegsMade, astray, faults
from tablekit.planning.mending import as_made
from tablekit.setting_out import design_of
from tests.browser.chromium import needs_chromium
from tests.browser.test_packet_page import REFUSES

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tablekit.design import Design

needs_chromium()

from playwright.sync_api import expect  # noqa: E402

PHONE = {"width": 390, "height": 844}
MM = """name = "Try"
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
INCHES = """name = "Try"
display = "in"
[given]
table_height = "29 in"
top_diameter = "36 in"
post_section = "2 1/2 in"
"""
LEFT = MM + '[base]\nhand = "left"\n'
PADS = MM.replace('64 mm"', '64 mm"\npad_projection = "3 mm"')
BARE = MM.replace('64 mm"', '64 mm"\npad_projection = "0 mm"')


@cache
def designed(text: str) -> Design:
    return design_of(parse_brief(text))


@cache
def html(text: str) -> str:
    document = Document("Try", "w", (Section("s", (Text("x"),)),))
    return framed(document, *measuring(designed(text)))


@pytest.fixture
def context(browser):
    with browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True) as context:
        yield context


@pytest.fixture
def shown(context, tmp_path):
    """Shows the page of a brief, its section open."""

    def show(text: str) -> Page:
        where = tmp_path / "packet.html"
        where.write_text(html(text), "utf-8")
        page = context.new_page()
        page.set_default_timeout(8000)
        page.goto(where.as_uri())
        opened(page)
        return page

    return show


def opened(page: Page) -> None:
    page.get_by_text("As cut: measured at the bench").tap()


def type_in(page: Page, sizes: Mapping[str, str]) -> None:
    """Types sizes by the ids of their fields, key by key."""
    for field, size in sizes.items():
        page.locator(f"#cut-{field}").press_sequentially(size)


def rows(page: Page) -> dict[str, str]:
    """The answer: the size of each row, by what it is called."""
    found = {}
    for row in page.locator("tr[data-answer]").all():
        what, size = row.locator("th").inner_text(), row.locator("td").first.inner_text()
        found[what] = size.replace("\u00a0", " ")
    return found


def verdict(page: Page) -> str:
    return page.locator(".verdict").inner_text().replace("\u00a0", " ")


def asked(text: str, cut: str) -> Design:
    """The design of a brief with that [as_cut]."""
    return design_of(parse_brief(f"{text}[as_cut]\n{cut}\n"))


# -- the answer -----------------------------------------------------------------------------------

CASES = [
    (MM, {"post_2-length": "1115,4", "post_2-notch_position": "560.9"},
     'post_2 = { length = "1115.4 mm", notch_position = "560.9 mm" }'),
    (BARE, {"post_1-length": "1140 mm", "post_3-notch_depth": "33", "post_2-head_flat": "27.5"},
     'post_1 = { length = "1140 mm" }\npost_3 = { notch_depth = "33 mm" }\n'
     'post_2 = { head_flat = "27.5 mm" }'),
    (PADS, {"post_1-section": "63.2", "post_3-foot_flat": "30", "top_thickness": "26.5"},
     'post_1 = { section = "63.2 mm" }\npost_3 = { foot_flat = "30 mm" }\n'
     'top_thickness = "26.5 mm"'),
    (LEFT, {"post_2-length": "1118", "post_3-section": "65", "post_2-notch_depth": "31"},
     'post_2 = { length = "1118 mm", notch_depth = "31 mm" }\npost_3 = { section = "65 mm" }'),
    (MM, {"post_1-notch_width": "63.8"}, 'post_1 = { notch_width = "63.8 mm" }'),
    (MM, {"post_1-notch_width": "64.9"}, 'post_1 = { notch_width = "64.9 mm" }'),
    (INCHES, {"post_2-length": "44 3/16", "post_1-notch_depth": "1.3"},
     'post_2 = { length = "44 3/16 in" }\npost_1 = { notch_depth = "1.3 in" }'),
    (INCHES, {"post_3-length": '44-1/4"', "top_thickness": "1,05 in"},
     'post_3 = { length = "44 1/4 in" }\ntop_thickness = "1.05 in"'),
]  # fmt: skip


@pytest.mark.parametrize(("brief", "typed", "cut"), CASES)
def test_the_answer_is_that_of_the_plan(shown, brief: str, typed: dict[str, str], cut: str) -> None:
    # The referee is planning/as_cut.py, and the words for it that the terminal prints.
    page = shown(brief)
    type_in(page, typed)
    design = asked(brief, cut)
    made = design.as_cut
    assert made is not None
    found, told = rows(page), {what: size for what, size, _ in as_cut_rows(design)}
    assert len(found) == 8
    assert found == {what: told[what] for what in found}
    said, rim = verdict(page), fine_text(made.standing.rim_drop, made.pieces.style)
    low = made.standing.heads.index(min(made.standing.heads)) + 1
    if made.level:
        assert said.startswith(f"Level within what is visible: {rim} across the rim.")
    else:
        assert said.startswith(f"Not level: {rim} across the rim, low over head {low}.")
    assert ("too narrow" in said) == (min(made.standing.plays) < 0)
    assert ("is loose" in said) == (made.standing.goes_together and not made.standing.fits)


def test_the_cases_come_out_every_way() -> None:
    made = [asked(brief, cut).as_cut for brief, _, cut in CASES]
    assert {one.level for one in made if one} == {True, False}
    assert {one.standing.fits for one in made if one} == {True, False}
    assert {one.standing.goes_together for one in made if one} == {True, False}
    assert len({min(range(3), key=one.standing.heads.__getitem__) for one in made if one}) > 1


def test_a_short_post_by_hand(shown) -> None:
    """At the square crossing a post 2 mm short at its head lowers that head by 2/√3 = 1.2 mm and
    leaves the others where they are."""
    page = shown(PADS)
    length = designed(PADS).sheet.number("post_length")
    type_in(page, {"post_2-length": f"{length - 2:.6f}"})
    heads = [float(rows(page)[f"head {k}"].removesuffix(" mm")) for k in (1, 2, 3)]
    assert heads[0] == heads[2] == pytest.approx(heads[1] + 1.2, abs=0.051)  # shown in tenths


def test_posts_that_no_longer_fit_say_why(shown) -> None:
    page = shown(LEFT)
    type_in(page, {"post_2-notch_position": "30"})
    assert "no longer fit one another: it takes that notch 2 stays clear of the foot" in (
        verdict(page)
    )
    with pytest.raises(Exception, match="notch 2 stays clear of the foot") as caught:
        as_made(designed(LEFT).sheet, {"notch_position_2": 30.0})
    short = re.search(r"it is (.+) short", str(caught.value))
    assert short and f"it is {short[1]} short" in verdict(page)
    assert page.get_by_role("region", name="How it stands").is_hidden()


# -- what is typed --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("brief", "typed", "said"),
    [
        (MM, "12a", "“12a” is not a size; write it as 1146.5 or 1146,5"),
        (MM, "1,146.5", "is not a size"),
        (MM, "44 3/16", "is not a size"),
        (MM, "-5", "is not a size"),
        (MM, "12", "must be from 50 mm to 10000 mm"),
        (INCHES, "44 3/0", "“44 3/0” is not a size; write it as 44 3/16 or 44.19"),
        (INCHES, "1/2", "must be from 2 in to 393 in"),
        # Drawn 1152.5 mm, and 45 in: in centimetres, and with a point in the wrong place.
        (MM, "114.9", "was drawn 1152.5 mm; is it in the right unit?"),
        (MM, "11490", "must be from 50 mm to 10000 mm"),
        (INCHES, "4 1/2", "is it in the right unit?"),
    ],
)
def test_a_wrong_size_is_told_at_its_field(shown, brief: str, typed: str, said: str) -> None:
    page = shown(brief)
    type_in(page, {"post_3-length": typed, "post_1-notch_depth": "32" if brief == MM else "1 1/4"})
    field = page.locator("#cut-post_3-length")
    assert said in page.locator("#cut-post_3-length-wrong").inner_text()
    assert field.get_attribute("aria-invalid") == "true"
    assert verdict(page) == "Waiting for a valid size at post 3, length, end to end."
    assert page.get_by_role("button", name="Copy as [as_cut]").is_disabled()
    field.fill("")
    assert field.get_attribute("aria-invalid") == "false" and "across the rim" in verdict(page)


def test_what_is_typed_is_there_again_and_can_be_copied_into_the_brief(shown) -> None:
    page = shown(MM)
    typed = {"post_2-length": "1115,4", "post_2-notch_position": "560.9", "top_thickness": "27"}
    type_in(page, typed)
    before = rows(page), verdict(page)
    page.reload()
    opened(page)
    assert {one: page.locator(f"#cut-{one}").input_value() for one in typed} == typed
    assert (rows(page), verdict(page)) == before
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    text = page.get_by_role("textbox", name="Text for the brief").input_value()
    expect(page.locator(".measuring .copying")).to_contain_text(re.compile("Copied|Copy the text"))
    assert parse_brief(MM + text).as_cut == AsCut.of(
        post_2={"length": 1115.4, "notch_position": 560.9}, top_thickness=27.0
    )
    page.locator("#cut-post_2-length").fill("")
    page.wait_for_timeout(
        250
    )  # nobody reloads in the instant of typing; storage is another process
    page.reload()
    assert page.locator("#cut-post_2-length").input_value() == ""


def test_inches_are_copied_as_they_were_typed(shown) -> None:
    page = shown(INCHES)
    type_in(page, {"post_1-length": "44 3/16", "post_1-notch_depth": ".99"})
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    text = page.get_by_role("textbox", name="Text for the brief").input_value()
    # An inch is 25.4 mm exactly (NIST SP 811): 44.1875 and 0.99 times that
    assert dict(parse_brief(INCHES + text).as_cut.sizes) == pytest.approx(
        {"post_length_1": 1122.3625, "notch_depth_1": 25.146}
    )
    assert '"44 3/16 in"' in text


def test_what_the_brief_says_is_cut_stands_in_its_field(shown) -> None:
    cut = (
        'post_2 = { length = "1115.4 mm", foot_shim = "1 mm" }\ntop_diameter = "918 mm"\n'
        'head_flats = ["25 mm", "25.5 mm", "26 mm"]'
    )
    page = shown(f"{MM}[as_cut]\n{cut}\n")
    assert page.locator("#cut-post_2-length").input_value() == "1115.4"
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    text = page.get_by_role("textbox", name="Text for the brief").input_value()
    assert parse_brief(MM + text).as_cut == parse_brief(f"{MM}[as_cut]\n{cut}\n").as_cut
    # What is taken out of its field stays out, though the brief still has it.
    page.locator("#cut-post_2-length").fill("")
    page.wait_for_timeout(
        250
    )  # nobody reloads in the instant of typing; storage is another process
    page.reload()
    assert page.locator("#cut-post_2-length").input_value() == ""


def test_moisture_has_no_field_and_is_copied_with_the_rest(shown) -> None:
    cut = 'post_2 = { length = "1115.4 mm" }\nmoisture = "11 %"'
    page = shown(f"{MM}[as_cut]\n{cut}\n")
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    text = page.get_by_role("textbox", name="Text for the brief").input_value()
    assert parse_brief(MM + text).as_cut == parse_brief(f"{MM}[as_cut]\n{cut}\n").as_cut


# -- the strips of the top, as glued --------------------------------------------------------------

BOARDS = """
[[boards]]
width = "200 mm"
length = "1 m"
count = 6
"""
INCH_BOARDS = BOARDS.replace("200 mm", "8 in").replace("1 m", "40 in")


def strips_of(text: str) -> list[float]:
    boards = designed(text).boards
    assert boards is not None and boards.layout is not None
    return [one.width for one in boards.layout.strips]


def numbers(text: str) -> list[float]:
    """The sizes in a text, in the order in which they stand."""
    return [float(one) for one in re.findall(r"(\d+(?:\.\d+)?) mm", text)]


def test_strips_as_glued_are_told_as_the_plan_tells_them(shown) -> None:
    text = MM + BOARDS
    page, planned = shown(text), strips_of(text)
    widths = [one - 12 for one in planned]
    type_in(page, {f"boards-{k}": f"{one:g}" for k, one in enumerate(widths, start=1)})
    panel = asked(text, f"boards = {[f'{one} mm' for one in widths]}".replace("'", '"')).glued
    assert panel is not None and not panel.wide_enough
    said = verdict(page)
    # Referee: planning/glued_panel.py, whose width, shortfall, round, margin and remedy these are.
    wide, short, round_, margin, largest = numbers(said)
    assert wide == pytest.approx(sum(widths), abs=0.05)
    assert short == pytest.approx(-panel.spare, abs=0.06)
    assert (round_, margin) == (920, panel.terms.margin)
    assert largest == pytest.approx(sum(widths) - 2 * margin, abs=0.06)
    assert f"{short:g} mm too narrow for a round of" in said and "across the rim" not in said


def test_the_room_for_the_centre_and_what_is_still_as_planned(shown) -> None:
    text = MM + BOARDS
    page, planned = shown(text), strips_of(text)
    type_in(page, {"boards-1": f"{planned[0]:g}", "boards-centre": "400"})
    spare = sum(planned) - 940  # 920 across, 10 outside it on both sides
    said = verdict(page)
    assert f"to lie between 470 mm and {470 + spare:g} mm" in said and "too near an edge" in said
    assert f"Strips 2 to {len(planned)} count as planned." in said
    page.locator("#cut-boards-centre").fill(f"{470 + spare / 2:g}")
    assert "The centre is right" in verdict(page)


def test_strips_are_measured_in_order_and_copied_into_the_brief(shown) -> None:
    text = INCHES + INCH_BOARDS
    page = shown(text)
    type_in(page, {"boards-2": "7 3/4"})
    assert page.locator("#cut-boards-1-wrong").inner_text() == "measure this strip too"
    assert verdict(page) == "Waiting for a valid size at strip 1."
    type_in(page, {"boards-1": "7 11/16", "boards-centre": "18 1/2", "post_1-length": "45"})
    assert "across the rim" in verdict(page) and "The panel is" in verdict(page)
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    copied = page.get_by_role("textbox", name="Text for the brief").input_value()
    made = parse_brief(text + copied).as_cut
    # An inch is 25.4 mm exactly (NIST SP 811).
    assert made.boards == pytest.approx((7.6875 * 25.4, 7.75 * 25.4))
    assert made.centre == pytest.approx(18.5 * 25.4)
    assert not re.search(r"\bmm\b", page.locator(".measuring").inner_text())


def test_a_base_without_posts_as_cut_still_has_its_strips(shown) -> None:
    text = f'{MM.replace("64 mm", "58 mm")}[base]\ncrossing = "two notches"\n{BOARDS}'
    page, planned = shown(text), strips_of(text)
    assert page.locator(".measuring fieldset").count() == 1
    type_in(page, {"boards-1": f"{planned[0] - 1:g}"})
    assert numbers(verdict(page))[0] == pytest.approx(sum(planned) - 1, abs=0.05)
    assert f"Strips 2 to {len(planned)} count as planned." in verdict(page)


def test_a_top_too_small_for_the_heads_is_said(shown) -> None:
    page = shown(f'{MM}[as_cut]\ntop_diameter = "700 mm"\n')
    made = asked(MM, 'top_diameter = "700 mm"').as_cut
    assert made is not None
    short = fine_text(-made.standing.overhang, made.pieces.style)
    assert f"The middle of a head lies {short} beyond the rim." in verdict(page)
    page.locator("#cut-top_diameter").fill("918")
    assert "beyond the rim" not in verdict(page)


def test_where_storage_is_refused_it_still_answers(context, tmp_path) -> None:
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.add_init_script(REFUSES)
    where = tmp_path / "packet.html"
    where.write_text(html(MM), "utf-8")
    page.goto(where.as_uri())
    opened(page)
    type_in(page, {"post_2-length": "1115"})
    assert verdict(page).startswith("Not level") and complaints == []


# -- on a phone, on paper -------------------------------------------------------------------------


@pytest.mark.parametrize("brief", [MM, INCHES])
def test_fingers_and_eyes_have_room(shown, brief: str) -> None:
    page = shown(brief)
    type_in(page, {"post_1-length": "1110" if brief == MM else "44", "post_2-length": "x"})
    page.locator("#cut-post_2-length").fill("")
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for touched in page.locator(".measuring input, .measuring button").all():
        box = touched.bounding_box()
        # 44 px: WCAG 2.1, success criterion 2.5.5
        assert box is not None and box["height"] >= 44 and box["width"] >= 44
    assert all(one.get_attribute("id") for one in page.locator(".measuring input").all())
    assert page.locator(".measuring label").count() == page.locator(".measuring input").count()
    page.emulate_media(media="print")
    assert page.get_by_role("button", name="Copy as [as_cut]").is_hidden()
    assert page.locator("#cut-post_1-length").is_visible()


def test_an_inch_page_shows_no_metric_figure(shown) -> None:
    page = shown(INCHES)
    type_in(page, {"post_1-length": "44"})
    said = page.locator(".measuring").inner_text()
    assert not re.search(r"\bmm\b|millimet", said) and re.search(r"\d in\b", said)


def test_two_notches_to_a_post_have_no_such_section() -> None:
    two = f'{MM.replace("64 mm", "58 mm")}[base]\ncrossing = "two notches"\n'
    assert measuring(designed(two))[0] == ""
    assert measuring(designed(MM))[0].count("<fieldset>") == 4


# -- legs and their sockets -----------------------------------------------------------------------

STOOL = """name = "Try"
kind = "stool"
[base]
style = "splayed legs"
legs = 4
[given]
seat_height = "450 mm"
"""
THREE = STOOL.replace("legs = 4", "legs = 3")
TURNED = STOOL.replace("450 mm", '450 mm"\nleg_rake = "14 deg"\nleg_splay = "9 deg')
INCH_STOOL = STOOL.replace("450 mm", "18 in").replace(
    'name = "Try"', 'name = "Try"\ndisplay = "in"'
)
SAWN = {
    "leg_1-length": "462",
    "leg_2-length": "458",
    "leg_3-length": "462",
    "leg_4-length": "461,5",
}
SAWN_SAID = "\n".join(
    f'leg_{k} = {{ length = "{long} mm" }}'
    for k, long in enumerate((462, 458, 462, 461.5), start=1)
)
LEG_CASES = [
    (STOOL, SAWN, SAWN_SAID),
    (TURNED, {"leg_1-lean": "17", "leg_1-lean_aside": "-1.5", "leg_3-socket_aside": "-4",
              "leg_3-socket_radius": "104"},
     'leg_1 = { lean = "17 deg", lean_aside = "-1.5 deg" }\n'
     'leg_3 = { socket_aside = "-4 mm", socket_radius = "104 mm" }'),
    (THREE, {"leg_2-blank": "455", "leg_2-tenon_diameter": "29"},
     'leg_2 = { blank = "455 mm", tenon_diameter = "29 mm" }'),
    (THREE, {"leg_1-length": "470", "leg_2-blank": "468", "leg_3-socket_depth": "28.5"},
     'leg_1 = { length = "470 mm" }\nleg_2 = { blank = "468 mm" }\n'
     'leg_3 = { socket_depth = "28.5 mm" }'),
    (THREE, {"top_thickness": "36", "leg_1-socket_depth": "31.5", "leg_2-socket_diameter": "30.8",
             "leg_3-tenon_diameter": "30.6"},
     'top_thickness = "36 mm"\nleg_1 = { socket_depth = "31.5 mm" }\n'
     'leg_2 = { socket_diameter = "30.8 mm" }\nleg_3 = { tenon_diameter = "30.6 mm" }'),
    (STOOL, {"leg_1-lean_aside": "3"}, 'leg_1 = { lean_aside = "3 deg" }'),
    (INCH_STOOL, {"leg_1-length": "18 1/4", "leg_2-length": "18 3/16", "leg_3-length": "18 1/4",
                  "leg_4-length": "18 1/4", "leg_4-socket_aside": "-1/16"},
     'leg_1 = { length = "18 1/4 in" }\nleg_2 = { length = "18 3/16 in" }\n'
     'leg_3 = { length = "18 1/4 in" }\n'
     'leg_4 = { length = "18 1/4 in", socket_aside = "-1/16 in" }'),
]  # fmt: skip


@pytest.mark.parametrize(("brief", "typed", "cut"), LEG_CASES)
def test_legs_are_answered_as_the_plan_does(
    shown, brief: str, typed: dict[str, str], cut: str
) -> None:
    # The referee is planning/legs_as_cut.py, and the words for it that the terminal prints.
    page = shown(brief)
    type_in(page, typed)
    design = asked(brief, cut)
    made = design.as_cut
    assert isinstance(made, LegsMade)
    found = {what: size for what, size in rows(page).items() if size}
    told = {what: size for what, size, _ in as_cut_rows(design)}
    del told["top tilt"]
    assert found == told
    remarks = [row.locator("td").last.inner_text() for row in page.locator("tr[data-answer]").all()]
    off = [one.split("; ")[1] for one in remarks if "out of place" in one]
    assert off == [f"{fine_text(one.off, made.pieces.style)} out of place".replace(" ", "\u00a0", 1)
                   for one in made.standing.legs if one.off > 0.5]  # fmt: skip
    said = verdict(page)
    if made.sawn:
        rim = fine_text(made.standing.rim_drop, made.pieces.style)
        assert said.startswith(
            f"{'Level within what is visible' if made.level else 'Not level'}: {rim}"
        )
    else:
        assert said.startswith("With its feet cut level it is ")
    # What is wrong is said by the plan in clauses, by the page in sentences.
    slope = made.slope
    clauses = {*faults(made.pieces, made.standing, slope), *astray(made.pieces, made.standing)}
    told_ = {one[0].lower() + one[1:] for one in re.split(r"\. ", said.rstrip("."))[1:]}
    plain = {one for one in clauses if "out of level" not in one and "as deep as drawn" not in one}
    assert {one for one in told_ if "as deep as drawn" not in one} == plain
    assert any("as deep as drawn" in one for one in clauses) == ("as deep as drawn" in said)


def test_the_cases_of_legs_come_out_every_way() -> None:
    made = [asked(brief, cut).as_cut for brief, _, cut in LEG_CASES]
    assert all(isinstance(one, LegsMade) for one in made)
    said = " ".join(one.verdict for one in made if one)
    for fault in ("rocks", "too thick", "loose", "is left over socket", "out of place",
                  "as deep as drawn", "out of level"):  # fmt: skip
        assert fault in said, fault


def test_legs_are_copied_into_the_brief_signs_and_degrees_too(shown) -> None:
    page = shown(INCH_STOOL)
    type_in(page, {"leg_1-lean_aside": "−1,5°", "leg_2-socket_aside": "- 3/32", "leg_3-lean": "15"})
    page.get_by_role("button", name="Copy as [as_cut]").tap()
    text = page.get_by_role("textbox", name="Text for the brief").input_value()
    # An inch is 25.4 mm exactly (NIST SP 811).
    assert dict(parse_brief(INCH_STOOL + text).as_cut.sizes) == pytest.approx(
        {"lean_aside_1": -1.5, "socket_aside_2": -25.4 * 3 / 32, "leg_lean_3": 15.0}
    )
    assert not re.search(r"\bmm\b", page.locator(".measuring").inner_text())
    assert page.locator("#cut-leg_1-lean_aside").get_attribute("inputmode") == "text"
    type_in(page, {"leg_4-length": "-5"})
    assert "is not a size" in page.locator("#cut-leg_4-length-wrong").inner_text()
    page.locator("#cut-leg_4-length").fill("")
    page.locator("#cut-leg_3-lean").fill("1/2")
    assert "write it as 16.5 or 16,5" in page.locator("#cut-leg_3-lean-wrong").inner_text()


def test_legs_have_room_for_fingers_on_a_phone(shown) -> None:
    page = shown(STOOL)
    type_in(page, SAWN)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for touched in page.locator(".measuring input").all():
        box = touched.bounding_box()
        # 44 px: WCAG 2.1, success criterion 2.5.5
        assert box is not None and box["height"] >= 44 and box["width"] >= 44
