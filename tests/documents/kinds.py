"""In which way each command of the documents is tried, and why in that way.

Every command falls into exactly one kind; one that falls into none fails the test, and is to be
given its place here. Nothing is passed over: what cannot be run from within a run of the tests is
held against what does run it.
"""

from __future__ import annotations

import re
import shlex
import subprocess
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.documents import answers
from tests.documents.reading import ROOT, Command, blocks, commands
from tests.documents.room import Room, page, script, shown_to_anyone, without_token

TEST_MARK = "<!-- test command -->\n"
MERGE = ".ci/run"
OLDEST = f"{MERGE} --oldest"
NOTEBOOK = "00-find-your-way.ipynb"


@dataclass(frozen=True)
class Kind:
    """A way to try commands: which it takes, why it is not simply run where it is not, and how it
    is tried."""

    name: str
    why: str
    takes: Callable[[Command], bool]
    trial: Callable[[Room, Command], None]


# -- what a merge runs itself ---------------------------------------------------------------------


# What a new environment has in it: programs that write down how they were called, too.
MAKES_AN_ENVIRONMENT = """
if [ "$2" = venv ] && [ "$3" != .venv ]; then
  mkdir -p "$3/bin"
  for name in pip pytest; do
    printf '#!/bin/sh\\necho new/%s "$@" >> "{written}"\\n' "$name" > "$3/bin/$name"
    chmod +x "$3/bin/$name"
  done
fi
"""


@cache
def calls_of_the_merge(folder: Path, command: str = MERGE) -> list[str]:
    """What `.ci/run` calls, in order, when it is really run: beside the README and with programs
    that only write down how they were called."""
    written = folder / "calls"
    (folder / ".ci").mkdir(parents=True)
    for name in ("README.md", MERGE):
        (folder / name).write_bytes((ROOT / name).read_bytes())
    (folder / MERGE).chmod(0o755)
    for name in ("python3", "npm", "apt-get", ".venv/bin/pip", ".venv/bin/pytest",
                 ".venv/bin/ruff", ".venv/bin/mypy"):  # fmt: skip
        program = folder / "programs" / name if "/" not in name else folder / name
        program.parent.mkdir(parents=True, exist_ok=True)
        # What it fetches for the browser is not to be had here, which must not stop it.
        end = "1" if name in ("npm", "apt-get") else "0"
        makes = MAKES_AN_ENVIRONMENT.format(written=written) if name == "python3" else ""
        script(program, f"echo '{name}' \"$@\" >> '{written}'\n{makes}\nexit {end}")
    done = subprocess.run(
        [str(folder / MERGE), *command.split()[1:]],
        env={"PATH": f"{folder / 'programs'}:/usr/bin:/bin"},
        capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    calls = written.read_text(encoding="utf-8").splitlines()
    return [call for call in calls if not call.startswith(("npm ", "apt-get "))]


def requirements(target: str) -> set[str]:
    """What `pip install` gets for `.` or `.[extra]`, as pyproject.toml has it."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    found = re.fullmatch(r"\.(?:\[(\w+)\])?", target)
    assert found, f"{target} is not this source"
    extra = project["optional-dependencies"][found[1]] if found[1] else []
    return {*project["dependencies"], *extra}


def _installs(command: Command) -> bool:
    words = command.words
    return words[:3] == ["python3", "-m", "venv"] or (
        words[:2] == ["pip", "install"] and words[-1].startswith(".")
    )


def _install(room: Room, command: Command) -> None:
    calls = calls_of_the_merge(room.folder / "merge")
    if command.words[0] == "python3":
        assert calls[0] == command.text
        return
    (by_merge,) = (c.split()[2:] for c in calls if c.startswith(".venv/bin/pip install "))
    *options, target = command.words[2:]
    assert set(options) <= {"-e"} and len(by_merge) == 1
    assert requirements(target) <= requirements(by_merge[0])


WITH_THE_LOWEST = (
    "tests/published tests/solids tests/engine/test_written.py tests/drawing/test_letters.py"
)
_OF_THIS_RUN = {"pytest", "pytest tests", MERGE, OLDEST}


def _of_this_run(room: Room, command: Command) -> None:
    merge = OLDEST if command.typed == OLDEST else MERGE
    calls = calls_of_the_merge(room.folder / merge.replace("/", " "), merge)
    marked = (ROOT / "README.md").read_text("utf-8").split(TEST_MARK)[1]
    (readme,) = blocks("README.md", marked)[0].text.splitlines()
    more = []
    if merge == OLDEST:
        new = next(call for call in calls if call.startswith("python3 -m venv /"))
        more = ["python3 -m tests.lowest", new, "new/pip install --quiet .[test]",
                f"new/pytest -q {WITH_THE_LOWEST}"]  # fmt: skip
    assert calls == [
        *(" ".join(shlex.split(piece)) for piece in readme.split(" && ")),
        ".venv/bin/ruff check .", ".venv/bin/ruff format --check .", ".venv/bin/mypy tablekit",
        *more,
    ]  # fmt: skip
    assert all((ROOT / path).exists() for path in WITH_THE_LOWEST.split())
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["pytest"]
    assert calls[2] == ".venv/bin/pytest"
    assert settings["ini_options"]["testpaths"] == ["tests", "notebooks"]


# -- servers --------------------------------------------------------------------------------------


def _serves(command: Command) -> bool:
    return command.words[:2] == ["tablekit", "open"] and "--copy-only" not in command.words


def _serve(room: Room, command: Command) -> None:
    with room.serving(command.text) as address:
        # As an app the page lists the notebooks; JupyterLab asks its server for what it shows.
        contents = address.replace("/lab/tree/", "/api/contents/")
        assert NOTEBOOK in page(contents)
        shelf = ROOT / "notebooks"
        for path in (*shelf.glob("*.ipynb"), *shelf.glob("briefs/*.toml")):
            assert (room.source / "tablekit-notebooks" / path.relative_to(shelf)).is_file()
        assert NOTEBOOK not in shown_to_anyone(without_token(contents))
        if "--no-browser" in command.words:
            assert not room.seen.exists()
        else:
            assert room.asked_of_the_browser()


# -- as much as there is time for -----------------------------------------------------------------


def _collects(command: Command) -> bool:
    return command.words[0] == "pytest" and command.typed not in _OF_THIS_RUN


def _collect(room: Room, command: Command) -> None:
    said = room.run(f"{command.text} --collect-only -q").stdout
    last = command.words[-1]
    under = f"{last}/" if (ROOT / last).is_dir() else ""
    found = re.search(r"^(\d+)(?:/\d+)? tests collected", said, re.MULTILINE)
    assert found and int(found[1]) > 0, said
    names = [line for line in said.splitlines() if "::" in line]
    assert len(names) == int(found[1]) and all(name.startswith(under) for name in names)


# What is typed, and what is run instead: the same program with less to do, as its own head tells.
SMALLER = {
    # All of it takes two minutes, and whether a target is missed is not for a busy machine to say.
    "python tests/benchmarks/run.py": ".venv/bin/python tests/benchmarks/run.py through_a_loop",
    "python tests/benchmarks/class_of_thirty.py":
        ".venv/bin/python tests/benchmarks/class_of_thirty.py --sessions 1 --browsers 0",
    "python tests/benchmarks/live_panel.py":
        ".venv/bin/python tests/benchmarks/live_panel.py --steps 2",
    "python tests/fuzz/run.py 100000": ".venv/bin/python tests/fuzz/run.py 100",
    "python -m tests.slow.recompute 1000":
        ".venv/bin/python -m tests.slow.recompute 1 stool two left",
    "python -m tests.slow.same_answers write before.jsonl":
        ".venv/bin/python -m tests.slow.same_answers write before.jsonl --briefs 2 --no-packets",
    # Hours for all of it.
    "python -m tests.slow.many_briefs 20000":
        ".venv/bin/python -m tests.slow.many_briefs 3 --patience 60",
    "python -m tests.slow.engine_truth":
        ".venv/bin/python -m tests.slow.engine_truth --subject lens --designs 10 --sets 30",
    # It wants cosmic-ray, which the tests do not; tests/mutation/test_run.py tries what it does.
    answers.MUTATION: ".venv/bin/python -m tests.mutation.run --help",
}  # fmt: skip


def _run_smaller(room: Room, command: Command) -> None:
    done = room.run(SMALLER[command.typed])
    assert done.returncode == 0, done.stdout + done.stderr
    answers.OF_SMALLER[command.typed](done.stdout)


# -- the network ----------------------------------------------------------------------------------


def _audits(command: Command) -> bool:
    return command.words[0] == "pip-audit" or command.words == ["pip", "install", "pip-audit"]


def _audit(room: Room, command: Command) -> None:
    if command.words[0] == "pip":  # got only to be used in the same line
        beside = [c for c in commands(command.document) if c.line == command.line]
        assert any(c.words[0] == "pip-audit" for c in beside)
        return
    options = command.words[1:-2]
    # Without --strict it ends well where it could ask nobody.
    assert set(options) == {"--strict", "--no-deps", "--disable-pip"}
    assert command.words[-2] == "-r"
    lines = (room.source / command.words[-1]).read_text("utf-8").splitlines()
    pinned = [line for line in lines if not line.startswith("#")]
    assert pinned and all(re.fullmatch(r"[\w.-]+==[\w.+]+", line) for line in pinned)


# -- all the others -------------------------------------------------------------------------------


def _run(room: Room, command: Command) -> None:
    answers.OF[command.typed](room, room.answer(command.text))


KINDS = (
    Kind(
        "installing",
        "Needs the network, and is the beginning of every merge: .ci/run is really run, with "
        "programs that only write down how they were called, and must install all that this does.",
        _installs,
        _install,
    ),
    Kind(
        "this very run",
        "It is what runs this test: .ci/run is really run as above, and must call the README's "
        "test command, which takes in both folders of tests.",
        lambda command: command.typed in _OF_THIS_RUN,
        _of_this_run,
    ),
    Kind(
        "a server",
        "Does not end by itself: it is started, asked for its page with and without the token, "
        "and stopped.",
        _serves,
        _serve,
    ),
    Kind(
        "part of the tests",
        "Its tests run beside this one: here they are found by these words, and not run again.",
        _collects,
        _collect,
    ),
    Kind(
        "long",
        "Takes minutes: it is run with less to do.",
        lambda command: command.typed in SMALLER,
        _run_smaller,
    ),
    Kind(
        "asking the network",
        "Asks a service for known faults, which a merge must not hang on: what it is given is "
        "looked at.",
        _audits,
        _audit,
    ),
    Kind(
        "run as it stands",
        "Run word by word; what it prints and writes is held against what the documents promise.",
        lambda command: command.typed in answers.OF,
        _run,
    ),
)


def kinds_of(command: Command) -> list[Kind]:
    """The kinds that a command falls into; there is to be one."""
    return [kind for kind in KINDS if kind.takes(command)]
