"""What must hold of whatever is read, however bad: `None` where it does, else what is wrong."""

from __future__ import annotations

import contextlib
import io
import math
import sys
import time
from collections.abc import Iterator, Sequence
from random import Random

from tablekit import cli
from tablekit.brief import parse_brief, write_brief
from tablekit.engine.trouble import DesignError
from tablekit.engine.units import half_last_figure, parse_quantity
from tests.fuzz import grown

LONGEST = 5.0  # seconds of this process, not of the clock: the machine may be busy
LONGEST_MEASURE, LONGEST_BRIEF = 0.1, 1.0
# What Python tells of when code is made or run, a program started, the network asked or a file
# touched (Python documentation, "Audit events table").
RUNS = ("exec", "compile", "os.system", "subprocess.Popen", "os.exec", "ctypes.dlopen")
TOUCHES = ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink")
_heard: list[tuple[str, tuple[object, ...]]] | None = None


def _hear(event: str, about: tuple[object, ...]) -> None:
    if _heard is not None and (event in RUNS or event in TOUCHES or event.startswith("socket.")):
        _heard.append((event, about))


@contextlib.contextmanager
def listening() -> Iterator[list[tuple[str, tuple[object, ...]]]]:
    """All that Python tells of what is done meanwhile. A hook, once set, stays; it then sleeps."""
    global _heard
    if _hear not in _hooked:
        sys.addaudithook(_hear)
        _hooked.append(_hear)
    _heard = heard = []
    try:
        yield heard
    finally:
        _heard = None


_hooked: list[object] = []


def warm() -> None:
    """Load once what is loaded on first need, so that it is not taken for the reader's doing."""
    strange = 'x = 1\n[given]\nfoo = 1\n[wood]\nspecies = "x"\n[workshop]\nfoo = 1\n'
    for text in (*grown.GOOD, strange):
        with contextlib.suppress(DesignError):
            parse_brief(text)
    for unit in grown.UNITS:
        with contextlib.suppress(DesignError):
            parse_quantity("1 mm", unit)
    parse_quantity("1 degF", "degC")


def of_measure(text: str, unit: str, signed: bool) -> str | None:
    """A measure is read as a finite number or refused with words on one line."""
    began = time.process_time()
    try:
        number = parse_quantity(text, unit, "size", signed=signed)
        fault = None if math.isfinite(number) else f"is {number}"
        half_last_figure(text, unit)
    except DesignError as trouble:
        told = str(trouble)
        fault = None if told.isprintable() and 0 < len(told) < 1000 else f"says {told!r}"
    except Exception as reason:
        fault = f"raises {reason!r}"
    took = time.process_time() - began
    return fault or (f"took {took:.2f} s" if took > LONGEST_MEASURE else None)


def of_brief(text: str) -> str | None:
    """A brief is read, and reads back equal, or is refused; nothing in it is run or opened."""
    began = time.process_time()
    with listening() as heard:
        try:
            brief = parse_brief(text)
            fault = None if parse_brief(write_brief(brief)) == brief else "does not read back"
        except DesignError as trouble:
            told = str(trouble)
            safe = told.replace("\n", "").isprintable() and 0 < len(told) < 60_000
            fault = None if safe else f"says {told!r}"
        except Exception as reason:
            fault = f"raises {reason!r}"
    took = time.process_time() - began
    if heard:
        return f"did {heard[0]}"
    return fault or (f"took {took:.2f} s" if took > LONGEST_BRIEF else None)


def of_command(words: Sequence[str], limit: float = LONGEST) -> str | None:
    """A command ends with 0, 2 or 3, no traceback, and nothing run that came from a maker."""
    out, err = io.StringIO(), io.StringIO()
    began = time.process_time()
    with listening() as heard, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = cli.main(list(words))
    took = time.process_time() - began
    for event, about in heard:
        if event in RUNS and grown.MARK in repr(about):
            return f"did {event} {about!r:.200}"
    told = err.getvalue()
    if code not in (0, 2, 3):
        return f"ended with {code}: {told:.300}"
    if "Traceback" in told or (code and (out.getvalue() or not told)):
        return f"ended with {code} and said {told:.300}"
    if any(ord(c) < 32 and c != "\n" for c in told):
        return f"said {told!r:.300}"
    return f"took {took:.2f} s" if took > limit else None


def seeded(seed: int) -> Random:
    """Its own chance for each input, so that one can be tried again alone."""
    return Random(f"tablekit {seed}")
