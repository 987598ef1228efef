"""The shape of the house: who may import whom, how long things are, what is never done."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import networkx
import pytest

from tablekit.relations.bases import BASES, CROSSINGS, LEGS, WAYS_UP
from tablekit.relations.kinds import KINDS
from tests.together import each

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "tablekit"
FILES = sorted(PACKAGE.rglob("*.py"))
FUNCTION_LINES = 40

# Each part may import itself and what stands before it. Data that ships with the kit is read by
# two small modules that anything but the engine may use.
DATA = {"shipped", "species"}
MAY_IMPORT: dict[str, set[str]] = {
    "engine": set(),
    "relations": {"engine"} | DATA,
    "solids": {"engine", "relations"} | DATA,
    # How boards cup depends on their wood, so planning reads its table as well.
    "planning": {"engine", "relations", "solids", "wood_movement"} | DATA,
    "drawing": {"engine", "relations", "solids", "planning"} | DATA,
    # What a shop may say of itself are quantities that the plans want.
    "brief": {"engine", "relations", "planning", "wood_movement"} | DATA,
    # Whatever shows an answer reads it; it knows of none of them.
    "design": {"engine", "relations", "solids", "planning", "brief", "wood_movement"} | DATA,
}
# The thin ones on top: nothing below may know of them.
ON_TOP = {"panels", "packet", "teaching", "cli", "__main__"}
VISIBLE = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "notebooks", "tablekit", "tests", "reference",
}  # fmt: skip

each_file = each("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def part_of(path: Path) -> str:
    """The package or module of ours that a file belongs to."""
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imports(path: Path) -> Iterator[str]:
    """Every module a file imports, at its head, in a function or for types alone."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import hides where it goes"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def ours(path: Path) -> set[str]:
    """The parts of the kit that a file imports from, its own left out."""
    names = {name.split(".")[1] for name in imports(path) if name.startswith("tablekit.")}
    return names - {part_of(path)}


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


# -- who may import whom -------------------------------------------------------------------------


@each_file
def test_dependencies_point_the_right_way(path: Path) -> None:
    part = part_of(path)
    if part in MAY_IMPORT:
        assert ours(path) <= MAY_IMPORT[part]
    elif part == "class_server":
        assert not ours(path) & ON_TOP - {"packet", "teaching"}  # shows a teacher the results
    elif part not in ON_TOP:
        assert not ours(path) & ON_TOP - {"packet"}  # a copy of the packet's folder is made for it


def test_every_part_has_its_place() -> None:
    folders = {p.name for p in PACKAGE.iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    assert folders == {*MAY_IMPORT, "panels", "packet", "teaching"}


def test_teaching_stands_between_the_packet_and_the_panels() -> None:
    """Of the packet it takes how documents are set; only panels, the command line and
    the server of a class know it."""
    setting = {f"tablekit.packet.{name}." for name in ("document", "typeset", "pages", "web")}
    for path in FILES:
        if part_of(path) == "teaching":
            assert not ours(path) & (ON_TOP - {"packet"}), path
            taken = [name for name in imports(path) if name.startswith("tablekit.packet.")]
            assert [name for name in taken if not name.startswith(tuple(setting))] == [], path
        elif part_of(path) not in ("panels", "cli", "class_server"):
            assert "teaching" not in ours(path), path


@pytest.mark.parametrize("library", ["matplotlib", "ipywidgets", "IPython", "pandas"])
def test_the_engine_draws_nothing(library: str) -> None:
    users = [path.name for path in FILES if part_of(path) == "engine" for n in imports(path)
             if n.split(".")[0] == library]  # fmt: skip
    assert users == []


def test_panels_hold_no_arithmetic() -> None:
    for path in FILES:
        if part_of(path) == "panels":
            assert not {n.split(".")[0] for n in imports(path)} & {"numpy", "scipy", "sympy"}, path


def test_importing_the_kit_loads_nothing_heavy() -> None:
    """In a fresh Python the network is built without plotting, widget or solver libraries."""
    heavy = ("scipy", "matplotlib", "ipywidgets", "IPython", "pint", "networkx")
    script = (
        "import sys, tablekit, tablekit.relations.families\n"
        f"print(*[m for m in {heavy!r} if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert ran.stdout.split() == []


# -- one place knows the bases -------------------------------------------------------------------

# A base that is told by comparing words is told in every place anew, and a new one is forgotten in
# some of them. Whoever has to know asks `base_of` what the base can do.
BASE_WORDS = {*BASES, *CROSSINGS, *WAYS_UP, *LEGS}
KNOWS_BASES, KNOWS_KINDS = "relations/bases.py", "relations/kinds.py"
# Where the options of a network are handed on as they are.
HANDS_ON = {"planning/tipping_ways.py", "relations/families.py"}


def decided_by(module: ast.Module, every_use: bool = True) -> set[str]:
    """The texts that a module compares something with or, with `every_use`, looks up by."""
    found: list[ast.expr | None] = []
    for node in ast.walk(module):
        if isinstance(node, ast.Compare):
            found += [node.left, *node.comparators]
        elif isinstance(node, ast.MatchValue):
            found.append(node.value)
        elif every_use and isinstance(node, ast.Dict):
            found += node.keys
        elif every_use and isinstance(node, ast.Subscript):
            found.append(node.slice)
        elif every_use and isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".get"):
            found += node.args
    texts = (inner for one in found if one is not None for inner in ast.walk(one))
    return {t.value for t in texts if isinstance(t, ast.Constant) and isinstance(t.value, str)}


def reads_options(module: ast.Module) -> bool:
    """Whether it reads the options of a network."""
    return any(
        isinstance(node, ast.Attribute) and node.attr == "options"
        and ast.unparse(node.value).split(".")[-1] == "network"
        for node in ast.walk(module)
    )  # fmt: skip


@each_file
def test_only_the_bases_tell_one_base_from_another(path: Path) -> None:
    place = path.relative_to(PACKAGE).as_posix()
    if place != KNOWS_BASES:
        assert not decided_by(tree(path)) & BASE_WORDS
        if part_of(path) != "engine":
            assert not reads_options(tree(path)) or place in HANDS_ON
    if place != KNOWS_KINDS:
        assert not decided_by(tree(path), every_use=False) & KINDS.keys()


@pytest.mark.parametrize(
    "code",
    [
        'crossing == "one notch"', 'x in ("three legs", "four legs")', 'LEGS["four legs"]',
        '{"notches up": 1}', 'found.get("splayed legs")', 'sheet.network.options["hand"]',
        'match x:\n    case "two notches":\n        pass', "of.network.options",
    ],
)  # fmt: skip
def test_the_search_for_words_of_bases_finds_them(code: str) -> None:
    module = ast.parse(code)
    assert decided_by(module) & BASE_WORDS or reads_options(module)


# -- imports -------------------------------------------------------------------------------------

# What takes long to load, so that an import of it may wait until it is wanted.
HEAVY = {
    "IPython", "contourpy", "ipykernel", "ipywidgets", "jupyterlab", "k3d", "matplotlib",
    "nbconvert", "networkx", "pint", "scipy", "sympy", "tqdm",
}  # fmt: skip
# What a part may leave for later of our own: most commands and frames want only some of it, and
# loaded at once it makes a working or a set-out of splayed legs a tenth slower.
LATER = {
    "design": {"planning", "solids"},
    "setting_out": {"design"},
    "packet": {"planning", "solids", "drawing"},
}
ON_DEMAND = ("from importlib import import_module",)  # for packages that hand out names
PUT_OFF = {
    "tablekit": ON_DEMAND, "tablekit.engine": ON_DEMAND,
    # Still to be moved to the head.
    "tablekit.packet.web": ("import io",),
    "tablekit.packet.checks": (
        "from tablekit.engine.shop import quantity_text, share_text, shop_text",
    ),
}  # fmt: skip
MODULES = {
    ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): p for p in FILES
}


def is_function(node: ast.AST) -> bool:
    return isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)


def statements(node: ast.AST, late: bool, inside: bool = False) -> Iterator[ast.stmt]:
    """The imports in functions or, unless `late`, those that run when a module is loaded."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import | ast.ImportFrom):
            if inside is late:
                yield child
        elif isinstance(child, ast.If) and ast.unparse(child.test) == "TYPE_CHECKING":
            continue
        else:
            yield from statements(child, late, inside or is_function(child))


def imported(statement: ast.stmt) -> set[str]:
    """The modules that a statement names: ours with the packages above them, others by library."""
    assert isinstance(statement, ast.Import | ast.ImportFrom)
    names = [alias.name for alias in statement.names]
    if isinstance(statement, ast.ImportFrom):
        names = [statement.module or "", *(f"{statement.module}.{name}" for name in names)]
    parts = (name.split(".") for name in names)
    every = {".".join(part[: k + 1]) for part in parts for k in range(len(part))}
    return {name for name in every if name in MODULES or name in HEAVY}


@cache
def at_the_head(module: str) -> frozenset[str]:
    """What a module of ours loads by itself, for the types alone left out."""
    found = (imported(one) for one in statements(tree(MODULES[module]), late=False))
    return frozenset().union(*found) - {module}


def loaded_with(names: set[str]) -> set[str]:
    """All that is loaded with these modules: ours, and heavy libraries."""
    seen, waiting = set[str](), [*names]
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += at_the_head(name) if name in MODULES else ()
    return seen


def in_vain(module: str) -> list[str]:
    """The imports in functions of a module that put off nothing heavy."""
    path, found = MODULES[module], []
    before = loaded_with({module})
    for one in statements(tree(path), late=True):
        more = loaded_with(imported(one)) - before
        later = {f"tablekit.{part}" for part in LATER.get(part_of(path), ())}
        if not more & HEAVY and not any(".".join(m.split(".")[:2]) in later for m in more):
            found.append(ast.unparse(one))
    return found


@each("module", [m for m in MODULES if m != "tablekit.cli"])
def test_an_import_in_a_function_puts_off_something_heavy(module: str) -> None:
    """The command line loads what the one command needs, each in its own function."""
    assert [one for one in in_vain(module) if one not in PUT_OFF.get(module, ())] == []


def test_no_module_imports_itself_in_the_end() -> None:
    """At its head, in a function or for types alone: a cycle is one subject torn in two files."""
    graph = networkx.DiGraph()
    for module, path in MODULES.items():
        every = (n for n in ast.walk(tree(path)) if isinstance(n, ast.Import | ast.ImportFrom))
        for name in set[str]().union(*map(imported, every)) & MODULES.keys():
            if not module.startswith(f"{name}."):  # but the packages that it lies in
                graph.add_edge(module, name)
    assert [sorted(c) for c in networkx.strongly_connected_components(graph) if len(c) > 1] == []


# -- what is at the top --------------------------------------------------------------------------


def test_the_visible_top_level() -> None:
    tracked = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        capture_output=True, text=True, cwd=ROOT,
    )  # fmt: skip
    if tracked.returncode == 0:
        names = {line.split("/")[0] for line in tracked.stdout.splitlines()}
    else:  # not a checkout
        names = {path.name for path in ROOT.iterdir()} - {"build", "dist", "venv"}
    assert {n for n in names if not n.startswith(".")} == VISIBLE


# -- length --------------------------------------------------------------------------------------


@each_file
def test_functions_are_short(path: Path) -> None:
    lengths = {f.name: (f.end_lineno or 0) - f.lineno + 1 for f in functions(path)}
    assert {name: n for name, n in lengths.items() if n > FUNCTION_LINES} == {}


# -- what everything says of itself --------------------------------------------------------------


@each_file
def test_public_things_are_documented(path: Path) -> None:
    module = tree(path)
    silent = [] if not module.body or ast.get_docstring(module) else ["the module"]
    silent += [name for name, node in public(module) if not ast.get_docstring(node)]
    assert silent == []


def public(
    holder: ast.Module | ast.ClassDef, prefix: str = ""
) -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]]:
    """Public functions and classes of a module, and the public methods of those classes."""
    for node in holder.body:
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            continue
        if node.name.startswith("_") or any(is_overload(d) for d in node.decorator_list):
            continue
        yield prefix + node.name, node
        if isinstance(node, ast.ClassDef):
            said_above = {name for base in node.bases for name in said_of(ast.unparse(base))}
            for name, inner in public(node, f"{prefix}{node.name}."):
                if name.split(".")[-1] not in said_above:  # an override does what its base says
                    yield name, inner


@cache
def said_of(base: str) -> frozenset[str]:
    """The methods that a class of ours, or one above it, documents."""
    said: set[str] = set()
    for node in classes().get(base.split(".")[-1], ()):
        methods = (m for m in node.body if isinstance(m, ast.FunctionDef))
        said |= {method.name for method in methods if ast.get_docstring(method)}
        said = said.union(*(said_of(ast.unparse(above)) for above in node.bases))
    return frozenset(said)


@cache
def classes() -> dict[str, list[ast.ClassDef]]:
    """All classes of the package by name."""
    found: dict[str, list[ast.ClassDef]] = {}
    for path in FILES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.ClassDef):
                found.setdefault(node.name, []).append(node)
    return found


def is_overload(decorator: ast.expr) -> bool:
    return ast.unparse(decorator).split(".")[-1] in ("overload", "setter")


# -- what is never done --------------------------------------------------------------------------

DANGEROUS = {"pickle", "marshal", "shelve", "dill", "joblib", "cloudpickle"}


def forbidden(module: ast.Module) -> list[str]:
    """Calls and imports that could run what a brief says, as they are written."""
    found = []
    for node in ast.walk(module):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = [a.name for a in node.names] + [getattr(node, "module", None) or ""]
            found += [n for n in names if n.split(".")[0] in DANGEROUS or n == "parse_expr"]
        if isinstance(node, ast.Call):
            name = ast.unparse(node.func)
            last = name.split(".")[-1]
            strict = any(k.arg == "strict" and ast.unparse(k.value) == "True"
                         for k in node.keywords)  # fmt: skip
            if name in ("eval", "exec", "compile", "__import__") or last == "parse_expr":
                found.append(name)
            if last == "sympify" and not strict:
                found.append(f"{name} without strict=True")
            if name in ("sp.S", "sympy.S", "S"):
                found.append(name)
            if name in ("np.load", "numpy.load") or last == "read_pickle":
                found.append(name)
            if last == "system" or any(k.arg == "shell" for k in node.keywords):
                found.append(name)
    return found


# A plan becomes a function there, out of checked names, numbers and signs alone.
RUNS_WHAT_IT_WROTE = {"engine/codegen.py": ["exec", "compile"]}


@each_file
def test_no_text_is_ever_run(path: Path) -> None:
    own = RUNS_WHAT_IT_WROTE.get(path.relative_to(PACKAGE).as_posix(), [])
    assert sorted(forbidden(tree(path))) == sorted(own)


@each(
    "code",
    [
        "eval(x)", "exec('1')", "import pickle", "from pickle import loads", "sp.sympify(x)",
        "sp.sympify(x, strict=False)", "sp.S('x')", "parse_expr(x)", "__import__('os')",
        "from sympy.parsing.sympy_parser import parse_expr", "os.system('ls')",
        "subprocess.run(x, shell=True)", "np.load(f)",
    ],
)  # fmt: skip
def test_the_search_finds_what_it_should(code: str) -> None:
    assert forbidden(ast.parse(code))


def test_the_other_searches_find_what_they_should() -> None:
    code = '"""M."""\nclass A:\n    """A."""\n    def b(self): pass\n    def _c(self): pass\n'
    assert [n for n, node in public(ast.parse(code)) if not ast.get_docstring(node)] == ["A.b"]
    assert part_of(PACKAGE / "engine" / "plan.py") == "engine"
    assert part_of(PACKAGE / "cli.py") == "cli"
    assert "relations" in ours(PACKAGE / "setting_out.py")


def test_a_text_is_no_value_to_assume() -> None:
    import sympy

    from tablekit.engine.quantity import Quantity, common_practice
    from tablekit.engine.relation import assume

    width = Quantity("width", "w", "mm", "a width", 1, 100)
    with pytest.raises(sympy.SympifyError):
        assume(width, "1 + 1", "", common_practice())  # type: ignore[arg-type]
    assert assume(width, 0.25, "", common_practice()).value == 0.25
