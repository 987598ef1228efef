"""What [wood] and [room] supply, and when the givens come first."""

from __future__ import annotations

import pytest

from tablekit.brief import parse_brief
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import DesignError
from tablekit.setting_out import set_out

GIVEN = """
[given]
table_height = "735 mm"
top_diameter = "920 mm"
post_section = "64 mm"
"""
ASH = '[wood]\nspecies = "white ash"\n'
ROOM = """
[room]
driest = { temperature = "70 degF", humidity = "40 %" }
dampest = { temperature = "70 degF", humidity = "65 %" }
shop = { temperature = "70 degF", humidity = "50 %" }
"""


def sheet(*parts: str) -> Sheet:
    return set_out(parse_brief("\n".join(parts)))


def test_the_room_of_the_brief() -> None:
    # Wood Handbook table 4-2: 7.7, 12.0 and 9.2 % at 70 °F
    found = sheet(GIVEN, ROOM)
    for air, printed in (("driest", 7.7), ("dampest", 12.0), ("shop", 9.2)):
        assert found.number(f"{air}_moisture") == pytest.approx(printed, abs=0.07)
        assert found[f"{air}_humidity"].origin == "given"
    change = found.number("dampest_moisture") - found.number("driest_moisture")
    assert found.number("top_movement") == pytest.approx(920 * 0.00315 * change)


@pytest.mark.parametrize(
    ("cut", "coefficient"), [("", 0.00274), ("flat-sawn", 0.00274), ("quarter-sawn", 0.00169)]
)
def test_the_wood_of_the_brief(cut: str, coefficient: float) -> None:
    # Wood Handbook table 13-5
    found = sheet(GIVEN, ASH, f'cut = "{cut}"' if cut else "")
    assert found.number("movement_coefficient") == coefficient
    (note,) = (n for n in found.notes if n.startswith("movement_coefficient"))
    assert "read" in note and (cut or "flat-sawn") in note
    assert ("does not say how" in note) == (not cut)


def test_a_given_coefficient_comes_first() -> None:
    found = sheet(GIVEN, "movement_coefficient = 0.002", ASH)
    assert found.number("movement_coefficient") == 0.002
    assert any("(0.00274) was not used" in note for note in found.notes)


def test_a_measured_moisture_comes_before_the_humidity_of_the_room() -> None:
    found = sheet(GIVEN, 'driest_moisture = "8 %"', ROOM)
    assert found.number("driest_moisture") == 8
    assert found["driest_humidity"].origin == "found"
    assert any(note.startswith("driest_humidity follows") for note in found.notes)


def test_a_room_the_wrong_way_round_is_told_with_its_source() -> None:
    swapped = ROOM.replace('"40 %"', '"64 %"').replace('driest = { temperature = "70 degF"', (
        'driest = { temperature = "32 degF"'))  # fmt: skip
    with pytest.raises(DesignError) as caught:
        sheet(GIVEN, swapped)
    assert "dampest air" in str(caught.value)


def test_a_wood_with_movement_alone() -> None:
    found = sheet(GIVEN, '[wood]\nspecies = "red alder"')
    assert found.number("movement_coefficient") == 0.00256  # Wood Handbook table 13-5
    assert found["wood_density"].origin == "assumed"
    assert any("No specific gravity" in note for note in found.notes)


def test_woods_answer_to_what_the_trade_calls_them() -> None:
    from tablekit.species import OTHER_NAMES, every_species, find_species

    for other, name in OTHER_NAMES.items():
        found = find_species(other.title())
        assert found is not None and found.name == name and other not in every_species()


CUT = '[as_cut]\nmoisture = "{} %"\n'


@pytest.mark.parametrize("room", ["", ROOM])
def test_measured_moisture_takes_the_place_of_the_air_of_the_shop(room: str) -> None:
    """The top starts from what was measured: for 1 % it moves by the coefficient of white ash along
    the rings, 0.00274 (Wood Handbook FPL-GTR-190, table 13-5), times its 920 mm."""
    dry, wet = (sheet(GIVEN, ASH, room, CUT.format(moisture)) for moisture in (8, 11))
    assert wet.number("shop_moisture") == 11 and wet["shop_humidity"].origin == "found"
    by_hand = 3 * 0.00274 * 920
    assert wet.number("winter_shrinkage") - dry.number("winter_shrinkage") == pytest.approx(
        by_hand, rel=1e-9
    )
    assert wet.number("top_movement") == dry.number("top_movement")  # from driest to dampest
    assert wet.number("winter_play") > dry.number("winter_play")
    (note,) = [one for one in wet.notes if "measured at 11 %" in one]
    assert ("in place of the humidity of shop in [room]" in note) == bool(room)


@pytest.mark.parametrize("name, text", [("shop_moisture", "9 %"), ("shop_humidity", "50 %")])
def test_measured_moisture_beside_one_that_is_given_is_refused(name: str, text: str) -> None:
    with pytest.raises(DesignError, match=f"says what {name} below .given. says too"):
        parse_brief(f'{GIVEN}{name} = "{text}"\n{CUT.format(11)}')


def test_measured_moisture_beside_the_warmth_of_the_shop_gives_its_humidity() -> None:
    """At 70 °F wood has 11.0 % in air of 60 % (Wood Handbook FPL-GTR-190, table 4-2)."""
    found = sheet(GIVEN, 'shop_temperature = "70 degF"', CUT.format(11.0))
    assert found.number("shop_humidity") == pytest.approx(60, abs=0.5)
