"""The teacher's panel, driven by its traits as a browser would drive them."""

from __future__ import annotations

import base64
import re

import ipywidgets as widgets

from tablekit.panels.class_sheets import ClassPanel
from tablekit.panels.exercise import ExercisePanel


def test_sheets_land_in_the_folder_with_a_link(tmp_path) -> None:
    panel = ClassPanel("autumn", tmp_path)
    panel.students.value, panel.count.value = 2, 2
    panel.kinds.value = ("let-in",)
    panel.write.click()
    made = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.pdf")}
    assert made == {"worksheets-autumn/worksheets.pdf", "worksheets-autumn/answers.pdf"}
    held = re.findall(
        r'download="(.*?)" href="data:application/pdf;base64,(.*?)"', panel.told.value
    )
    assert {name for name, _ in held} == {"worksheets.pdf", "answers.pdf"}
    for name, data in held:
        assert base64.b64decode(data) == (tmp_path / "worksheets-autumn" / name).read_bytes()


def test_on_the_pages_of_a_class_it_shows_neither_answers_nor_results(
    tmp_path, monkeypatch
) -> None:
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5")  # what Voilà gives the kernel of a page
    panel = ClassPanel("autumn", tmp_path)
    assert isinstance(panel.widget, widgets.HTML) and "JupyterLab" in panel.widget.value
    # Nor has it a button that could be pressed by a message, unseen.
    assert not any(isinstance(one, widgets.Button) for one in vars(panel).values())


def test_a_set_that_leads_out_of_the_folder_is_refused(tmp_path) -> None:
    room = tmp_path / "class"
    room.mkdir()
    panel = ClassPanel("x/../../../out", room)
    panel.students.value = panel.count.value = 1
    panel.write.click()
    assert "outside your folder" in panel.told.value
    assert [path.name for path in tmp_path.iterdir()] == ["class"]


def test_the_results_of_the_class(tmp_path) -> None:
    panel = ClassPanel("autumn", tmp_path)
    panel.results.click()
    assert "No records" in panel.told.value
    for student, tries in (("<b>1</b>", 1), ("2", 2)):
        pupil = ExercisePanel("autumn", student, 2, kinds=["overhang"], folder=tmp_path)
        if tries == 2:
            givens = pupil.current.givens
            pupil.answer.value = f"{givens['top_diameter'] - givens['head_radius']} mm"
        pupil.answer.value = pupil.current.answer_text
        pupil.save.click()
    panel.results.click()
    assert "2 records" in panel.told.value and "<td" in panel.told.value
    assert "&lt;b&gt;1&lt;/b&gt;" in panel.told.value and "<td><b>" not in panel.told.value
    assert "top diameter: diameter for radius" in panel.told.value
