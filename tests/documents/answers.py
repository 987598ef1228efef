"""What the commands of the documents are to answer, from what the documents say of them."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from pathlib import Path

import pytest

from tablekit.brief import read_brief
from tablekit.setting_out import set_out
from tests.copied import same
from tests.documents.reading import ROOT, spans, text_of
from tests.documents.room import Room

# The post of the README's table, from reference/derivations/crossing.md: pad and top taken off the
# height, the depths of a 25 mm flat at either end put on, and the corners of a square post off.
BASE = 735 - 3 - 32
POST = math.sqrt(3) * (BASE + 2 * 25 / math.sqrt(2)) - 2 * 63.5


def shipped(_: Room, said: str) -> None:
    """The card of the brief that ships with the kit."""
    assert said.startswith("Reading-room table\n")
    assert re.search(r"^  height +735 mm", said, re.MULTILINE)
    assert re.search(r"^  top diameter +1000 mm", said, re.MULTILINE)


def card(_: Room, said: str) -> None:
    """The card of the README's own brief, no longer than a screen."""
    assert said.startswith("Reading-room table\n") and len(said.splitlines()) <= 60
    assert re.search(rf"^  length +{round(2 * POST) / 2:g} mm", said, re.MULTILINE)


def everything(_: Room, said: str) -> None:
    """All there is to say of the README's own brief."""
    assert said.startswith("Reading-room table\n")
    asked = said.split("\nFrom the brief\n")[1].split("\n\n")[0]
    assert [" ".join(line.split()) for line in asked.splitlines()] == [
        "table height 735 mm",
        "top diameter 1000 mm",
        "top thickness 32 mm",
        "post section 2 1/2 in read as 63.5 mm",
    ]
    assert "\nAssumed (the brief does not set these)\n" in said
    assert re.search(rf"^  post length +{round(2 * POST) / 2:g} mm", said, re.MULTILINE)


def every_value(room: Room, said: str) -> None:
    """The sheet, with every value that the kit has and where it is from."""
    found = json.loads(said)["quantities"]
    sheet = set_out(read_brief(room.source / "my-table.toml"))
    assert set(sheet.values) <= set(found)
    assert {q["origin"] for q in found.values() if "origin" in q} == {"given", "found", "assumed"}
    assert found["table_height"] | {"value": 735.0, "origin": "given"} == found["table_height"]
    assert found["post_length"]["value"] == pytest.approx(POST, abs=1e-6)


def packet(room: Room, said: str) -> None:
    """The folder, with every file that the README names of it."""
    folder = room.source / "my-table"
    paragraph = next(p for p in text_of("README.md").split("\n\n") if p.startswith("The packet is"))
    named = [name for _, name in spans("README.md", paragraph)]
    assert {"bench.pdf", "reasons.pdf", "packet.html", "cut-list.csv", "sheet.json"} <= set(named)
    asked_for = {"[quote]", "quote.pdf"}  # this brief asks for no price
    assert [name for name in named if not (folder / name).is_file()] == [
        name for name in named if name in asked_for
    ]
    assert list((folder / "pages").glob("*.svg"))
    for ending in ("3mf", "glb", "txt"):  # solids and texts
        assert list(folder.glob(f"*.{ending}"))
    assert "\nWritten to my-table: " in said


def of_each_pass(_: Room, said: str) -> None:
    """The stop of each pass, numbered from 1, and each deeper than the one before."""
    found = [float(one) for one in re.findall(r"equal stop: z_j = ([\d.]+) mm", said)]
    assert said.count("Pass ") == len(found) > 1 and found == sorted(set(found))


def working(_: Room, said: str) -> None:
    """The number first, then line by line how it came about."""
    (answer,) = re.findall(r"^post length: L = ([\d.]+) mm\. In the shop: ", said)
    assert float(answer) == pytest.approx(POST, abs=0.05)
    assert re.search(r"^ 1 ", said, re.MULTILINE) and said.endswith(f"= {answer} mm\n")


def change(_: Room, said: str) -> None:
    """A post is shorter by 10 mm; on a square crossing it climbs 1/√3 of its length."""
    assert said.startswith("How table_height changes with post_length\n")
    assert f"table_height changes by −{10 / math.sqrt(3):.4f} mm to first order" in said


def spread(_: Room, said: str) -> None:
    """How far the height strays, and with what cuts."""
    (wide,) = re.findall(r"^table_height comes out within ±([\d.]+) mm of 735 mm", said)
    cuts = said.split("\nCuts are taken to be true within\n")[1]
    assert float(wide) > 0 and re.search(r"^  post_length ±[\d.]+ mm$", cuts, re.MULTILINE)


def own_spread(_: Room, said: str) -> None:
    """The posts are as true as they were measured, and the other cuts as assumed."""
    cuts = said.split("\nCuts are taken to be true within\n")[1]
    # 1146.5 mm drawn, five pieces off by 0.1, 0.5, 0.3, 0.7 and 0.4 mm: 2 √(0.2/4) = 0.447 mm.
    assert re.search(r"^  post_length ±0\.45 mm   as measured$", cuts, re.MULTILINE)
    assert re.search(r"^  post_section ±[\d.]+ mm$", cuts, re.MULTILINE)


def to_measure(room: Room, said: str) -> None:
    """The card, and a file with a row for each size of each piece."""
    assert said.endswith("\nSizes to measure written to to-measure.csv\n")
    head, *rows = (room.source / "to-measure.csv").read_text("utf-8").splitlines()
    assert head == "piece,size,drawn,measured,unit"
    assert sum(",post_length," in row for row in rows) == 3  # one of each post


def compared(_: Room, said: str) -> None:
    """The second is 30 mm higher on the same crossing, so its posts are longer by √3 × 30 mm."""
    assert said.startswith("Reading-room table → Higher\n")
    assert re.search(r"^  table height +735 mm +→ 765 mm$", said, re.MULTILINE)
    before, after = (round(2 * length) / 2 for length in (POST, POST + 30 * math.sqrt(3)))
    assert f"post length: must be made anew. Cut at {before:g} mm, wanted {after:g} mm" in said


def sheets(room: Room, said: str) -> None:
    """Three PDFs, with sheets for twelve pupils and the answers of each."""
    import pypdf

    names = ["worksheets.pdf", "answers.pdf", "lesson-plan.pdf"]
    assert said == "".join(f"wrote class/{name}\n" for name in names)
    pages = [pypdf.PdfReader(room.source / "class" / name).pages for name in names]
    texts = [" ".join(page.extract_text() for page in one) for one in pages]
    assert texts[0].count("How deep is the notch?") == 36  # three of six questions, twelve pupils
    assert all(f"student {number}" in texts[1] for number in range(1, 13))


def copied(room: Room, said: str) -> None:
    """The notebooks and nothing opened; run again, what a pupil changed is kept."""
    folder, shelf = room.home / "tablekit-notebooks", ROOT / "notebooks"
    files = [p.relative_to(shelf) for p in shelf.rglob("*") if p.suffix in (".ipynb", ".toml")]
    here = [name for name in files if ".ipynb_checkpoints" not in name.parts]
    assert here and all(same(folder / p, shelf / p) for p in here)
    assert said.startswith("Copied to ") and not room.seen.exists()
    changed, lost = folder / "07-does-it-stand.ipynb", folder / "08-a-stool.ipynb"
    changed.write_text("my own", encoding="utf-8")
    lost.unlink()
    again = room.answer("tablekit open --copy-only --dir ~/tablekit-notebooks")
    assert again.startswith(f"Kept as you changed them: {changed.name}\n")
    assert changed.read_text(encoding="utf-8") == "my own" and lost.is_file()


def ledger(room: Room, said: str) -> None:
    """Written anew, it says what the one in the source says."""
    name = Path("reference", "checks.csv")
    assert said.endswith("without a check: none\n")
    assert (room.source / name).read_text("utf-8") == (ROOT / name).read_text("utf-8")


def table_of_keys(room: Room, said: str) -> None:
    """Written anew, the README is the one in the source."""
    assert said == ""
    assert (room.source / "README.md").read_text("utf-8") == text_of("README.md")


def pictures(room: Room, said: str) -> None:
    """Both pictures of the README, drawn anew; the drawing with the sizes of the one in it."""
    linked = re.findall(r"!\[[^]]*\]\(([^)]+)\)", text_of("README.md"))
    assert said.split() == [str(room.source / name) for name in linked]
    drawing, photograph = (room.source / name for name in linked)
    ElementTree.parse(drawing)
    sizes = [
        re.findall(r"<!-- (.*?) -->", p.read_text("utf-8")) for p in (drawing, ROOT / linked[0])
    ]
    assert "735" in sizes[0] and sizes[0] == sizes[1]
    assert photograph.read_bytes().startswith(b"\x89PNG\r\n")
    assert photograph.stat().st_mtime > (room.source / "my-table.toml").stat().st_mtime


def says(*words: str) -> Callable[[Room, str], None]:
    """All of these words."""

    def held(_: Room, said: str) -> None:
        assert [word for word in words if word not in said] == [], said

    return held


def left_as_it_is(_: Room, said: str) -> None:
    """A formatter that finds nothing to do."""
    assert re.fullmatch(r"\d+ files left unchanged\n", said)


# By what is typed, without the folder of the programs.
OF: dict[str, Callable[[Room, str], None]] = {
    "tablekit set-out notebooks/briefs/reading-room-table.toml": shipped,
    "tablekit set-out my-table.toml": card,
    "tablekit set-out my-table.toml --full": everything,
    "tablekit set-out my-table.toml --json": every_value,
    "tablekit set-out my-table.toml --out my-table": packet,
    "tablekit working my-table.toml post_length": working,
    'tablekit working my-table.toml "equal stop"': of_each_pass,
    'tablekit working my-table.toml table_height --when "post_length -10 mm"': change,
    "tablekit working my-table.toml table_height --spread": spread,
    "tablekit working my-table.toml table_height --spread --measured my-pieces.csv": own_spread,
    "tablekit set-out my-table.toml --to-measure to-measure.csv": to_measure,
    "tablekit compare my-table.toml higher.toml --cut post_length": compared,
    "tablekit worksheets class --seed autumn --students 12 --topics let-in height": sheets,
    "tablekit open --copy-only --dir ~/tablekit-notebooks": copied,
    "ruff check .": says("All checks passed!"),
    "ruff format .": left_as_it_is,
    "mypy tablekit": says("Success: no issues found in "),
    "python -m tests.ledger": ledger,
    "python -m tests.readme_keys": table_of_keys,
    "python -m tests.pictures": pictures,
}


def loop(said: str) -> None:
    """The part of the benchmarks that was asked for, and no other."""
    first, second = said.splitlines()
    assert first.startswith("one design through a loop of relations")
    assert second.startswith("   each of twenty thousand")
    assert all(float(line.split()[-2]) > 0 for line in (first, second))


def one_session(said: str) -> None:
    """A session alone and one more, each with its panels, and what they hold."""
    assert re.search(r"^of them without panels +0$", said, re.MULTILINE)
    assert re.search(r"^2 kernels: held by one alone +median +\d", said, re.MULTILINE)


def two_steps(said: str) -> None:
    """A bare slider, the panel, their ratios and the work of a frame, each with its numbers."""
    bare, panel, ratio, kernel = said.splitlines()
    for line in (bare, panel):
        assert re.search(r"key to change +\d+ ms, 95th +\d+ ms; +[\d.]+ KB a step", line), line
    # More comes for a drawing than for a label.
    assert float(re.findall(r"bytes ([\d.]+)", ratio)[0]) > 1
    assert re.search(r"[\d.]+ ms of work a frame$", kernel)


def a_hundred(said: str) -> None:
    """Bad inputs, none of which led a reader astray."""
    assert re.fullmatch(r"100 inputs in \d+ s, 0 at fault\n", said)


def one_family(said: str) -> None:
    """A design of each family asked for, on which all agree to a billionth."""
    families = said.splitlines()
    assert families and all(": 1 designs, " in line for line in families)
    worst = [float(re.findall(r"greatest disagreement (\S+)", line)[0]) for line in families]
    assert max(worst) <= 1e-9


def true_of_a_lens(said: str) -> None:
    """Each part was asked of two lenses, and nothing that the engine said was false."""
    tables = {head: rows for head, *rows in (t.splitlines() for t in said.strip().split("\n\n"))}
    swapped = [row for row in tables["Swaps, other subjects"] if row.startswith("  settled, ")]
    assert swapped
    for row in swapped:
        outcomes = re.findall(r"([a-z ]+) \d+ \(", row.split(":")[1])
        assert {outcome.strip() for outcome in outcomes} <= {"true", "listed"}, row
    (clashes,) = (r for r in tables["Clashes, other subjects"] if r.startswith("  clashes named"))
    assert re.search(r"\d+: none found \d+ \(100\.0 %\)$", clashes)
    (anything,) = tables["Anything at all"]
    assert anything.split(":")[0].split() == ["thin", "lens", "30"]
    assert re.search(r"^0 failures; \d+ s$", said, re.MULTILINE)


MUTATION = "python -m tests.mutation.run --package relations --sample 150 --seed 1 --to report.md"


def asked_for_in_words(said: str) -> None:
    """The options that the document gives it, and the package it names, are among its own."""
    words = MUTATION.split()
    assert {word for word in words if word.startswith("--")} <= set(re.findall(r"--\w+", said))
    assert words[words.index("--package") + 1] in re.findall(r"\w+", said.split("--package")[1])


def three_briefs(said: str) -> None:
    """Each was asked of both commands, which were of one mind."""
    ends = re.findall(r"^(json|summary) (\d)\s+(\d+)$", said, re.MULTILINE)
    for command in ("json", "summary"):
        assert sum(int(count) for name, _, count in ends if name == command) == 3
    assert said.strip().endswith("0 failures")


def nothing(said: str) -> None:
    """It has only written."""
    assert said == ""


# What is run with less to do.
OF_SMALLER: dict[str, Callable[[str], None]] = {
    "python tests/benchmarks/run.py": loop,
    "python tests/benchmarks/class_of_thirty.py": one_session,
    "python tests/benchmarks/live_panel.py": two_steps,
    "python tests/fuzz/run.py 100000": a_hundred,
    "python -m tests.slow.recompute 1000": one_family,
    "python -m tests.slow.engine_truth": true_of_a_lens,
    "python -m tests.slow.many_briefs 20000": three_briefs,
    "python -m tests.slow.same_answers write before.jsonl": nothing,
    MUTATION: asked_for_in_words,
}
