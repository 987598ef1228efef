"""Every relation and assumption of `tablekit/relations`, found by walking its modules."""

from __future__ import annotations

import ast
import inspect
import pkgutil
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from itertools import product
from pathlib import Path
from types import ModuleType
from typing import Any

import tablekit.relations
from tablekit.engine.quantity import Constant, Quantity
from tablekit.engine.relation import Assumption, Relation, Requirement
from tablekit.relations import bases, families, kinds, quantities

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "tablekit" / "relations"
# What the functions that make relations may be called with: (parameter, its type) to values.
CALLED_WITH: dict[tuple[str, str], tuple[Any, ...]] = {
    ("way", "int"): tuple(bases.WAYS_UP.values()),
    ("kind", "str"): tuple(kinds.KINDS),
    ("notches", "int"): tuple(bases.CROSSINGS.values()),
    ("legs", "int"): (0, 3, 4),
    ("legs_count", "int"): (0, 3, 4),
    ("count", "int"): (3, 4),
    ("joined", "str"): tuple(bases.STRETCHERS),
    ("crossed", "bool"): (False, True),
    ("held", "bool"): (False, True),
    ("feet", "int"): (3, 4),
    ("whole", "Quantity"): (quantities.table_height, quantities.seat_height),
}
_MAKES = re.compile(r"tuple\[Relation, .*\]|Relation")
Net = tuple[str, ...]


@dataclass
class Declared:
    """A relation or assumption, the modules it was met in and the networks that hold it."""

    relation: Relation
    modules: set[str] = field(default_factory=set)
    networks: set[Net] = field(default_factory=set)
    file: str = ""

    @property
    def what(self) -> str:
        """ "assumption" or "relation"."""
        return "assumption" if isinstance(self.relation, Assumption) else "relation"


Key = tuple[str, Any]


def key(relation: Relation) -> Key:
    """What makes two declarations the same statement."""
    return relation.name, relation.equation


@cache
def modules() -> tuple[ModuleType, ...]:
    """The modules of `tablekit/relations`."""
    names = sorted(m.name for m in pkgutil.iter_modules(tablekit.relations.__path__))
    return tuple(import_module(f"tablekit.relations.{name}") for name in names)


@cache
def networks() -> dict[Net, Any]:
    """Every network of a whole piece, one of each hand left out, since they have the same."""
    crossed = product(kinds.KINDS, bases.CROSSINGS, bases.WAYS_UP)
    found = {of: families.network(*of) for of in crossed}
    for kind, legs in product(kinds.KINDS, bases.LEGS):
        found[kind, legs] = families.network(kind, style=bases.SplayedLegs.style, legs=legs)
        for word, counts in bases.STRETCHERS.items():
            if word != "none" and bases.LEGS[legs] in counts:
                found[kind, legs, word] = families.network(
                    kind, style=bases.SplayedLegs.style, legs=legs, stretchers=word
                )
    return found


def _inside(value: Any, kind: type) -> Iterator[Any]:
    """The objects of a kind in a value: itself, or what a tuple, list or dict holds."""
    if isinstance(value, kind):
        yield value
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from _inside(item, kind)
    elif isinstance(value, dict):
        yield from _inside(list(value.values()), kind)


def _made(function: Callable[..., Any]) -> Iterator[Relation]:
    """What a function that makes relations gives for everything it may be called with."""
    signature = inspect.signature(function)
    if not _MAKES.fullmatch(str(signature.return_annotation)):
        return
    asked = [(p.name, str(p.annotation)) for p in signature.parameters.values()
             if p.default is p.empty or (p.name, str(p.annotation)) in CALLED_WITH]  # fmt: skip
    if all(each in CALLED_WITH for each in asked):
        for values in product(*(CALLED_WITH[each] for each in asked)):
            names = [name for name, _ in asked]
            yield from _inside(function(**dict(zip(names, values, strict=True))), Relation)


def _of_module(module: ModuleType) -> Iterator[Relation]:
    for name, value in vars(module).items():
        yield from _inside(value, Relation)
        own = inspect.isfunction(value) and value.__module__ == module.__name__
        if own and not name.startswith("_"):
            yield from _made(value)


@cache
def declared() -> tuple[Declared, ...]:
    """Every relation and assumption, by file and name."""
    found: dict[Key, Declared] = {}
    for module in modules():
        for relation in _of_module(module):
            entry = found.setdefault(key(relation), Declared(relation))
            entry.modules.add(module.__name__.rpartition(".")[2])
    for of, network in networks().items():
        for relation in (*network.relations, *network.assumptions):
            found.setdefault(key(relation), Declared(relation)).networks.add(of)
    for entry in found.values():
        entry.file = file_of(entry)
    return tuple(sorted(found.values(), key=lambda e: (e.file, e.relation.name, of_what(e))))


@cache
def requirements() -> tuple[Requirement, ...]:
    """Every requirement, once."""
    found = {r.name: r for n in networks().values() for r in n.requirements}
    for module in modules():
        for value in vars(module).values():
            for requirement in _inside(value, Requirement):
                found.setdefault(requirement.name, requirement)
    return tuple(sorted(found.values(), key=lambda r: r.name))


@cache
def known() -> dict[str, Quantity | Constant]:
    """Every quantity and constant of the relations, by name."""
    found: dict[str, Quantity | Constant] = {}
    for module in modules():
        for value in vars(module).values():
            for kind in (Quantity, Constant):
                found |= {item.name: item for item in _inside(value, kind)}
    for network in networks().values():
        found |= network.quantities | network.constants
    return found


# -- where a relation is written -----------------------------------------------------------------


def _pattern(node: ast.expr) -> str | None:
    """A regular expression for the texts that a name in the source may come out as."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return re.escape(node.value)
    if isinstance(node, ast.JoinedStr):
        parts = (re.escape(v.value) if isinstance(v, ast.Constant) else ".+" for v in node.values)
        return "".join(map(str, parts))
    return None


@cache
def _written() -> dict[str, re.Pattern[str]]:
    """Files of `tablekit/relations` to a pattern of all the texts in them."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(FOLDER.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            text = _pattern(node) if isinstance(node, (ast.Constant, ast.JoinedStr)) else None
            if text:
                found[path.stem].append(text)
    return {stem: re.compile("|".join(texts)) for stem, texts in found.items()}


def file_of(entry: Declared) -> str:
    """The file that declares it: of those that hold its name, the one it is met in first."""
    name = entry.relation.name.removeprefix("assumed ")
    gathered = {"crossed_family", "splayed_family", "top_work", "standing"}
    written = [stem for stem, texts in _written().items() if texts.fullmatch(name)]
    both = [stem for stem in written if stem in entry.modules]
    if isinstance(entry.relation, Assumption):
        # Its name is that of its quantity, so only the module it stands in can tell.
        both = sorted(entry.modules - gathered) or both
    chosen = (both or written or sorted(entry.modules - gathered) or sorted(entry.modules))[0]
    return f"tablekit/relations/{chosen}.py"


# -- which pieces it is of ------------------------------------------------------------------------


def of_what(entry: Declared) -> str:
    """The pieces whose networks hold it, in words; nothing where it is a planner's own."""
    every = set(networks())
    if not entry.networks:
        return "tops with a shaped edge" if "edges" in entry.modules else "planners"
    if entry.networks == every:
        return "every piece"
    parts = []
    for words, size in (("crossed posts", 3), ("splayed legs", 2)):
        of = {n for n in entry.networks if len(n) == size}
        if of:
            parts.append(_among(words, of, {n for n in every if len(n) == size}))
    return "; ".join(parts)


def _among(words: str, of: set[Net], every: set[Net]) -> str:
    told = [words]
    for place in range(len(next(iter(every)))):
        have = sorted({n[place] for n in of})
        if len(have) < len({n[place] for n in every}):
            told.append(" or ".join(have))
    return ", ".join(told)
