"""Sensible briefs by the thousand, each asked of every command that answers one:

    python -m tests.slow.many_briefs 20000                  from seed 0 on
    python -m tests.slow.many_briefs 200 --from 4000 --failures failures.txt
    python -m tests.slow.many_briefs 200 --packets 50       one in 50 writes its packet too

Every tenth brief gives heights that add up exactly, written in a unit of its own. It is a failure
where a command ends with 70 or takes longer than `--patience` allows; where it is refused and
another is answered, or told another fault, unless the time for looking was up; and where heights
that add up are refused. Ends with 1 where anything failed.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import multiprocessing
import os
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

PATIENCE = 5.0  # seconds of the processor
A_TASK = 20
A_REPORT = 500  # briefs between two lines of progress
HURRIED = "Not every possibility was looked at"  # how far one comes depends on the machine
SIZES = {
    "top_diameter": (400, 1400), "top_thickness": (18, 45), "post_section": (30, 110),
    "post_length": (450, 1500), "overhang": (-40, 250), "foot_spread": (300, 1000),
    "base_height": (350, 760), "notch_position": (200, 700), "foot_flat": (8, 40),
}  # fmt: skip
OTHERS = {
    "splay": ("deg", 38, 62), "notch_depth_ratio": ("", 0.42, 0.58), "seats": ("", 2, 8),
    "total_mass": ("kg", 8, 60), "tipping_load": ("N", 80, 400),
}  # fmt: skip
HEIGHTS = {"table": (380, 1100), "stool": (380, 700)}
HEIGHT_OF = {"table": "table_height", "stool": "seat_height"}
WOODS = ("white oak", "black cherry", "sugar maple", "black walnut", "yellow birch", "white ash")


def length(rng: random.Random, low: float, high: float) -> str:
    """A length as a maker writes it."""
    number = rng.uniform(low, high)
    way = rng.randrange(5)
    if way == 0:
        return f"{round(number / 25.4 * 16) / 16:g} in"
    if way == 1:
        return f"{number / 10:.1f} cm"
    return f"{round(number)} mm" if way < 4 else f"{number:.2f} mm"


def adding_up(rng: random.Random) -> dict[str, str]:
    """Heights that add up exactly: the table, its top, its base and the gaps of assumed size."""
    unit, step = rng.choice((("mm", "0.5"), ("cm", "0.05"), ("in", "0.0625")))
    per_mm = {"mm": Decimal(1), "cm": Decimal(10), "in": Decimal("25.4")}[unit]
    small = Decimal(step)
    thick = small * rng.randrange(int(Decimal(18) / per_mm / small), int(45 / per_mm / small))
    base = small * rng.randrange(int(400 / per_mm / small), int(720 / per_mm / small))
    gap = small * rng.randrange(0, 5)
    pads = Decimal(3) / per_mm  # as assumed
    return {
        "table_height": f"{thick + base + gap + pads} {unit}",
        "top_thickness": f"{thick} {unit}",
        "base_height": f"{base} {unit}",
        "top_diameter": length(rng, 700, 1000),
        "post_section": length(rng, 50, 80),
    }


def usual(rng: random.Random, kind: str) -> dict[str, str]:
    """What most makers begin with, and sometimes a little more."""
    height = rng.uniform(*HEIGHTS[kind])
    givens = {
        HEIGHT_OF[kind]: length(rng, height, height),
        "top_diameter": length(rng, 0.8 * height, 1.5 * height),
        "post_section": length(rng, 0.06 * height, 0.1 * height),
    }
    more = {
        "top_thickness": length(rng, 20, 40), "splay": f"{rng.uniform(46, 60):.1f} deg",
        "notch_depth_ratio": f"{rng.uniform(0.45, 0.55):.2f}", "foot_flat": length(rng, 12, 24),
    }  # fmt: skip
    return givens | {name: text for name, text in more.items() if rng.random() < 0.25}


def unusual(rng: random.Random, kind: str) -> dict[str, str]:
    """A few values of anything, most of which clash."""
    names = rng.sample(sorted(SIZES), rng.randint(1, 4))
    givens = {name: length(rng, *SIZES[name]) for name in names}
    if rng.random() < 0.85:
        givens[HEIGHT_OF[kind]] = length(rng, *HEIGHTS[kind])
    for name, (unit, low, high) in OTHERS.items():
        if rng.random() < 0.12 and not (name == "seats" and kind == "stool"):
            number = rng.randint(low, high) if name == "seats" else rng.uniform(low, high)
            givens[name] = f"{number:.4g} {unit}".strip()
    return givens


def brief(seed: int) -> tuple[str, bool]:
    """The brief of a seed, and whether it adds up by construction."""
    rng = random.Random(seed)
    exact = seed % 10 == 0
    kind = "table" if exact else rng.choice(("table", "table", "stool"))
    lines = [f'name = "Brief {seed}"', f'kind = "{kind}"']
    if rng.random() < 0.4:
        lines.append('display = "in"')
    lines.append("\n[given]")
    if exact:
        givens = adding_up(rng)
    else:
        givens = usual(rng, kind) if rng.random() < 0.7 else unusual(rng, kind)
    lines += [f'{name} = "{text}"' for name, text in givens.items()]
    if rng.random() < 0.3:
        lines.append(f'\n[base]\nway_up = "{rng.choice(("notches up", "notches down"))}"')
    if rng.random() < 0.4:
        lines.append(f'\n[wood]\nspecies = "{rng.choice(WOODS)}"')
    for number in range(rng.choice((0, 0, 1, 2, 3))):
        lines.append(
            f'\n[[boards]]\nname = "board {number}"\nwidth = "{length(rng, 70, 260)}"\n'
            f'length = "{length(rng, 400, 3000)}"\ncount = {rng.randint(1, 8)}'
        )
    return "\n".join(lines) + "\n", exact


@dataclass
class Found:
    """How many commands ended how, seconds of the slowest, and what failed."""

    ends: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    failures: list[str] = field(default_factory=list)

    def add(self, other: Found) -> None:
        """Takes in what another found."""
        self.ends += other.ends
        self.slowest = max(self.slowest, other.slowest)
        self.failures += other.failures


def command(words: list[str]) -> tuple[int, str, float]:
    """Code, what was complained of, and seconds of the processor."""
    from tablekit.cli import main as tablekit

    out, err = io.StringIO(), io.StringIO()
    start = time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = tablekit(words)
    return code, err.getvalue().strip(), time.process_time() - start


def tried(seed: int, packet: bool, patience: float) -> Found:
    """One brief asked of every command."""
    found = Found()
    text, exact = brief(seed)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "brief.toml")
        path.write_text(text, encoding="utf-8")
        asked = {"summary": ["set-out", str(path)], "json": ["set-out", "--json", str(path)]}
        if packet:
            asked["packet"] = ["set-out", "--out", str(Path(folder, "packet")), str(path)]
        ends = {name: command(words) for name, words in asked.items()}
    for name, (code, said, seconds) in ends.items():
        found.ends[f"{name} {code}"] += 1
        if name != "packet":
            found.slowest = max(found.slowest, seconds)
        slow = seconds > patience and name != "packet"
        if code not in (0, 2, 3, 4) or slow:
            found.failures.append(f"seed {seed}: {name} {code} in {seconds:.1f} s: {said[:300]}")
    hurried = any(HURRIED in said for _, said, _ in ends.values())
    if len({(code, "" if hurried else said) for code, said, _ in ends.values()}) > 1:
        told = "; ".join(f"{name} {code} {said[:300]!r}" for name, (code, said, _) in ends.items())
        found.failures.append(f"seed {seed}: of different mind: {told}")
    if exact and ends["summary"][0]:
        found.failures.append(f"seed {seed}: adds up and is refused: {ends['summary'][1][:300]}")
    return found


def some(task: tuple[int, int, int, float]) -> Found:
    """A run of seeds."""
    first, last, packets, patience = task
    whole = Found()
    for seed in range(first, last):
        whole.add(tried(seed, bool(packets) and seed % packets == 0, patience))
    return whole


def runs(asked: argparse.Namespace) -> Iterator[Found]:
    """All that is asked for, a run of seeds at a time."""
    ends = asked.first + asked.count
    tasks = [
        (begin, min(begin + A_TASK, ends), asked.packets, asked.patience)
        for begin in range(asked.first, ends, A_TASK)
    ]
    # Not of multiprocessing's Pool: its processes may have none of their own, as a packet has.
    with ProcessPoolExecutor(asked.processes, multiprocessing.get_context("fork")) as pool:
        yield from pool.map(some, tasks)


def main() -> int:
    """Run as asked; 0 where nothing failed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("count", type=int)
    parser.add_argument("--from", dest="first", type=int, default=0, metavar="SEED")
    parser.add_argument("--packets", type=int, default=0, metavar="N", help="of one brief in N")
    parser.add_argument("--patience", type=float, default=PATIENCE, metavar="SECONDS",
                        help="of the processor, for one command but a packet")  # fmt: skip
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--failures", type=Path, help="file for what failed, a line each")
    asked = parser.parse_args()
    whole, told = Found(), 0
    for found in runs(asked):
        whole.add(found)
        briefs = sum(n for end, n in whole.ends.items() if end.startswith("summary"))
        if briefs - told >= A_REPORT:
            told = briefs
            print(f"{briefs} briefs, {len(whole.failures)} failures", file=sys.stderr, flush=True)
        if asked.failures is not None and found.failures:
            with asked.failures.open("a", encoding="utf-8") as file:
                file.writelines(f"{failure}\n" for failure in found.failures)
    for end, count in sorted(whole.ends.items()):
        print(f"{end:<14}{count:>7}")
    print(f"slowest {whole.slowest:.1f} s; {len(whole.failures)} failures")
    for failure in whole.failures[:20]:
        print(failure)
    return 1 if whole.failures else 0


if __name__ == "__main__":
    sys.exit(main())
