"""A net under changes that should leave every answer as it is: what the kit answers to many briefs,
and what the pages of the demo packets say, written down before a change and compared after it:

    python -m tests.slow.same_answers write before.jsonl       300 briefs and the demo packets
    python -m tests.slow.same_answers compare before.jsonl     the same asked again
    python -m tests.slow.same_answers write few.jsonl --briefs 20 --no-packets

Numbers agree to 1e-12 of their size, texts letter by letter; a difference is told with the brief
and the key where it is. What depends on how fast the machine is, a refusal whose explanation had to
stop early, is not compared. `compare` ends with 1 where anything differs.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.slow.many_briefs import HURRIED
from tests.slow.many_briefs import brief as brief_of

SAME = 1e-12
FIRST = 500_000  # seeds of their own, apart from those that others use
SHOWN = 40


def answers(count: int) -> Iterator[tuple[str, Any]]:
    """The whole answer to each brief, or what is said instead of one."""
    from tablekit.brief import parse_brief
    from tablekit.engine.trouble import DesignError
    from tablekit.packet.answer import answer
    from tablekit.setting_out import design_of

    for seed in range(FIRST, FIRST + count):
        text, _ = brief_of(seed)
        try:
            brief = parse_brief(text)
            yield f"brief {seed}", answer(design_of(brief))
        except DesignError as trouble:
            yield f"brief {seed}", {"refused": type(trouble).__name__, "said": str(trouble)}


def pages() -> Iterator[tuple[str, Any]]:
    """What each page of the demo packets says, and the texts beside them."""
    from pypdf import PdfReader

    from tablekit.brief import read_brief
    from tablekit.packet.packet import write_packet
    from tablekit.setting_out import design_of
    from tablekit.shipped import notebooks_path

    for path in sorted((notebooks_path() / "briefs").glob("*.toml")):
        brief = read_brief(path)
        with tempfile.TemporaryDirectory() as room:
            folder = Path(room, "packet")
            write_packet(design_of(brief), folder)
            for book in sorted(folder.glob("*.pdf")):
                for number, page in enumerate(PdfReader(book).pages, start=1):
                    said = " ".join(page.extract_text().split())
                    yield f"{path.stem}, {book.name}, page {number}", said
            for text in sorted(folder.glob("*.txt")):
                yield f"{path.stem}, {text.name}", text.read_text(encoding="utf-8")


def everything(asked: argparse.Namespace) -> Iterator[tuple[str, Any]]:
    """All that is asked for, each under a name."""
    yield from answers(asked.briefs)
    if asked.packets:
        yield from pages()


def differences(before: Any, after: Any, where: str = "") -> Iterator[str]:
    """Where two answers differ, and how."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in dict.fromkeys((*before, *after)):
            if key not in before or key not in after:
                yield f"{where}/{key}: {'new' if key not in before else 'gone'}"
            else:
                yield from differences(before[key], after[key], f"{where}/{key}")
    elif isinstance(before, list) and isinstance(after, list):
        if len(before) != len(after):
            yield f"{where}: {len(before)} of them, now {len(after)}"
        for number, (one, other) in enumerate(zip(before, after, strict=False)):
            name = one.get("id", one.get("name", number)) if isinstance(one, dict) else number
            yield from differences(one, other, f"{where}/{name}")
    elif not _same(before, after):
        yield f"{where}: {str(before)[:200]!r} → {str(after)[:200]!r}"


def _same(before: Any, after: Any) -> bool:
    numbers = (int, float)
    if isinstance(before, numbers) and isinstance(after, numbers):
        return math.isclose(before, after, rel_tol=SAME, abs_tol=SAME)
    hurried = isinstance(before, str) and isinstance(after, str) and HURRIED in f"{before}{after}"
    return hurried or bool(before == after)


def compare(asked: argparse.Namespace) -> int:
    """1 where anything differs from the file."""
    lines = asked.file.read_text(encoding="utf-8").splitlines()
    before = dict(json.loads(line) for line in lines)
    asked.briefs = sum(name.startswith("brief ") for name in before)
    asked.packets = len(before) > asked.briefs
    found = Counter[str]()
    told: list[str] = []
    after = dict(everything(asked))
    for name in dict.fromkeys((*before, *after)):
        if name not in before or name not in after:
            differs = ["new" if name not in before else "gone"]
        else:
            # As JSON writes it: a tuple is a list.
            differs = list(differences(before[name], json.loads(json.dumps(after[name]))))
        found["different" if differs else "the same"] += 1
        told += [f"{name}{one}" for one in differs]
    print("\n".join(told[:SHOWN]))
    print(f"{found['the same']} the same, {found['different']} different; {len(told)} differences")
    return 1 if told else 0


def main() -> int:
    """Run as asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("write", "compare"))
    parser.add_argument("file", type=Path)
    parser.add_argument("--briefs", type=int, default=300, help="how many (%(default)s)")
    parser.add_argument("--no-packets", dest="packets", action="store_false")
    asked = parser.parse_args()
    if asked.what == "compare":
        return compare(asked)
    with asked.file.open("w", encoding="utf-8") as file:
        for entry in everything(asked):
            file.write(json.dumps(entry) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
