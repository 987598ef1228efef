"""Plans written out as JavaScript: what Chromium finds with them, against sheets and by hand."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
import pytest
import sympy as sp
from sympy.core.function import AppliedUndef

import tablekit.engine as tk
from tablekit.engine.codegen import Unwritable
from tablekit.engine.program import Program
from tablekit.engine.written_js import JsPlan, script_of, text_of
from tablekit.planning.as_cut import sheet_of
from tablekit.relations import posts_as_cut as cut
from tests.browser.chromium import needs_chromium
from tests.engine.small_networks import network, quantities, relation
from tests.engine.test_written import SIGNS, X, Y, Z
from tests.planning.test_as_cut import designs, off

if TYPE_CHECKING:
    from playwright.sync_api import Page

needs_chromium()

Numbers = dict[str, float]


@pytest.fixture(scope="module")
def page(browser) -> Iterator[Page]:
    page = browser.new_page()
    yield page
    page.close()


def run(page: Page, script: JsPlan, every: Sequence[Numbers]) -> list[Numbers]:
    """What the function finds for each set of numbers; null comes back as nan."""
    name = script.text.split("(")[0].removeprefix("function ")
    # As JSON, in which a number keeps every figure and there is no nan.
    found = page.evaluate(
        f"text => {{ {script.text} return JSON.stringify(JSON.parse(text).map({name})); }}",
        json.dumps(list(every)),
    )
    return [{n: math.nan if v is None else v for n, v in one.items()} for one in json.loads(found)]


def program(relations: Sequence[tk.Relation], names: str, *givens: str) -> Program:
    """The program of a network of those relations; quantities run from 0.001 to 1000."""
    return network(quantities(names), relations).plan(givens).program


# -- signs, choices, limits -----------------------------------------------------------------------


def test_brackets_and_signs(page: Page) -> None:
    # values by mental arithmetic, in the tests of the Python printer
    plain = [
        (form, value) for form, value in SIGNS
        if form.free_symbols <= {X, Y, Z} and not form.atoms(AppliedUndef)
    ]  # fmt: skip
    assert len(plain) > 30
    of = program([relation("sum", sp.Symbol("x", real=True), 1)], "x")
    outs = [sp.Symbol(f"out{k}") for k in range(len(plain))]
    pairs = [(out, form) for out, (form, _) in zip(outs, plain, strict=True)]
    names = tuple(out.name for out in outs)
    script = JsPlan(text_of(of, "signs", ("x", "y", "z"), names, pairs), (), names, {})
    (found,) = run(page, script, [{"x": 2.0, "y": 3.0, "z": 5.0}])
    assert [found[n] for n in names] == pytest.approx([v for _, v in plain], rel=1e-15, abs=0)


def test_of_two_roots_the_one_in_range_is_taken_and_what_is_none_is_nan(page: Page) -> None:
    a, b, c = (one.symbol for one in quantities("a b c"))
    of = program([relation("square", b**2, a - 5), relation("ratio", c * (a - 9), 8)], "a b c", "a")
    script = script_of(of, "two", ["b", "c"])
    found = run(page, script, [{"a": 21.0}, {"a": 1.0}, {"a": 9.0}])
    # By hand: 4² = 21 - 5 and 8/(21 - 9) = 2/3; 1 - 5 has no root; 8/0 is no number.
    assert found[0] == pytest.approx({"b": 4, "c": 2 / 3}, rel=1e-15)
    assert math.isnan(found[1]["b"]) and found[1]["c"] == -1
    assert found[2]["b"] == 2 and math.isnan(found[2]["c"])


def test_what_a_limit_leaves_out_is_nan_and_what_it_refuses_is_a_margin(page: Page) -> None:
    a, b, c = (one.symbol for one in quantities("a b c"))
    near, far = tk.Limit(4 - a, "a is small", "leave out"), tk.Limit(6 - a, "a is not large")
    of = program(
        [relation("twice", b, 2 * a, [near]), relation("thrice", c, 3 * a, [far])], "a b c", "a"
    )
    script = script_of(of, "limited", ["b", "c"])
    assert [one.words for one in script.limits.values()] == ["a is not large"]
    (margin,) = script.limits
    found = run(page, script, [{"a": 3.0}, {"a": 5.0}, {"a": 8.0}])
    assert found[0] == {"b": 6, "c": 9, margin: 3}
    assert math.isnan(found[1]["b"]) and found[1][margin] == 1
    assert math.isnan(found[2]["b"]) and found[2][margin] == -2


def test_a_root_that_does_not_fit_its_relation_is_nan(page: Page) -> None:
    # √b = a - 3 squared is b = (a - 3)², which for a = 1 says √4 = -2.
    a, b = (one.symbol for one in quantities("a b"))
    of = program([relation("root", sp.sqrt(b), a - 3)], "a b", "a")
    found = run(page, script_of(of, "root", ["b"]), [{"a": 5.0}, {"a": 1.0}])
    assert found[0] == {"b": 4} and math.isnan(found[1]["b"])


def test_relations_that_are_solved_together_are_not_written() -> None:
    a, b, c = (one.symbol for one in quantities("a b c"))
    of = program(
        [relation("one", a + sp.exp(b) + c**5, 9), relation("other", sp.sin(b) * c + b, a)],
        "a b c", "a",
    )  # fmt: skip
    with pytest.raises(Unwritable, match="solved together"):
        script_of(of, "no", ["b"])


# -- the thin lens --------------------------------------------------------------------------------


def test_the_thin_lens(page: Page) -> None:
    f, u, v, m = lens = [
        tk.Quantity("focal_length", "f", "mm", "of the lens", 1, 1e4),
        tk.Quantity("object_distance", "u", "mm", "from the lens to the object", 1, 1e6),
        tk.Quantity("image_distance", "v", "mm", "from the lens to the image", 1, 1e6),
        tk.Quantity("magnification", "m", "1", "image size over object size", 1e-6, 1e4),
    ]
    farther = tk.Limit(u - f, "the object is farther off than the focal length")
    of = network(
        lens,
        [relation("thin lens", 1 / f, 1 / u + 1 / v, [farther]), relation("size", m, v / u)],
    )
    program = of.plan(("focal_length", "object_distance")).program
    script = script_of(program, "lens", ["image_distance", "magnification"])
    every = [{"focal_length": f, "object_distance": u}
             for f in (0.05, 0.5) for u in (0.075, 0.6, 0.75, 8.0)]  # fmt: skip
    found = run(page, script, every)
    # 1/500 - 1/750 = 1/1500 (as in DEVELOPERS.md); 1/50 - 1/75 = 1/150
    assert found[6]["image_distance"] == pytest.approx(1.5, rel=1e-12)
    assert found[0]["image_distance"] == pytest.approx(0.15, rel=1e-12)
    (margin,) = script.limits
    assert found[4][margin] == pytest.approx(-0.425)  # 75 mm is nearer than 500 mm
    for given, one in zip(every, found, strict=True):
        if one[margin] > 0:
            sheet = of.solve({name: 1000 * metres for name, metres in given.items()})
            assert 1000 * one["image_distance"] == pytest.approx(
                sheet.number("image_distance"), rel=1e-9
            )
            assert one["magnification"] == pytest.approx(sheet.number("magnification"), rel=1e-9)


# -- posts as cut ---------------------------------------------------------------------------------


def test_a_thousand_sets_of_posts_agree_with_their_sheets(page: Page) -> None:
    # The referee is the sheet, each of whose values was put back into every relation.
    random, sheets = np.random.default_rng(21), designs()[:20]
    names = cut.network().quantities
    of = sheet_of(off(sheets[0], random), "as cut", sheets[0].shop_style).plan.program
    wanted = [name for step in of.steps for name in step.unknowns]
    script = script_of(of, "asCut", wanted)
    asked, expected = [], []
    for number in range(1000):
        sheet = sheets[number % len(sheets)]
        made = sheet_of(off(sheet, random), "as cut", sheet.shop_style)
        asked.append({n: names[n].to_si(made.number(n)) for n in script.inputs})
        expected.append({n: names[n].to_si(made.number(n)) for n in wanted})
    for found, right in zip(run(page, script, asked), expected, strict=True):
        assert {n: found[n] for n in right} == pytest.approx(right, rel=1e-9, abs=1e-15)
        assert all(found[limit] >= -1e-12 for limit in script.limits)
