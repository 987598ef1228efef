"""What goes to the bench with the posts, and what is left out for pieces without crossed posts."""

from __future__ import annotations

import pytest

from tablekit.packet.post_files import write_post_files
from tablekit.planning.notches import notches_json
from tablekit.relations.families import network
from tests.drawing.designs import designs
from tests.planning.test_setting_out_posts import SPLAYED, two_notches

FILES = ["post-faces.pdf", "post-faces.svg", "post-marks.txt", "templates-a4.pdf",
         "templates-letter.pdf"]  # fmt: skip


def written(sheet, folder):
    folder.mkdir()
    write_post_files(sheet, folder)
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.mark.parametrize("name", ["table", "stool in inches, down"])
def test_one_notch_to_a_post(tmp_path, name):
    first = written(designs()[name], tmp_path / "a")
    assert list(first) == FILES
    assert first == written(designs()[name], tmp_path / "b")
    assert all(first[name].startswith(b"%PDF-") for name in first if name.endswith("pdf"))


def test_posts_that_differ_have_a_drawing_each(tmp_path):
    alike = written(two_notches(), tmp_path / "a")
    assert list(alike) == FILES
    unlike = written(two_notches(32.0), tmp_path / "b")
    assert set(unlike) == {*FILES, "post-faces-2.pdf", "post-faces-2.svg"}
    assert "Posts 2 and 3" in unlike["post-marks.txt"].decode()


def test_a_piece_without_crossed_posts_has_none(tmp_path):
    sheet = network("stool", style="splayed legs").solve(SPLAYED)
    assert written(sheet, tmp_path / "a") == {}
    assert notches_json(sheet) is None


def test_posts_that_cannot_be_marked_say_why(tmp_path, monkeypatch):
    from tablekit.engine.trouble import OutsideLimits
    from tablekit.planning import setting_out_posts

    def refuse(sheet):
        raise OutsideLimits("the notch floor comes out elsewhere")

    monkeypatch.setattr(setting_out_posts, "post_marks", refuse)
    found = written(designs()["table"], tmp_path / "a")
    assert list(found) == ["post-marks.txt"]
    assert (
        "not marked out here: the notch floor comes out elsewhere"
        in found["post-marks.txt"].decode()
    )
