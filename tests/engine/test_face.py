"""The engine's public face: what it hands out, how quickly, and that no subject shows through."""

from __future__ import annotations

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import tablekit.engine as engine
from tablekit.engine import Network, Wording, change, sweep
from tablekit.engine.network import Network as AtHome
from tests.engine.small_networks import quantity, relation
from tests.together import each

FOLDER = Path(engine.__file__).parent


def test_every_name_is_handed_out_and_is_that_of_its_module() -> None:
    for name in engine.__all__:
        thing = getattr(engine, name)
        home = thing.__module__
        assert home.startswith("tablekit.engine.")
        assert getattr(importlib.import_module(home), name) is thing
    assert Network is AtHome
    with pytest.raises(AttributeError, match=r"'tablekit\.engine' has no attribute 'chair'"):
        engine.chair  # noqa: B018


def test_every_error_is_handed_out() -> None:
    from tablekit.engine import trouble

    errors = {
        n for n, e in vars(trouble).items() if isinstance(e, type) and issubclass(e, Exception)
    }
    assert errors <= set(engine.__all__)


def test_no_name_is_hidden_by_a_module_of_the_same_name() -> None:
    modules = {path.stem for path in FOLDER.glob("*.py")}
    assert not modules & set(engine.__all__)


def ran(script: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True,
        cwd=FOLDER.parents[1],
    )  # fmt: skip
    return done.stdout.split()


def test_the_face_loads_nothing_that_it_is_not_asked_for() -> None:
    loaded = "print(*[m for m in {} if m in sys.modules])"
    slow = ["sympy", "numpy", "scipy", "matplotlib", "pint", "networkx"]
    assert ran(f"import sys, tablekit, tablekit.engine; {loaded.format(slow)}") == []
    everything = "import sys; from tablekit.engine import *; "
    assert ran(everything + loaded.format(slow[2:])) == []
    assert ran(everything + loaded.format(slow[:2])) == slow[:2]  # and the script sees them


# -- wording --------------------------------------------------------------------------------------


def triangle(wording: Wording | None = None) -> Network:
    a, b, c = quantity("a"), quantity("b"), quantity("c")
    both = [relation("sum", c.symbol, a.symbol + b.symbol)]
    return Network("triangle", [a, b, c], both, wording=wording)


def test_messages_say_design_where_nobody_says_otherwise() -> None:
    of = triangle()
    with pytest.raises(engine.UnknownName, match=r"^height is not a quantity of this design$"):
        of.solve({"height": 1.0})
    sheet = of.solve({"a": 1.0, "b": 2.0})
    assert "\n  Rounded: 3.\n" in sheet.working("c").text()
    answer = change(sheet, "c", "a", 999.0)
    assert "there is no such design: c would be above 1000" in answer.text()


def test_an_application_hands_its_own_words_in() -> None:
    of = triangle(Wording(thing="bridge", rounded="On the drawing"))
    with pytest.raises(engine.UnknownName, match=r"^height is not a quantity of this bridge$"):
        of.quantity("height")
    sheet = of.solve({"a": 1.0, "b": 2.0})
    assert "On the drawing: 3." in sheet.working("c").text()
    assert "no such bridge" in change(sheet, "c", "a", 999.0).text()
    assert sweep(of, {"a": [1.0, 2.0], "b": 1.0})["c"].tolist() == [2.0, 3.0]


# Words that no subject but this kit's has. "piece" and "board" are words of typesetting here.
TRADE = re.compile(
    r"furniture|maker|\bwood|timber|\bshop\b(?!\.py|=)|workshop|\bglue|\bsaw\b|\bstool|\bposts?\b",
    re.IGNORECASE,
)
# Names that the application reads by: to be changed with it, not here.
NAMES = re.compile(
    r"shop=shop\b|ShopStyle|shop_style|shop_text|shop_round|engine\.shop|\.shop\(|self\.shop\b"
    r"|def shop|shop[:=]"
    r"|shop is None|else shop\b|\"shop\""
    r"|shop or ShopStyle\(\)"
)


@each("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.name)
def test_the_engine_speaks_of_no_trade(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    found = [line for line in lines if TRADE.search(NAMES.sub("", line))]
    assert found == []
