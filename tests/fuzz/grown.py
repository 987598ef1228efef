"""Bad input grown from good: measures, briefs and commands, by chance but each from its seed.

Each takes a `random.Random`; hypothesis has one that it can shrink, `run.py` an ordinary one.
"""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

from tablekit.engine.unit_table import KINDS
from tablekit.shipped import notebooks_path

UNITS = ("mm", "deg", "degC", "kg", "N", "MPa", "%", "mm^2", "1")
SPELLINGS = tuple(
    spelling
    for kind in KINDS.values()
    for unit in kind.units.values()
    for spelling in unit.spellings
)
# What a reader that evaluates, that steps down a level at each bracket, or that trusts Unicode to
# be plain would come to grief over. MARK stands in every text that is code somewhere.
MARK = "grown_from_a_seed"
BOMBS = (
    "9**9**9 mm", "1e999999 mm", "1e99 mm", "1e-99 mm", "9" * 5000 + " mm", "1/" + "9" * 50 + " mm",
    "(" * 900 + "1" + ")" * 900 + " mm", "((((1)))) mm", "[" * 900, "{" * 900, "1" + " mm" * 400,
    "1 mm" + "^9" * 30, "1 mm**9", "1 m*m*m*m*m", "1/0 mm", "0/0", "inf mm", "nan mm", "-0 mm",
    "1_000 mm", "0x10 mm", "1e1e1 mm", "١٢٣ mm", "१२ mm", "１２ mm", "𝟙𝟚 mm", "Ⅻ mm", "²³ mm",
    "½½ mm",     "\u202e735 mm", "735\u200f mm", "735\u00a0mm", "735\u3000mm", "735 \u200bmm",
    "735 m\u0301m",
    "735 mм", "735 µµm", "735 mm\0", "735\nmm", "735 mm\r", "\ufeff735 mm", "\ud800", "😀 mm",
    f"__import__('os').system('{MARK}')", f"{{{MARK}}}", f"%({MARK})s", f"${{{MARK}}}",
    f"lambda: {MARK}", f"735 mm; {MARK}", f"735 mm # {MARK}", "735;mm", "../../mm", "735 \\mm",
)  # fmt: skip
# Names that mean something to a shell, a path, a spreadsheet, a page, a drawing or a terminal.
NAMES = (
    "../../etc/passwd", "/etc/passwd", "C:\\Windows\\x", "C:x", "\\\\host\\share", "a/b", "..", ".",
    "~", "CON", "nul.txt", "a\tb", "-rf", "--out", "$(touch x)", "`touch x`", "a;b", "%PATH%",
    "=1+1", "+1", "-1+1", "@SUM(A1)", '=HYPERLINK("x")', "\t=1", "a,b", 'a"b', "a'b", "a\\b",
    f"<script>{MARK}</script>", f"<img src=x onerror={MARK}()>", "</svg>", "]]>", "-->", "&amp;",
    "&#0;", "<!DOCTYPE x>", "<?xml?>", "$\\frac$", "$x_$", "$", "\\input{x}", "\\end{document}",
    "%", "{0}", "{}", "%s", "%n", "[x](javascript:x)", "![x](x)", "```", "|", "# x", "__proto__",
    "ä", "中", "😀", "e\u0301", "\u0301", "שלום", "\u200d", "\u200b", "x" * 200, "x" * 201, "",
    " ", "\u00a0", "\ufeff", "\uffff", "\U0010ffff", "\u202e", "\u2028", "\x1b[2J", "\x00", "\x07",
)  # fmt: skip
TOML_BOMBS = (
    "a = " + "[" * 900, "a = " + "[" * 90 + "]" * 90, "a = " + "{a=" * 400,
    ".".join(["a"] * 200) + " = 1", "[" + ".".join(["given"] * 120) + "]",
    "a = [" + "1, " * 600 + "]", "a = " + "9" * 1900, "a = 0x" + "f" * 1900, "a = 1e999999",
    "a = 1979-05-27T07:32:00.999999999999-23:59", "a = 9999-99-99", 'a = """', "a = '''x",
    '"" = 1', '"\\ud800" = 1', '"\\u0000" = 1', "\ufeffa = 1", "a\u00a0= 1", "a = 1\rb = 2", "\0",
    "[[given]]", "[given]\n[given]", "given = 1", "boards = [[]]", "[[boards]]\n[boards]", "[]",
    "[[]]", "[.]", "a..b = 1", "top.order = [[], 1]", "[given.post_length]", "[[boards.name]]",
)  # fmt: skip
LETTERS = (
    "0123456789.,-+/*^()[]{}=\"'#\\ \t\neExX_mmfinkgNPa°′″½⅞²·%:;@$&<>\u00a0\u202e\u0301中😀\0"
)

EVERYTHING = """name = "Grown"
kind = "table"
display = "in"
fraction = 16
step = "1 mm"

[given]
table_height = "735 mm"
post_section = "2 1/2 in"
top_diameter = "1100 mm"
seats = 4

[base]
crossing = "one notch"
way_up = "notches down"
hand = "left"

[wood]
species = "white ash"
cut = "quarter-sawn"

[room]
driest = { temperature = "70 degF", humidity = "30 %" }
dampest = { temperature = "24 degC", humidity = "65 %" }

[[boards]]
name = "A"
width = "140 mm"
length = "1200 mm"
count = 9
price = 18.0

[[boards]]
width = "5 in"
length = "48 in"
count = 9
price = 11

[[stock]]
name = "S"
length = "2400 mm"
width = "220 mm"
count = 3

[top]
margin = "5 mm"
rip = "all alike"
keep = ["A"]
least = "price"

[workshop]
clamp_capacity = "4000 N"
"""


def good() -> tuple[str, ...]:
    """Briefs that are answered: those shipped, and one with every section."""
    shipped = sorted((notebooks_path() / "briefs").glob("*.toml"))
    return (EVERYTHING, *(path.read_text(encoding="utf-8") for path in shipped))


GOOD = good()


def quoted(text: str) -> str:
    """A TOML string that means `text`, as far as TOML can say it."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in plain) + '"'


def renamed(name: str) -> str:
    """The brief with every section, its piece and its first board called so."""
    return EVERYTHING.replace('"Grown"', quoted(name)).replace('"A"', quoted(name))


def spoiled(text: str, rng: Random) -> str:
    """A letter more, fewer, or another; a piece twice, or left out."""
    for _ in range(rng.randint(1, 3)):
        at, end = sorted((rng.randint(0, len(text)), rng.randint(0, len(text))))
        end = min(end, at + 40)
        middle = rng.choice((rng.choice(LETTERS), "", text[at:end] * 2, rng.choice(NAMES)))
        text = text[:at] + middle + text[rng.choice((at, at + 1, end)) :]
    return text


def number(rng: Random) -> str:
    """As makers, and people who are none, write numbers."""
    whole, over, under = rng.randint(0, 3000), rng.randint(0, 70), rng.choice((0, 2, 8, 16, 64, 7))
    return rng.choice((
        f"{whole}", f"{whole}.{over}", f".{over}", f"{over} {over}/{under}",
        f"{over}/{under}", f"{over}-{over}/{under}", f"{whole}e{rng.randint(-120, 120)}",
        f"-{whole}",
        f"+{whole}", f"{whole},{over}", f"{over}½", "⅞", f"{over}' {over}", f"{over}° {over}′",
        f"{whole}" * 12,
    ))  # fmt: skip


def measure(rng: Random) -> str:
    """A text that may be a measure."""
    if rng.random() < 0.15:
        return rng.choice(BOMBS)
    parts = [number(rng) + rng.choice(("", " ")) + rng.choice(SPELLINGS)]
    while rng.random() < 0.2:
        parts.append(number(rng) + rng.choice(("", " ")) + rng.choice(SPELLINGS))
    text = rng.choice(("", " ")).join(parts)
    return spoiled(text, rng) if rng.random() < 0.4 else text


def value(rng: Random) -> str:
    """What may stand right of an equals sign."""
    return rng.choice((
        quoted(measure(rng)), quoted(measure(rng)), quoted(rng.choice(NAMES)), number(rng),
        rng.choice(("true", "nan", "-inf", "[]", "{}", '[""]', "1979-05-27", '["A", "A"]')),
    ))  # fmt: skip


def brief(rng: Random) -> str:
    """A good brief with up to six things changed in it."""
    lines = rng.choice(GOOD).split("\n")
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(lines))
        key = lines[at].partition(" = ")[0] if " = " in lines[at] else "name"
        lines[at : at + 1] = rng.choice((
            [f"{key} = {value(rng)}"], [f"{key} = {value(rng)}"], [f"{key} = {value(rng)}"],
            [f"name = {quoted(rng.choice(NAMES))}"], [f"{quoted(rng.choice(NAMES))} = 1"],
            [spoiled(lines[at], rng)], [], [lines[at]] * 2, [rng.choice(lines), lines[at]],
            [rng.choice(TOML_BOMBS)], [lines[at], *rng.choice(GOOD).split("\n")[-9:]],
        ))  # fmt: skip
        lines = lines or [""]
    text = "\n".join(lines)
    return spoiled(text, rng) if rng.random() < 0.2 else text


_MEASURED = re.compile(r'^(\w+ = ")([0-9.]+)( [a-zA-Z%]+")')
MORE = (
    'splay = "54 deg"', 'post_length = "1000 mm"', 'foot_radius = "300 mm"', 'overhang = "60 mm"',
    'knee_clearance = "650 mm"', 'foot_flat = "30 mm"', 'notch_depth = "20 mm"',
    'top_mass = "9 kg"', 'tipping_load = "150 N"', 'notch_position = "400 mm"',
    'base_height = "600 mm"',
)  # fmt: skip


def reshaped(rng: Random) -> str:
    """A good brief with up to four of its measures made larger or smaller, or a given more or
    fewer: what the solver and the plans have to do with."""
    lines = rng.choice(GOOD).split("\n")
    measured = [k for k, line in enumerate(lines) if _MEASURED.match(line)]
    for at in rng.sample(measured, rng.randint(0, 4)):
        factor = 10 ** rng.choice((rng.uniform(-0.1, 0.1), rng.uniform(-1, 1)))
        lines[at] = _MEASURED.sub(
            lambda m, f=factor: f"{m[1]}{float(m[2]) * f:.4g}{m[3]}", lines[at]
        )
    given = next(k for k, line in enumerate(lines, start=1) if line.startswith("[given]"))
    lines[given:given] = rng.sample(MORE, rng.choice((0, 0, 1, 2)))
    if rng.random() < 0.3:
        del lines[given]
    named = next(k for k, line in enumerate(lines) if line.startswith("name = "))
    lines[named] = f"name = {quoted(rng.choice(NAMES))}"
    return "\n".join(lines)


QUANTITIES = ("table_height", "post_length", "top_mass", "seats", "splay", "crossing", "", *NAMES)


def command(rng: Random, paths: tuple[str, ...], out: Path) -> list[str]:
    """Words for the command line: `paths` are briefs to name, `out` a folder it may write under."""
    path, other = rng.choice(paths), rng.choice(paths)
    name = rng.choice(QUANTITIES)
    changed = f"{rng.choice(QUANTITIES)} {measure(rng)}"
    return rng.choice((
        ["set-out", path], ["set-out", path, "--json"], ["working", path, name],
        ["working", path, name, "--as", rng.choice(("text", "markdown", "latex", "html", "x"))],
        ["working", path, name, "--when", changed], ["working", path, name, "--spread"],
        ["compare", path, other, "--cut", name], ["compare", path, other, "--json"],
        ["set-out", path, "--out", f"{out}/{rng.choice(NAMES)}/packet"],
        [rng.choice(NAMES), path], ["set-out", rng.choice(NAMES)], [spoiled("set-out", rng), path],
    ))  # fmt: skip
