"""The mutants of a file: each one small change, by the operators of cosmic-ray.

Left out are changes that no test could notice, or that Python itself refuses wherever they run;
every kind is named at `LEFT_OUT` with the reason, and found by its place in the tree, not by eye.
"""

from __future__ import annotations

import ast
import difflib
import random
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
LEFT_OUT = {
    "annotation": "never evaluated under `from __future__ import annotations`",
    "type checking": "an import for the type checker only",
    "shown in an error": "a number inside the f-string of a raise is words",
    "strict zip": "a guard that speaks only when two lists of the kit's own differ in length",
    "cache": "a cache, or its size, changes how long an answer takes and not the answer",
    "identity": "`is` and `==` mean the same to None, to enums and to the words compared here",
    "other kind": "numbers do not shift and sets do not divide: refused wherever it runs, so that"
    " killing it says nothing of a test",
    "range": "the end of a quantity's sensible range is a choice and comes from nowhere: one more"
    " or less refuses other givens and changes no answer. One that lets a sign in or out is kept",
    "signature": "a star or stroke that parts parameters is no operator",
}
# An operator is exchanged for these: those of numbers for those of numbers (the whole part and the
# rest are what nobody writes by mistake), those of sets for those of sets.
_NUMBERS, _SETS = ("Add", "Sub", "Mul", "Div", "Pow"), ("BitOr", "BitAnd", "BitXor", "Sub")
FOR = {
    **dict.fromkeys((*_NUMBERS, "FloorDiv", "Mod"), _NUMBERS),
    **dict.fromkeys(("BitOr", "BitAnd", "BitXor"), _SETS),
}
_NUMBER = re.compile(r"[\d.]+(?:e-?\d+)?")
SAME = ({"Eq", "Is"}, {"NotEq", "IsNot"})


@dataclass(frozen=True)
class Mutant:
    """One change: the operator and which of its places in the file, counted from 0."""

    file: str
    operator: str
    occurrence: int
    line: int
    column: int

    @property
    def path(self) -> Path:
        """The file that is changed."""
        return ROOT / self.file

    @property
    def module(self) -> str:
        """The name it is imported by."""
        return self.file.removesuffix(".py").replace("/", ".")

    def source(self) -> str:
        """The whole file, changed."""
        return changed(self.path.read_text("utf-8"), self.operator, self.occurrence)

    def lines(self) -> tuple[str, str]:
        """What stood there and what stands there now, without what is about them."""
        old, new = self.path.read_text("utf-8").splitlines(), self.source().splitlines()
        matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
        parts = [part for part in matcher.get_opcodes() if part[0] != "equal"]
        was = [line.strip() for _, a, b, _, _ in parts for line in old[a:b]]
        now = [line.strip() for _, _, _, a, b in parts for line in new[a:b]]
        return "\n".join(was), "\n".join(now)

    def function(self) -> str:
        """The function or class it lies in, with those about it; empty at the top of a module."""
        found: list[str] = []
        kinds = (ast.FunctionDef, ast.ClassDef)
        for node in ast.walk(tree_of(self.file)):
            if isinstance(node, kinds) and node.lineno <= self.line <= (node.end_lineno or 0):
                found.append(node.name)
        return ".".join(found)


@cache
def tree_of(file: str) -> ast.Module:
    """The tree of a file as it stands."""
    return ast.parse((ROOT / file).read_text("utf-8"))


@cache
def operators() -> dict[str, Any]:
    """cosmic-ray's operators by name; those that ask for arguments of their own are left."""
    from cosmic_ray import plugins

    classes = {name: plugins.get_operator(name) for name in plugins.operator_names()}
    return {name: made() for name, made in sorted(classes.items()) if not made.arguments()}


def changed(source: str, operator: str, occurrence: int) -> str:
    """The source with one change."""
    from cosmic_ray.mutating import mutate_code

    found: str | None = mutate_code(source, operators()[operator], occurrence)
    if found is None:
        raise ValueError(f"{operator} has no place number {occurrence}")
    return found


def mutants_of(file: str) -> Iterator[tuple[Mutant, str]]:
    """Every mutant of a file, and the kind for which it is left out, or ""."""
    from cosmic_ray.ast import ast_nodes, get_ast

    source = (ROOT / file).read_text("utf-8")
    nodes = list(ast_nodes(get_ast(source)))
    by_place = Quiet(source)
    for name, operator in operators().items():
        kind = exchange(name)
        places = ((node, start) for node in nodes for start, _ in operator.mutation_positions(node))
        for occurrence, (node, (line, column)) in enumerate(places):
            mutant = Mutant(file, name, occurrence, line, column)
            yield mutant, kind or by_place.kind(mutant) or about(node)


def exchange(operator: str) -> str:
    """For which kind an exchange of one operator for another is left out everywhere."""
    name, *pair = operator.split("/")[-1].split("_")
    if name == "ReplaceComparisonOperator" and set(pair) in SAME:
        return "identity"
    if name == "ReplaceBinaryOperator":
        return "" if pair[1] in FOR.get(pair[0], ()) else "other kind"
    return ""


def about(node: Any) -> str:
    """What parso's tree says of a place: Python's own has no places inside an f-string."""
    above = [node]
    while above[-1].parent is not None:
        above.append(above[-1].parent)
    kinds = {item.type for item in above}
    if {"fstring", "raise_stmt"} <= kinds:
        return "shown in an error"
    if node.type == "operator" and kinds & {"param", "parameters"} and _parts(node):
        return "signature"
    return ""


def _parts(node: Any) -> bool:
    """Whether an operator stands by itself among parameters and not in what one defaults to."""
    return node.parent.type == "parameters" or node.parent.children[0] is node


class Quiet:
    """The stretches of a file where no change can be noticed."""

    def __init__(self, source: str) -> None:
        self._lines = source.splitlines()
        self._spans = [
            (kind, self._place(node.lineno, node.col_offset),
             self._place(node.end_lineno, node.end_col_offset))
            for kind, node in _quiet(ast.parse(source))
        ]  # fmt: skip

    def _place(self, line: int, octets: int) -> tuple[int, int]:
        """Python counts a line's octets, cosmic-ray its letters."""
        return line, len(self._lines[line - 1].encode()[:octets].decode())

    def kind(self, mutant: Mutant) -> str:
        """The kind of stretch it lies in, or ""."""
        # A decorator's node begins after the @, at which cosmic-ray takes it off.
        off = mutant.operator.endswith("RemoveDecorator")
        place = (mutant.line, mutant.column + off)
        kinds = (kind for kind, a, b in self._spans if a <= place < b)
        return next((kind for kind in kinds if kind != "range" or self._stays(mutant)), "")

    def _stays(self, mutant: Mutant) -> bool:
        """Whether the end of a range is moved by one and stays on its side of nothing."""
        if mutant.operator.endswith("USub_Invert"):  # ~90 is one less than -90
            return True
        if not mutant.operator.endswith("NumberReplacer"):
            return False
        number = float(_NUMBER.match(self._lines[mutant.line - 1], mutant.column)[0])
        one_more = mutant.occurrence % 2 == 0  # cosmic-ray has one more before one less
        return number > 0 if one_more else number > 1


def _quiet(tree: ast.Module) -> Iterator[tuple[str, Any]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Quantity":
            yield from (("range", end) for end in _ends(node))
        if isinstance(node, (ast.arg, ast.AnnAssign)) and node.annotation is not None:
            yield "annotation", node.annotation
        if isinstance(node, ast.FunctionDef):
            yield from (("cache", d) for d in node.decorator_list if _is_cache(d))
            if node.returns is not None:
                yield "annotation", node.returns
        if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING":
            yield "type checking", node
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "zip":
            yield from (("strict zip", word.value) for word in node.keywords)


def _ends(call: ast.Call) -> list[ast.expr]:
    """The ends of a quantity's range."""
    return [*call.args[4:6], *(word.value for word in call.keywords if word.arg in ("low", "high"))]


def _is_cache(decorator: ast.expr) -> bool:
    called = decorator.func if isinstance(decorator, ast.Call) else decorator
    return getattr(called, "id", "") in ("cache", "lru_cache")


# -- drawing --------------------------------------------------------------------------------------


def files_of(package: str) -> list[str]:
    """The files of `engine` or of `relations`."""
    found = sorted((ROOT / "tablekit" / package).glob("*.py"))
    return [str(path.relative_to(ROOT)) for path in found]


def population(files: Iterable[str]) -> tuple[list[Mutant], Counter[str]]:
    """All mutants of some files but those left out, and how many were left out by kind."""
    kept, left = [], Counter[str]()
    for file in files:
        for mutant, kind in mutants_of(file):
            if kind:
                left[kind] += 1
            else:
                kept.append(mutant)
    return kept, left


def drawn(every: list[Mutant], count: int | None, seed: int) -> list[Mutant]:
    """`count` of them, or all, the same for the same seed; what is no Python or no change is passed
    over and another drawn."""
    order = random.Random(seed).sample(every, len(every))
    found: list[Mutant] = []
    for mutant in order:
        if count is not None and len(found) == count:
            break
        if is_a_change(mutant):
            found.append(mutant)
    return found


def is_a_change(mutant: Mutant) -> bool:
    """Whether it can be compiled, and into another program than before."""
    try:
        after = ast.parse(mutant.source())
    except (SyntaxError, ValueError):
        return False
    return ast.dump(after) != ast.dump(tree_of(mutant.file))
