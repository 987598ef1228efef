"""A maker's own copy of the notebooks."""

from __future__ import annotations

import json
import platform
from pathlib import Path

import pytest

from tablekit import cli, serving, working_copy
from tablekit.serving import at_a_time, prepare_app
from tablekit.working_copy import (
    OpenError,
    as_opened,
    copy_notebooks,
    first_notebook,
    prepare_launch,
)


@pytest.fixture
def shipped(tmp_path) -> Path:
    folder = tmp_path / "shipped"
    (folder / "briefs").mkdir(parents=True)
    (folder / "02-second.ipynb").write_text("second")
    (folder / "01-first.ipynb").write_text("first")
    (folder / "briefs" / "a.toml").write_text("[given]\n")
    (folder / ".ipynb_checkpoints").mkdir()
    (folder / ".ipynb_checkpoints" / "01-first.ipynb").write_text("old")
    return folder


def test_copied_once_and_then_left_alone(shipped, tmp_path):
    mine = tmp_path / "mine"
    assert copy_notebooks(mine, shipped).written == (
        "01-first.ipynb", "02-second.ipynb", "briefs/a.toml",
    )  # fmt: skip
    assert (mine / "briefs" / "a.toml").read_text() == "[given]\n"
    again = copy_notebooks(mine, shipped)
    assert again.written == () and again.kept == ()
    assert first_notebook(mine) == "01-first.ipynb"


def test_a_newer_kit_renews_only_what_the_maker_left_as_it_was(shipped, tmp_path):
    mine = tmp_path / "mine"
    copy_notebooks(mine, shipped)
    (mine / "01-first.ipynb").write_text("my own sums")
    (mine / "03-mine.ipynb").write_text("mine")
    (mine / "briefs" / "a.toml").unlink()
    for name in ("01-first.ipynb", "02-second.ipynb"):
        (shipped / name).write_text("newer")
    copied = copy_notebooks(mine, shipped)
    assert copied.written == ("02-second.ipynb", "briefs/a.toml")
    assert copied.kept == ("01-first.ipynb",)
    assert (mine / "01-first.ipynb").read_text() == "my own sums"
    assert (mine / "02-second.ipynb").read_text() == "newer"
    assert (mine / "03-mine.ipynb").read_text() == "mine"
    # Kept for good, not only the first time.
    assert copy_notebooks(mine, shipped).kept == ("01-first.ipynb",)


@pytest.mark.parametrize("record", ["", "[]", "not json", '{"01-first.ipynb": "0"}'])
def test_without_a_record_what_is_there_counts_as_the_makers(shipped, tmp_path, record):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "01-first.ipynb").write_text("mine")
    (mine / working_copy.RECORD).write_text(record)
    assert copy_notebooks(mine, shipped).kept == ("01-first.ipynb",)
    assert (mine / "01-first.ipynb").read_text() == "mine"


def test_a_file_in_the_way(shipped, tmp_path):
    (tmp_path / "mine").write_text("mine")
    with pytest.raises(OpenError, match="cannot be written: File exists; choose another"):
        copy_notebooks(tmp_path / "mine", shipped)


def test_no_notebook_to_open(tmp_path):
    with pytest.raises(OpenError, match="has no notebook in it"):
        first_notebook(tmp_path)


def test_the_launch_opens_the_first_notebook_with_a_secret_token(tmp_path):
    launch = prepare_launch(tmp_path, "01-first.ipynb", browser=False)
    assert launch.address.startswith("http://localhost:")
    assert f"/lab/tree/01-first.ipynb?token={launch.token}" in launch.address
    assert "--no-browser" in launch.command
    assert str(tmp_path / "01-first.ipynb") in launch.command
    assert len(launch.token) >= 32
    assert not any(launch.token in word for word in launch.command)
    assert prepare_launch(tmp_path, "01-first.ipynb", browser=True).token != launch.token


def test_without_jupyterlab(tmp_path, monkeypatch):
    monkeypatch.setattr(working_copy.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(OpenError, match=r"JupyterLab is not installed; run: .* -m pip install"):
        prepare_launch(tmp_path, "01-first.ipynb", browser=False)


def test_the_command_prints_the_address_and_hands_over(shipped, tmp_path, monkeypatch, capsys):
    started = []
    monkeypatch.setattr(working_copy, "notebooks_path", lambda: shipped)
    monkeypatch.setattr(working_copy, "start", lambda launch: started.append(launch) or 0)
    mine = tmp_path / "mine"
    assert cli.main(["open", "--no-browser", "--dir", str(mine)]) == 0
    assert started[0].address in capsys.readouterr().out.splitlines()
    assert "--no-browser" in started[0].command and (mine / "02-second.ipynb").is_file()


def test_only_copied(shipped, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(working_copy, "notebooks_path", lambda: shipped)
    monkeypatch.setattr(working_copy, "start", lambda launch: pytest.fail("it was started"))
    mine = tmp_path / "mine"
    assert cli.main(["open", "--copy-only", "--dir", str(mine)]) == 0
    assert "01-first.ipynb" in capsys.readouterr().out
    assert (mine / "briefs" / "a.toml").is_file()


def test_the_app_listens_on_this_machine_alone_unless_told(shipped, tmp_path, monkeypatch):
    monkeypatch.setattr(serving.importlib.util, "find_spec", lambda name: name)
    started = []
    monkeypatch.setattr(working_copy, "notebooks_path", lambda: shipped)
    monkeypatch.setattr(working_copy, "start", lambda launch: started.append(launch) or 0)
    mine = tmp_path / "mine"
    asked = ["open", "--as-app", "--no-browser", "--dir", str(mine)]
    assert cli.main(asked) == 0 and cli.main([*asked, "--host", "0.0.0.0"]) == 0
    alone, shared = started
    assert "--Voila.ip=localhost" in alone.command and "--no-browser" in alone.command
    assert alone.address.startswith("http://localhost:")
    assert "--Voila.ip=0.0.0.0" in shared.command and "localhost" not in shared.address


def test_the_app_hides_its_code_its_faults_and_its_token(tmp_path, monkeypatch):
    monkeypatch.setattr(serving.importlib.util, "find_spec", lambda name: name)
    launch = prepare_app(tmp_path, browser=True)
    assert {"--strip_sources=True", "--show_tracebacks=False"} <= {*launch.command}
    assert "--no-browser" not in launch.command
    assert f"?token={launch.token}" in launch.address and len(launch.token) >= 32
    assert not any(launch.token in word for word in launch.command)
    pages = Path(launch.environment["JUPYTER_PATH"].split(working_copy.os.pathsep)[0])
    assert (pages / "voila" / "templates" / "tablekit" / "index.html.j2").is_file()


def test_without_voila(shipped, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(working_copy, "notebooks_path", lambda: shipped)
    monkeypatch.setattr(serving.importlib.util, "find_spec", lambda name: None)
    assert cli.main(["open", "--as-app", "--dir", str(tmp_path / "mine")]) == 2
    said = capsys.readouterr().err
    assert "Voilà" in said and "-m pip install 'voila>=0.5'" in said


def test_a_host_without_the_app(tmp_path, capsys):
    assert cli.main(["open", "--host", "0.0.0.0", "--dir", str(tmp_path / "mine")]) == 2
    assert "--host goes with --as-app" in capsys.readouterr().err
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize("cores, pages", [(1, 2), (2, 2), (6, 6), (64, 8)])
def test_pages_made_ready_at_a_time(cores, pages):
    assert at_a_time(cores) == pages


def test_a_copied_notebook_names_the_python_that_runs_it_and_nothing_else_is_changed(
    tmp_path: Path,
) -> None:
    shipped, mine = tmp_path / "shipped", tmp_path / "mine"
    shipped.mkdir()
    cell = {"cell_type": "markdown", "id": "a", "metadata": {}, "source": ["√3 and “so on”\n"]}
    made = {"cells": [cell], "metadata": {"language_info": {"name": "python"}}, "nbformat": 4}
    (shipped / "01.ipynb").write_text(json.dumps(made), "utf-8")
    assert copy_notebooks(mine, shipped).written == ("01.ipynb",)
    copied = json.loads((mine / "01.ipynb").read_text("utf-8"))
    # The names are those of the Jupyter notebook format 4.5 (from memory); the version is of here.
    language = copied["metadata"].pop("language_info")
    assert language["name"] == "python" and language["version"] == platform.python_version()
    assert language["file_extension"] == ".py" and language["mimetype"] == "text/x-python"
    assert copied == {**made, "metadata": {}}
    assert copy_notebooks(mine, shipped).written == ()


def test_a_copy_of_an_earlier_kit_without_its_record_is_not_taken_for_the_makers(
    tmp_path: Path,
) -> None:
    shipped, mine = tmp_path / "shipped", tmp_path / "mine"
    for folder in (shipped, mine):
        folder.mkdir()
        (folder / "01.ipynb").write_text('{"cells": [], "metadata": {}}')
    assert copy_notebooks(mine, shipped).kept == ()


@pytest.mark.parametrize(
    "text", ["second", "[]", '{"cells": []}', '{"metadata": 3}', "[" * 100_000]
)
def test_what_is_no_notebook_is_copied_as_it_is(text: str) -> None:
    assert as_opened(text.encode()) == text.encode()
