"""The [workshop] of a brief: checked like [given], and each told which names are the other's."""

from __future__ import annotations

import pytest

from tablekit.brief import BriefError, known_quantities, parse_brief, write_brief
from tablekit.brief.workshop import PLANS, every_workshop, known_workshop, wishes_for

GIVEN = '[given]\ntable_height = "735 mm"\n'


def trouble(text: str) -> str:
    with pytest.raises(BriefError) as caught:
        parse_brief(text, "trial.toml")
    assert len(caught.value.problems) == 1, caught.value
    return str(caught.value)


def test_measures_are_read_in_any_unit_and_written_in_the_makers_words():
    text = GIVEN + (
        '[workshop]\nclamp_pressure = "150 psi"\ncutter_width = "3/4 in"\nopen_time = "0.25 h"\n'
        'first_grit = 100\nglue_film = "6 thou"\n'
    )
    brief = parse_brief(text)
    # 1 psi is 6.894 757 kPa (NIST SP 811); 6 thou are 6 · 25.4 µm
    assert brief.workshop["clamp_pressure"] == pytest.approx(150 * 0.006894757, rel=1e-6)
    assert brief.workshop["cutter_width"] == 19.05 and brief.workshop["open_time"] == 15
    assert brief.workshop["first_grit"] == 100
    assert brief.workshop["glue_film"] == pytest.approx(152.4)
    written = write_brief(brief)
    assert parse_brief(written) == brief
    assert 'cutter_width = "3/4 in"' in written.splitlines()
    assert "first_grit = 100" in written.splitlines()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('clamp_pressure = "1200 N"', "is a force; expected a pressure"),
        ('clamp_pressure = "90 MPa"', "is out of range: pressure that the glue needs"),
        ("tenon_width = 50", 'tenon_width = 50 has no unit: write "50 mm"'),
        ('tenon_width = "-50 mm"', "is negative"),
        ("first_grit = 80.5", "first_grit = 80.5 is not a whole number"),
        ('clamp_presure = "1 MPa"', "did you mean clamp_pressure?"),
        ('top_diameter = "920 mm"', 'write it below [given]: top_diameter = "…"'),
        ("coats = 3", 'write it below [given]: coats = "…"'),
        ('edge_loss = "2 mm"', "it belongs below [top]: edge_loss = …"),
        ('joint_length = "1 m"', "it follows from the boards and the piece; leave it out"),
    ],
)
def test_a_bad_line_is_told(line, told):
    error = trouble(f"{GIVEN}[workshop]\n{line}\n")
    assert error.startswith("trial.toml, line 4, [workshop]: ") and told in error


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('clamp_pressure = "1 MPa"', "it belongs below [workshop]: clamp_pressure"),
        ('cutter_width = "19 mm"', "it belongs below [workshop]: cutter_width"),
        ('edge_loss = "2 mm"', "it belongs below [top]"),
        ('glue_area = "2 m^2"', "it follows from the boards and the piece"),
        ('species = "white oak"', "it belongs below [wood]: species = …"),
        ('crossing = "two notches"', "it belongs below [base]: crossing = …"),
        ('notches = "down"', 'below [base]: way_up = "notches up" or way_up = "notches down"'),
        ('display = "in"', "it belongs at the head of the brief, above its first section"),
    ],
)
def test_given_sends_the_names_of_other_sections_there(line, told):
    assert told in trouble(f"{GIVEN}{line}\n")


def test_units_at_the_top_of_the_file_are_told_to_be_the_display():
    assert 'write display = "in" or' in trouble(f'units = "in"\n{GIVEN}')


def test_a_name_of_the_workshop_at_the_top_of_the_file_is_sent_there():
    assert "below [workshop]: open_time" in trouble(f'open_time = "9 min"\n{GIVEN}')


@pytest.mark.parametrize("kind", ["table", "stool"])
def test_every_name_can_be_given_and_none_is_in_both(kind):
    main = known_quantities(kind)
    known = known_workshop(main)
    assert not known.keys() & main.keys()
    lines = []
    for name, quantity in known.items():
        middle = (quantity.low + quantity.high) / 2
        number = round(middle) if quantity.whole else middle
        unit = "" if quantity.unit == "1" else f" {quantity.unit}"
        lines.append(f'{name} = "{number!r}{unit}"')
    height = "table_height" if kind == "table" else "seat_height"
    text = f'kind = "{kind}"\n[given]\n{height} = "450 mm"\n[workshop]\n' + "\n".join(lines) + "\n"
    assert parse_brief(text).workshop.keys() == known.keys()


def test_each_plan_gets_its_own_wishes():
    workshop = {name: 1.0 for plan in every_workshop().values() for name in plan}
    for plan in PLANS:
        assert set(wishes_for(plan, workshop)) == set(every_workshop()[plan])
        assert wishes_for(plan, {}) == {}


def test_a_working_day_past_midnight_is_refused_in_the_brief_already():
    late = f'{GIVEN}[workshop]\nday_start = "20 h"\n'
    assert parse_brief(late + 'working_day = "4 h"\n').workshop["working_day"] == 240
    assert "line" in trouble(late) and "of 6 h that begins at 20 h" in trouble(late)
    assert 'day_start = "20 h": a working day' in trouble(late + 'working_day = "10 h"\n')
    assert "of 16 h that begins at 9 h" in trouble(f'{GIVEN}[workshop]\nworking_day = "16 h"\n')
