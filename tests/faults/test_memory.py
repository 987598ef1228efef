"""Too little memory is told as such, and is no fault of the kit."""

from __future__ import annotations

import sys

import pytest

from tablekit import cli
from tests.faults import kit


@pytest.mark.skipif(sys.platform != "linux", reason="memory is limited the way Linux does it")
def test_a_process_that_may_have_little_memory(tmp_path):
    import resource

    def limited() -> None:
        # Enough for Python, and not for numpy, whose libraries alone take more.
        resource.setrlimit(resource.RLIMIT_AS, (60_000_000, 60_000_000))

    brief = tmp_path / "brief.toml"
    brief.write_text(kit.BRIEF)
    done = kit.run("set-out", brief, preexec_fn=limited)
    assert done.returncode == 2 and done.stdout == b""
    assert "too little memory" in kit.told(done)


@pytest.mark.parametrize(
    "fault",
    [
        MemoryError(),
        # As glibc 2.36 says it, from dl-load.c; ImportError is what Python makes of it.
        ImportError("libx.so: failed to map segment from shared object"),
        ImportError("libx.so: cannot allocate memory in static TLS block"),
    ],
)
@pytest.mark.parametrize("wrapped", [False, True])
def test_it_is_told_wherever_it_comes_from(tmp_path, monkeypatch, capsys, fault, wrapped):
    def fails(_: object) -> None:
        if not wrapped:
            raise fault
        try:
            raise fault
        except Exception as reason:
            raise RuntimeError("numpy could not be imported") from reason

    monkeypatch.setattr(cli, "_solve", fails)
    assert cli.main(["set-out", str(tmp_path / "brief.toml")]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith("tablekit: there is too little memory")


def test_any_other_fault_stays_one_of_the_kit(tmp_path, monkeypatch, capsys):
    def fails(_: object) -> None:
        raise RuntimeError("no such luck")

    monkeypatch.setattr(cli, "_solve", fails)
    assert cli.main(["set-out", str(tmp_path / "brief.toml")]) == 70
    assert "internal fault" in capsys.readouterr().err
