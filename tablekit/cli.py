"""The command line.

Exit codes: 0 answered; 2 the command or the brief is malformed, or a file cannot be read or
written; 3 the brief can be read but not answered. Apart from these, as every program on Unix has
them: 70 a fault of the kit itself (EX_SOFTWARE in BSD's sysexits.h), kept apart from 3 so that a
fault is never taken for an answer; 130 interrupted.
"""

from __future__ import annotations

import argparse
import gc
import os
import re
import shutil
import sys
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from tablekit.engine.trouble import DesignError
from tablekit.plain_letters import fitted

if TYPE_CHECKING:
    from tablekit.design import Design
    from tablekit.engine.sheet import Sheet
    from tablekit.engine.working import Working
    from tablekit.working_copy import Launch

    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

ANSWERED, MALFORMED, FAULT, INTERRUPTED = 0, 2, 70, 130
# How a working is written, with what stands over each where there are several.
HEADS = {
    "text": "{}\n\n",
    "markdown": "## {}\n\n",
    "latex": "\\paragraph{{{}}}\n",
    "html": "<h2>{}</h2>\n",
}
FORMS = tuple(HEADS)


class _Misuse(DesignError):
    """Options that do not go together."""

    exit_code = MALFORMED


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code. Never a traceback.

    arguments  as typed after `tablekit`; by default those of this process
    """
    _listen()
    try:
        asked = _parser().parse_args(arguments)
        command: Callable[[argparse.Namespace], int] = asked.command
        code = command(asked)
        sys.stdout.flush()
        return code
    except SystemExit as stop:  # argparse: it has said why, or has shown the help
        return stop.code if isinstance(stop.code, int) else MALFORMED
    except DesignError as trouble:
        _complain(str(trouble))
        return trouble.exit_code
    except BrokenPipeError:
        # The reader has seen enough, as in `tablekit … | head`. Nothing may be flushed to it now.
        _silence(sys.stdout)
        return ANSWERED
    except OSError as reason:
        _silence(sys.stdout)
        what = f"{reason.filename}: " if reason.filename else ""
        _complain(f"{what}cannot be read or written: {reason.strerror or reason}")
        return MALFORMED
    except KeyboardInterrupt:
        _complain("interrupted")
        return INTERRUPTED
    except Exception as fault:
        if _lacks_memory(fault):
            _complain("there is too little memory; close other programs, or allow this one more")
            return MALFORMED
        _complain(_internal(fault))
        return FAULT


# --- The commands -------------------------------------------------------------------------


def _parser() -> argparse.ArgumentParser:
    from tablekit import __version__

    parser = argparse.ArgumentParser(
        prog="tablekit",
        allow_abbrev=False,
        description="Sets out round tables and stools on leaning posts or splayed legs.",
        epilog="A brief is a short TOML file; notebooks/briefs has some to start from.",
    )
    parser.add_argument("--version", action="version", version=f"tablekit {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_open(commands)
    _add_set_out(commands)
    _add_working(commands)
    _add_compare(commands)
    _add_worksheets(commands)
    return parser


def _add_open(commands: Commands) -> None:
    parser = commands.add_parser(
        "open",
        allow_abbrev=False,
        help="open the notebooks in JupyterLab",
        description="Copies the notebooks into a folder of yours and opens them in JupyterLab. "
        "What you changed there before stays as it is.",
    )
    parser.add_argument("--no-browser", action="store_true", help="print the address instead")
    parser.add_argument(
        "--dir",
        type=Path,
        default=Path("tablekit-notebooks"),
        help="folder for your copy (%(default)s)",
    )
    parser.add_argument(
        "--as-app",
        action="store_true",
        help="serve them as pages with panels and no code, by Voilà",
    )
    parser.add_argument(
        "--host",
        help="with --as-app: the address to listen at, so that a class can reach it, such as "
        "0.0.0.0; left out: only this machine",
    )
    parser.add_argument("--copy-only", action="store_true", help="copy them and open nothing")
    parser.set_defaults(command=_open)


def _add_set_out(commands: Commands) -> None:
    parser = commands.add_parser(
        "set-out",
        allow_abbrev=False,
        help="solve a brief",
        description="Solves a brief and prints its card: the sizes for the first cut, what needs "
        "attention, and what to get.",
    )
    parser.add_argument("brief", metavar="BRIEF", help="the brief, a TOML file")
    asks = parser.add_mutually_exclusive_group()
    asks.add_argument("--full", action="store_true", help="print everything instead of the card")
    asks.add_argument("--json", action="store_true", help="print the whole answer as JSON instead")
    parser.add_argument("--out", type=Path, metavar="DIR", help="also write the packet there")
    parser.add_argument(
        "--offcuts", type=Path, metavar="FILE", help="also write what is left of the boards there, "
        "as [[boards]] for the next brief",
    )  # fmt: skip
    parser.add_argument(
        "--to-measure", type=Path, metavar="FILE", help="also write a CSV file there, to fill in "
        "with what each piece measures once it is cut; for working --spread --measured",
    )  # fmt: skip
    parser.set_defaults(command=_set_out)


def _add_working(commands: Commands) -> None:
    parser = commands.add_parser(
        "working",
        allow_abbrev=False,
        help="print how a quantity was found",
        description="Prints the working of one quantity, step by step.",
    )
    parser.add_argument("brief", metavar="BRIEF", help="the brief, a TOML file")
    parser.add_argument(
        "name", metavar="NAME", nargs="?", help='a quantity, such as "post length"; without one, '
        "the names there are",
    )  # fmt: skip
    parser.add_argument("--as", dest="form", choices=FORMS, help=f"({FORMS[0]})")
    parser.add_argument(
        "--full", action="store_true", help="with why each step holds, and where it comes from"
    )
    asks = parser.add_mutually_exclusive_group()
    asks.add_argument(
        "--when",
        metavar="CHANGE",
        help='instead, how NAME changes with another: --when "post_length -10 mm"',
    )
    asks.add_argument(
        "--spread",
        action="store_true",
        help="instead, how far NAME strays when the cuts do, and which cut matters most",
    )
    parser.add_argument(
        "--measured",
        action="append",
        default=[],
        metavar="FILE",
        help="with --spread: a CSV file of sizes measured in your shop, whose spread is used "
        "instead of the assumed one (set-out --to-measure writes one to fill in); may be given "
        "again",
    )
    parser.set_defaults(command=_working)


def _add_compare(commands: Commands) -> None:
    parser = commands.add_parser(
        "compare",
        allow_abbrev=False,
        help="tell what changes from one brief to another",
        description="Solves two briefs and tells what changes, and what parts that are cut already "
        "are still good for.",
    )
    parser.add_argument("before", metavar="BEFORE", help="the first brief, a TOML file")
    parser.add_argument("after", metavar="AFTER", help="the second")
    parser.add_argument(
        "--cut",
        action="append",
        default=[],
        metavar="NAME",
        help="a size that is cut as BEFORE has it, such as post_length; may be given again",
    )
    parser.add_argument("--json", action="store_true", help="print it as JSON instead")
    parser.set_defaults(command=_compare)


def _add_worksheets(commands: Commands) -> None:
    parser = commands.add_parser(
        "worksheets",
        allow_abbrev=False,
        help="write exercises for a class",
        description="Writes worksheets.pdf for the pupils, and answers.pdf and lesson-plan.pdf for "
        "the teacher. The same seed gives the same sheets.",
    )
    parser.add_argument("folder", type=Path, metavar="DIR", help="folder for the sheets")
    parser.add_argument("--seed", default="1", help="what the numbers are drawn from (%(default)s)")
    parser.add_argument(
        "--students", type=int, default=12, metavar="N", help="how many pupils (%(default)s)"
    )
    parser.add_argument(
        "--questions", type=int, default=6, metavar="N", help="questions for each (%(default)s)"
    )
    parser.add_argument(
        "--topics", nargs="+", metavar="TOPIC", help='such as "let-in" or "post length"; all if '
        "left out",
    )  # fmt: skip
    parser.add_argument("--unit", choices=("mm", "in"), default="mm", help="of the class")
    parser.add_argument(
        "--paper", choices=("A4", "Letter"), help="A4 with mm and Letter with in if left out"
    )
    parser.set_defaults(command=_worksheets)


def _open(asked: argparse.Namespace) -> int:
    from tablekit.serving import LOCAL, prepare_app
    from tablekit.working_copy import OpenError, copy_notebooks, first_notebook, prepare_launch

    if asked.host is not None and not asked.as_app:
        raise OpenError("--host goes with --as-app; JupyterLab is opened on this machine alone")
    copied = copy_notebooks(asked.dir)
    if copied.kept:
        _say(f"Kept as you changed them: {', '.join(copied.kept)}\n")
    first = first_notebook(asked.dir)
    if asked.copy_only:
        _say(f"Copied to {asked.dir}; begin with {first}\n")
        return ANSWERED
    browser = not asked.no_browser
    if asked.as_app:
        launch = prepare_app(asked.dir, browser, LOCAL if asked.host is None else asked.host)
    else:
        launch = prepare_launch(asked.dir, first, browser)
    return _hand_over(launch, asked.dir)


def _hand_over(launch: Launch, folder: Path) -> int:
    from tablekit.working_copy import start

    teacher = f"For the teacher alone:\n{launch.teacher}\n" if launch.teacher else ""
    _say(f"Opening {folder} at\n{launch.address}\n{teacher}Stop it with Ctrl-C.\n")
    return start(launch)


@contextmanager
def _gc_paused() -> Iterator[None]:
    """Pauses garbage collection for as long as a command takes: it is over in seconds, leaves some
    megabytes, and would spend a twentieth of its time on looking for them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@_gc_paused()
def _set_out(asked: argparse.Namespace) -> int:
    design = _solve(asked.brief)
    # Everything that can fail comes before the first character of the answer.
    if asked.json:
        from tablekit.packet.packet import answer_json

        answer = answer_json(design)
    elif asked.full:
        from tablekit.packet.summary import summary_text

        answer = summary_text(design, _columns())
    else:
        from tablekit.packet.card import card, card_text

        answer = card_text(card(design), _columns())
    written = _offcuts(design, asked.offcuts) if asked.offcuts else ""
    written += _to_measure(design, asked.to_measure) if asked.to_measure else ""
    written += _packet(design, asked.out) if asked.out else ""
    _say(answer)
    _say(written, sys.stderr if asked.json else sys.stdout)
    return ANSWERED


def _offcuts(design: Design, file: Path) -> str:
    from tablekit.packet.offcuts import offcuts_text

    _write(file, offcuts_text(design))
    return f"\nOffcuts written to {file}\n"


def _to_measure(design: Design, file: Path) -> str:
    from tablekit.brief.measured import to_measure_csv

    if file.exists() or file.is_symlink():  # it may hold an hour's measuring
        raise _Misuse(f"{file} is there already and may be filled in; name another file")
    _write(file, to_measure_csv(design.brief, design.sheet))
    return f"\nSizes to measure written to {file}\n"


def _write(file: Path, text: str) -> None:
    from tablekit.packet.folder import write_file

    try:
        write_file(file, text.encode())
    except OSError as reason:
        raise _Misuse(f"{file} cannot be written: {reason.strerror or reason}") from None


def _packet(design: Design, folder: Path) -> str:
    from tqdm import tqdm

    from tablekit.packet.packet import boxed, undrawn, write_packet

    # No thread to watch the bar: a process with threads cannot be copied, and the PDF is written in
    # a copy of this one.
    tqdm.monitor_interval = 0
    # A bar for people alone: a file or a pipe gets none.
    with tqdm(
        total=100, leave=False, disable=None, bar_format="{desc:24.24} {bar} {n:.0f} %"
    ) as bar:

        def progress(share: float, what: str) -> None:
            bar.set_description_str(what, refresh=False)
            bar.update(100 * share - bar.n)

        with warnings.catch_warnings(record=True) as heard:
            warnings.simplefilter("always", UserWarning)
            names = write_packet(design, folder, progress)
    pages = sum(name.startswith("pages/") for name in names)
    told = [name for name in names if not name.startswith("pages/")]
    told += [f"{pages} pages in pages/"] if pages else []
    missing = "".join(f"{one}\n" for one in (undrawn(design), boxed(heard)) if one)
    return f"\nWritten to {folder}: {', '.join(told)}\n{missing}"


def _working(asked: argparse.Namespace) -> int:
    from tablekit.design.sheets_beside import sheets_with

    other = "--when" if asked.when is not None else "--spread" if asked.spread else ""
    for option, given in (("--as", asked.form is not None), ("--full", asked.full)):
        if other and given:
            raise _Misuse(
                f"{option} goes with the working itself; {other} is printed as plain text"
            )
    measured = _measured(asked)
    design = _solve(asked.brief)
    if asked.name is None:
        for option, set_to in ((other, other), ("--as", asked.form), ("--full", asked.full)):
            if set_to:
                raise _Misuse(f"{option} needs the name of a quantity")
        _say(_names(design))
        return ANSWERED
    name = _as_declared(asked.name)
    if name == "jigs" and design.jigs is not None:
        from tablekit.packet.jig_pages import numbers_text

        _say(numbers_text(design, _columns()))
        return ANSWERED
    sheets = sheets_with(name, design)
    sheet = sheets[0]
    if asked.when is not None:
        text = _change(sheet, name, asked.when)
    elif asked.spread:
        text = _spread(sheet, name, measured)
    else:
        form, several = asked.form or FORMS[0], len(sheets) > 1
        text = "\n".join(
            HEADS[form].format(one.name.capitalize()) * several
            + _worked(one.working(name), form, asked.full)
            for one in sheets
        )
    _say(text if text.endswith("\n") else f"{text}\n")
    return ANSWERED


def _measured(asked: argparse.Namespace) -> list[tuple[str, float, float]]:
    """What was measured in the shop, of each size its name, as drawn and as measured."""
    if not asked.measured:
        return []
    if not asked.spread:
        raise _Misuse("--measured goes with --spread: it says how true your own cuts are")
    from tablekit.brief.measured import read_measured

    return [(one.name, one.drawn, one.measured) for one in read_measured(asked.measured)]


def _as_declared(name: str) -> str:
    """A name as it is said, "post length", as it is declared."""
    if not re.fullmatch(r"[\w -]+", name.strip()):
        return name  # no name of anything: told back as it was typed
    from tablekit.engine.wording import declared

    return declared(name)


def _worked(working: Working, form: str, full: bool) -> str:
    from tablekit.engine.on_paper import on_paper

    if form == "text" and not full:
        return on_paper(working)
    text: str = getattr(working, form)(brief=not full)
    return text


def _names(design: Design) -> str:
    """The quantities of a piece and of its plans, by part of the job."""
    from tablekit.design.sheets_beside import sheets_beside
    from tablekit.packet.plain_page import PlainPage
    from tablekit.relations.wording import GROUPS

    page, values = PlainPage(_columns()), design.sheet.values
    page.paragraph("The quantities of this piece, by part of the job:")
    named: set[str] = set()
    for heading, names in GROUPS:
        here = [name for name in names if name in values and name not in named]
        named.update(here)
        if here:
            page.heading(heading)
            page.paragraph(", ".join(here), indent=2)
    page.heading("The rest")
    page.paragraph(", ".join(name for name in values if name not in named), indent=2)
    named.update(values)
    for beside in sheets_beside(design):
        page.heading(beside.of)
        more = [name for name in beside.sheets[0].values if name not in named]
        page.paragraph(", ".join(more), indent=2)
        named.update(more)
    return "\n".join(page.lines) + "\n"


def _compare(asked: argparse.Namespace) -> int:
    from tablekit.brief import read_brief
    from tablekit.comparing import compare_briefs

    found = compare_briefs(read_brief(asked.before), read_brief(asked.after), asked.cut)
    if asked.json:
        import json

        _say(json.dumps(found.to_json(), indent=2, allow_nan=False) + "\n")
        return ANSWERED
    from tablekit.packet.compared import compared_text

    _say(compared_text(found, _columns()))
    return ANSWERED


def _worksheets(asked: argparse.Namespace) -> int:
    from tablekit.packet.pages import PAPERS
    from tablekit.teaching.worksheets import write_lesson_plan, write_worksheets

    paper = PAPERS[asked.paper] if asked.paper else None
    written = write_worksheets(
        asked.folder, asked.students, asked.seed, count=asked.questions, display=asked.unit,
        kinds=asked.topics, paper=paper,
    )  # fmt: skip
    plan = write_lesson_plan(asked.folder, asked.unit, paper)
    _say("".join(f"wrote {path}\n" for path in (*written, plan)))
    return ANSWERED


def _change(sheet: Sheet, name: str, asked: str) -> str:
    from tablekit.engine.sensitivity import change
    from tablekit.engine.units import parse_quantity

    found = re.fullmatch(r"\s*(\D*?)\s+(\S*\d.*)", asked)
    other, by = (_as_declared(found[1]), found[2]) if found else (_as_declared(asked), "")
    unit = sheet.network.quantity(other).unit
    return change(sheet, name, other, parse_quantity(by, unit, other, signed=True)).text()


def _spread(sheet: Sheet, name: str, measured: Sequence[tuple[str, float, float]]) -> str:
    from tablekit.packet.spread_text import spread_text
    from tablekit.planning.own_spread import own_spreads

    return spread_text(sheet, name, own_spreads(sheet, measured))


def _solve(path: str) -> Design:
    from tablekit.brief import read_brief

    brief = read_brief(path)
    # Only now: what solves it and what follows need not load for a brief that cannot be read.
    from tablekit.setting_out import design_of

    return design_of(brief)


# --- Words to the maker -------------------------------------------------------------------

# What a library of C says through Python where it got no memory: glibc's dlerror and strerror.
_LACKING = ("failed to map segment", "cannot allocate memory", "Cannot allocate memory")


def _columns() -> int:
    """How wide the terminal is; 80 where there is none."""
    return shutil.get_terminal_size((80, 24)).columns


def _say(text: str, stream: TextIO | None = None) -> None:
    stream = stream or sys.stdout
    stream.write(fitted(text, getattr(stream, "encoding", None)))


def _complain(message: str) -> None:
    # What a maker typed is told back: nothing in it may steer the terminal.
    safe = "".join(c if c.isprintable() or c == "\n" else "?" for c in message)
    try:
        _say(f"tablekit: {safe}\n", sys.stderr)
    except OSError:  # nobody listens there either
        _silence(sys.stderr)


def _listen() -> None:
    """Give a stream that was closed before we began (`>&-`) something that takes what is said."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, to the end


def _silence(stream: TextIO) -> None:
    """Point a stream that can take no more at nothing, or Python complains of it on the way out."""
    try:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
    except (OSError, ValueError):  # not a real file, as in a notebook: nothing to do
        pass


def _lacks_memory(fault: BaseException | None) -> bool:
    """Whether it came of too little memory, as Python tells it or as the loader of a library."""
    while fault is not None:
        told = str(fault)
        if isinstance(fault, MemoryError) or any(words in told for words in _LACKING):
            return True
        fault = fault.__cause__ or fault.__context__
    return False


def _internal(fault: Exception) -> str:
    """One line that lets someone find the fault."""
    frames = traceback.extract_tb(fault.__traceback__)
    place = f" ({Path(frames[-1].filename).name}, line {frames[-1].lineno})" if frames else ""
    words = " ".join(str(fault).split())[:200]
    return f"internal fault, please report it: {type(fault).__name__}: {words}{place}"
