"""Two briefs compared, through the command line too."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tablekit.brief import parse_brief
from tablekit.cli import main
from tablekit.comparing import compare_briefs
from tablekit.packet.compared import compared_text

TABLE = 'name = "{name}"\n[given]\ntable_height = "{height} mm"\ntop_diameter = "920 mm"\npost_section = "64 mm"\n{more}'  # noqa: E501


def text(height: float = 735.0, more: str = "", name: str = "Try") -> str:
    return TABLE.format(height=height, more=more, name=name)


def test_keeping_a_post_lets_the_lean_follow() -> None:
    # DESIGN of assumptions: the lean of the posts gives way to a length that is given.
    found = compare_briefs(parse_brief(text()), parse_brief(text(745.0)), ["post_length"])
    assert found.kept is not None and found.why == ""
    assert found.kept.number("post_length") == pytest.approx(found.before.number("post_length"))
    assert found.kept.number("table_height") == pytest.approx(745.0)
    assert found.kept.number("splay") < found.after.number("splay")


def test_a_clash_is_told_with_what_could_be_released() -> None:
    # With lean, width, flats, pads, plates and top given, nothing is left to give way.
    settled = {
        "splay": "54.7356 deg", "foot_flat": "25 mm", "head_flat": "25 mm", "plate_gap": "0 mm",
        "pad_projection": "3 mm", "top_thickness": "28 mm", "post_width": "64 mm",
    }  # fmt: skip
    settled_text = "\n".join(f'{name} = "{size}"' for name, size in settled.items())
    found = compare_briefs(
        parse_brief(text(more=settled_text)),
        parse_brief(text(745.0, settled_text)),
        ["post_length"],
    )
    assert found.kept is None and "table_height" in found.why
    assert "These parts do not suit the new brief" in compared_text(found)


def test_the_command_tells_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one, two = tmp_path / "one.toml", tmp_path / "two.toml"
    one.write_text(text(name="First"), encoding="utf-8")
    two.write_text(text(725.0, name="Second"), encoding="utf-8")
    assert main(["compare", str(one), str(two), "--cut", "post_length"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "735 mm" in said and "725 mm" in said and "take off 17.5" in said
    assert main(["compare", str(one), str(two), "--json", "--cut", "notch_depth"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["names"] == ["First", "Second"]
    assert data["kept"]["table_height"]["value"] == pytest.approx(725.0)
    assert main(["compare", str(one), str(one)]) == 0
    assert "Nothing changes" in capsys.readouterr().out


def test_mistakes_are_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = tmp_path / "one.toml"
    one.write_text(text(), encoding="utf-8")
    assert main(["compare", str(one), str(tmp_path / "none.toml")]) == 2
    assert main(["compare", str(one), str(one), "--cut", "tipping_load"]) == 2
    told = capsys.readouterr().err
    assert "not a size that is cut" in told and "Traceback" not in told
