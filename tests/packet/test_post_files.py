"""What goes to the bench with the posts, and what is left out for pieces without crossed posts."""

from __future__ import annotations

import pytest

from tablekit.brief import Brief
from tablekit.design import Design
from tablekit.packet.bench import can_be_marked, joint, parts, posts
from tablekit.packet.document import Plate
from tablekit.packet.packet import write_marks
from tablekit.planning.post_marks import notches_json
from tablekit.relations.families import network
from tests.drawing.designs import designs
from tests.packet.documents import texts
from tests.planning.test_setting_out_posts import SPLAYED, two_notches


def job(sheet) -> Design:
    return Design(Brief("Try"), sheet)


def written(sheet, folder) -> dict[str, str]:
    folder.mkdir()
    write_marks(job(sheet), folder, 88)
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(folder.iterdir())}


def drawings(section) -> list[str]:
    return [part.name for part in section.parts if isinstance(part, Plate)]


@pytest.mark.parametrize("name", ["table", "stool in inches, down"])
def test_one_notch_to_a_post(tmp_path, name):
    sheet = designs()[name]
    first = written(sheet, tmp_path / "a")
    assert list(first) == ["post-marks.txt"]
    assert max(map(len, first["post-marks.txt"].splitlines())) <= 88
    assert first == written(sheet, tmp_path / "b")
    assert drawings(posts(job(sheet))) == ["post-faces"]
    assert can_be_marked(job(sheet))


def test_the_page_says_what_the_file_says(tmp_path):
    sheet = designs()["table"]
    text = " ".join(written(sheet, tmp_path / "a")["post-marks.txt"].split())
    faces, notch, lying = (texts(make(job(sheet))) for make in (posts, joint, parts))
    assert faces[-1].text.startswith("Full-size templates of the faces are in templates-a4.pdf.")
    assert lying[0].text.startswith("The posts go together")
    said = [*faces[:-1], *notch, *lying[1:]]
    assert len(said) > 10
    for paragraph in said:
        assert " ".join(paragraph.text.split()) in text
    assert sum(part.tone == "caution" for part in said) == 1


def test_posts_that_differ_have_a_drawing_each(tmp_path):
    assert drawings(posts(job(two_notches()))) == ["post-faces"]
    unlike = two_notches(32.0)
    assert drawings(posts(job(unlike))) == ["post-faces", "post-faces-2"]
    assert "Posts 2 and 3" in written(unlike, tmp_path / "b")["post-marks.txt"]


def test_a_piece_without_crossed_posts_has_none(tmp_path):
    sheet = network("stool", style="splayed legs").solve(SPLAYED)
    assert written(sheet, tmp_path / "a") == {}
    assert posts(job(sheet)) is None and not can_be_marked(job(sheet))
    assert notches_json(sheet) is None


def test_posts_that_cannot_be_marked_say_why(tmp_path, monkeypatch):
    from tablekit.engine.trouble import OutsideLimits
    from tablekit.planning import post_text, setting_out_posts

    def refuse(sheet):
        raise OutsideLimits("the notch floor comes out elsewhere")

    monkeypatch.setattr(setting_out_posts, "post_marks", refuse)
    monkeypatch.setattr(post_text, "post_marks", refuse)
    found = written(designs()["table"], tmp_path / "a")
    why = "cannot be marked out: the notch floor comes out elsewhere"
    assert why in found["post-marks.txt"]
    (part,) = posts(job(designs()["table"])).parts
    assert why in part.text and part.tone == "caution"
    assert not can_be_marked(job(designs()["table"]))
