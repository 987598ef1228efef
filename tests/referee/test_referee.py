"""The referee itself: what it knows of small networks by hand, and that it notices an engine that
says what is not true."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import sympy as sp

from tablekit.engine.quantity import Quantity
from tablekit.engine.relation import Limit
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import Contradiction, NotEnoughGiven, Release
from tests.engine.small_networks import guess, network, quantities, relation
from tests.referee import cases
from tests.referee.cases import Altered, Design, Swapped
from tests.referee.judging import Judge, Verdicts
from tests.referee.referee import Referee
from tests.referee.subjects import SMALL, Subject, a_lens, divider, lens
from tests.slow import engine_truth

# An object twice the focal length away is imaged as far away and as large (Hecht, from memory).
TWICE = {
    "focal_length": 50.0, "object_distance": 100.0, "image_distance": 100.0,
    "whole_distance": 200.0, "magnification": 1.0, "object_height": 10.0, "image_height": 10.0,
}  # fmt: skip
# 1/30 + 1/60 = 1/20
THIRTY = {
    "focal_length": 20.0, "object_distance": 30.0, "image_distance": 60.0,
    "whole_distance": 90.0, "magnification": 2.0, "object_height": 5.0, "image_height": 10.0,
}  # fmt: skip


@pytest.fixture(scope="module")
def of_lenses() -> Referee:
    return Referee(lens())


def only(values: dict[str, float], *names: str) -> dict[str, float]:
    return {name: values[name] for name in names}


# -- whether it is a design -----------------------------------------------------------------------


def test_a_design_has_no_violations(of_lenses: Referee) -> None:
    for values in (TWICE, THIRTY):
        assert of_lenses.violations(values, only(values, "focal_length")) == []
        assert max(of_lenses.residuals(values).values()) < 1e-15


def test_a_billionth_too_much_is_noticed(of_lenses: Referee) -> None:
    off = {**THIRTY, "image_distance": 60 * (1 + 1e-8)}
    told = of_lenses.violations(off, {})
    assert [text.split(":")[0] for text in told] == ["lens", "from object to image", "enlargement"]


def test_what_else_is_wrong_is_told(of_lenses: Referee) -> None:
    (told,) = of_lenses.violations(THIRTY, {"focal_length": 20.1})
    assert told == "focal_length is 20.0, not 20.1 as given"
    (told,) = of_lenses.violations({**THIRTY, "magnification": None}, {})
    assert told == "magnification has no value"
    (told,) = of_lenses.violations({**TWICE, "object_height": 0.05, "image_height": 0.05}, {})
    assert told == "object_height is 0.05, outside 0.1 to 5000 mm"


def limited(otherwise: str) -> Referee:
    """b = a² while a is at most five; c = 2a."""
    a, b, c = quantities("a b c")
    limit = Limit(5 - a.symbol, "a is at most five", otherwise)  # type: ignore[arg-type]
    return Referee(
        network(
            [a, b, c],
            [
                relation("square", b.symbol, a.symbol**2, [limit]),
                relation("twice", c.symbol, 2 * a.symbol),
            ],
        )
    )


def test_outside_a_limit_only_what_it_leaves_out_may_be_missing() -> None:
    inside, outside = {"a": 5.0, "b": 25.0, "c": 10.0}, {"a": 6.0, "b": 36.0, "c": 12.0}
    for otherwise in ("refuse", "leave out"):
        referee = limited(otherwise)
        assert referee.violations(inside, {}) == []
        assert referee.violations(outside, {}) == ["square: outside a limit by 1.0e+00"]
        assert referee.violations({**inside, "b": None}, {}) == ["b has no value"]
    assert limited("leave out").violations({**outside, "b": None}, {}) == []
    assert limited("refuse").violations({**outside, "b": None}, {}) != []


# -- what settles it ------------------------------------------------------------------------------


def test_a_lens_has_three_freedoms_and_two_assumptions(of_lenses: Referee) -> None:
    tangent = of_lenses.tangent(THIRTY)
    assert tangent.basis.shape[1] == 7 - 4
    nothing = tangent.settle([])
    assert (nothing.open, set(nothing.assumed)) == (1, {"object_height", "focal_length"})
    assert nothing.free == {*THIRTY} - {"object_height", "focal_length"}
    settled = tangent.settle(["magnification"])
    assert (settled.open, settled.free) == (0, frozenset())
    # Focal length and both distances: the third follows, and the height is assumed.
    follows = tangent.settle(["focal_length", "object_distance", "image_distance"])
    assert (follows.open, follows.assumed) == (0, ("object_height",))
    tied = ["focal_length", "object_distance", "image_distance"]
    assert tangent.circuit([*tied, "image_height"]) == tied


def test_with_the_lens_midway_two_distances_hardly_settle_anything(of_lenses: Referee) -> None:
    """Four focal lengths are the least distance from object to image: a double root."""
    settled = of_lenses.tangent(TWICE).settle(["focal_length", "whole_distance", "object_height"])
    assert settled.open == 1 and settled.free >= {"object_distance", "image_distance"}


def test_an_assumption_is_not_turned_round() -> None:
    a, b, c = quantities("a b c")
    made = network(
        [a, b, c], [relation("sum", c.symbol, a.symbol + b.symbol)], [guess(b, a.symbol / 2)]
    )
    tangent = Referee(made).tangent({"a": 2.0, "b": 1.0, "c": 3.0})
    assert tangent.settle(["a"]).open == 0
    assert tangent.settle(["c"]).open == 0
    given_itself = tangent.settle(["b"])
    assert given_itself.open == 1 and given_itself.free == {"a", "c"}


# -- whether there is one -------------------------------------------------------------------------


def test_it_finds_what_is_there_and_no_more(of_lenses: Referee) -> None:
    found = of_lenses.design_exists({"focal_length": 50, "whole_distance": 225}, near=[THIRTY])
    assert found.design is not None and of_lenses.violations(found.design, {}) == []
    # a + b = 225 and 1/a + 1/b = 1/50: a and b are 75 and 150
    distances = sorted(found.design[n] or 0 for n in ("object_distance", "image_distance"))
    assert distances == pytest.approx([75, 150])
    # Nearer than four focal lengths there is no real image.
    none = of_lenses.design_exists(
        {"focal_length": 50, "whole_distance": 199}, near=[THIRTY, TWICE]
    )
    assert not none and none.closest > 1e-6 and none.starts == 5


def test_ranges_and_limits_count() -> None:
    refuse, leave_out = limited("refuse"), limited("leave out")
    assert refuse.design_exists({"c": 9.0}) and not refuse.design_exists({"c": 11.0})
    found = leave_out.design_exists({"c": 11.0})
    assert found.design == {"a": pytest.approx(5.5), "b": None, "c": 11.0}
    assert not leave_out.design_exists({"c": 11.0, "b": 30.25})
    none = refuse.design_exists({"b": 25.0, "c": 12.0})
    assert not none and none.closest > 1e-6
    assert not refuse.design_exists({"c": 2000.0})  # a would be 1000, b a million


def test_assumptions_are_held_only_when_asked(of_lenses: Referee) -> None:
    givens = only(THIRTY, "object_distance", "image_distance")
    assert of_lenses.design_exists(givens, held=["object_height"])
    assert not of_lenses.design_exists(givens, held=["focal_length"])


def test_what_is_rounded_down_may_be_anything_in_between() -> None:
    a, b = quantities("a b", 0, 100)
    count = Quantity("n", "n", "1", "an invented count", 0, 100, whole=True)
    made = network(
        [a, b, count],
        [
            relation("whole", count.symbol, sp.floor(a.symbol)),
            relation("twice", b.symbol, 2 * a.symbol),
        ],
    )
    referee = Referee(made)
    assert referee.violations({"a": 3.7, "b": 7.4, "n": 3.0}, {}) == []
    assert len(referee.violations({"a": 3.7, "b": 7.4, "n": 4.0}, {})) == 1
    start = {"a": 50.2, "b": 100.4, "n": 50.0}
    found = referee.design_exists({"n": 7.0}, near=[start]).design
    assert found is not None and 7 <= (found["a"] or 0) < 8
    assert referee.design_exists({"n": 7.0, "b": 15.5}, near=[start])
    assert not referee.design_exists({"n": 7.0, "b": 16.5}, near=[start])
    assert referee.tangent(start).settle(["n"]).open == 1  # a count settles nothing


def test_a_count_stays_whole() -> None:
    length, piece = quantities("length piece", 1, 100)
    count = Quantity("n", "n", "1", "an invented count", 1, 20, whole=True)
    made = network(
        [length, piece, count], [relation("pieces", length.symbol, count.symbol * piece.symbol)]
    )
    referee = Referee(made)
    start = {"length": 30.0, "piece": 10.0, "n": 3.0}
    assert referee.design_exists({"length": 40.0}, near=[start]).design == {
        "length": 40.0, "piece": pytest.approx(40 / 3), "n": 3.0,
    }  # fmt: skip
    assert referee.fractional({**start, "n": 2.5}) == ["n"]


# -- an engine that says what is not true ---------------------------------------------------------

DESIGN = Design(only(THIRTY, "focal_length", "object_distance", "object_height"), dict(THIRTY))
CASE = Swapped(
    only(THIRTY, "focal_length", "whole_distance", "object_height"),
    "settled", 1, False, (), frozenset(), 1.0,
)  # fmt: skip
OPEN = replace(
    CASE, givens=only(THIRTY, "focal_length", "object_height"), kind="open",
    free=frozenset({*THIRTY} - {"focal_length", "object_height"}),
)  # fmt: skip
CLASH = Altered({**only(THIRTY, "focal_length", "image_distance"), "object_distance": 33.0},
                ("object_distance",), True)  # fmt: skip


def judge(monkeypatch: pytest.MonkeyPatch, said: object = None) -> Judge:
    """A judge of lenses whose engine raises or returns what it is told to, or else is the kit's."""
    referee = Referee(lens())
    if said is not None:

        def solve(*_: object, **__: object) -> object:
            if isinstance(said, Exception):
                raise said
            return said

        monkeypatch.setattr(referee.network, "solve", solve)
    return Judge("thin lens", "other subjects", referee, [Design({}, dict(TWICE))])


def kinds(verdicts: Verdicts) -> list[str]:
    return [failure["kind"] for failure in verdicts.failures]


def answered(values: dict[str, float]) -> Sheet:
    """A sheet with these values, and no alternatives."""
    sheet = lens().solve(only(THIRTY, "focal_length", "object_distance", "object_height"))
    sheet.values = {n: replace(v, number=values[n]) for n, v in sheet.values.items()}  # type: ignore[misc]
    sheet.alternatives = {}  # type: ignore[misc]
    return sheet


def test_the_true_design_or_one_that_is_listed_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    verdicts = judge(monkeypatch).swapped(CASE, DESIGN)
    (outcome,) = (column for _, _, column in verdicts.counts)
    assert outcome in ("true", "listed") and verdicts.failures == []


@pytest.mark.parametrize(
    ("case", "said", "kind"),
    [
        (CASE, answered({**THIRTY, "magnification": 2.1}), "settled: not exact"),
        # 45 and 36 from the same focal length are a design, but of other givens.
        (CASE, answered({**TWICE}), "settled: not exact"),
        (CASE, answered({**THIRTY, "object_distance": 60.0, "image_distance": 30.0,
                         "magnification": 0.5, "image_height": 2.5}), "settled: another"),
        (CASE, NotEnoughGiven(""), "settled: too little"),
        (CASE, Contradiction(""), "settled: refused"),
        (CASE, ZeroDivisionError(), "settled: fault"),
        (OPEN, answered(THIRTY), "open: true"),
        (OPEN, Contradiction(""), "open: refused"),
    ],
)  # fmt: skip
def test_a_false_answer_is_noticed(
    monkeypatch: pytest.MonkeyPatch, case: Swapped, said: object, kind: str
) -> None:
    assert kinds(judge(monkeypatch, said).swapped(case, DESIGN)) == [kind]


def test_a_refusal_may_be_due_to_what_is_assumed(monkeypatch: pytest.MonkeyPatch) -> None:
    """With 50 mm assumed there is no image 60 mm behind a lens 30 mm from its object."""
    givens = only(THIRTY, "object_distance", "image_height")
    case = replace(CASE, givens=givens, kind="settled otherwise", assumed=("focal_length",))
    verdicts = judge(monkeypatch, Contradiction("")).swapped(case, DESIGN)
    assert [column for _, _, column in verdicts.counts] == ["refused, as assumed"]


def test_what_is_said_of_too_little_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    true = NotEnoughGiven("", free=tuple(OPEN.free), settling=[("magnification",)])
    asked = judge(monkeypatch)
    solve = asked.network.solve

    def first(said: Exception) -> None:
        def once(givens: dict[str, float], *, why: bool = True) -> Sheet:
            if givens == OPEN.givens:
                raise said
            return solve(givens, why=why)

        monkeypatch.setattr(asked.network, "solve", once)

    first(true)
    assert asked.swapped(OPEN, DESIGN).failures == []
    first(NotEnoughGiven("", free=("focal_length", *OPEN.free), settling=[]))
    assert kinds(asked.swapped(OPEN, DESIGN)) == [
        "settled, said to be free", "nothing offered to settle it"
    ]  # fmt: skip
    first(NotEnoughGiven("", free=["magnification"], settling=[("object_height",)]))
    assert kinds(asked.swapped(OPEN, DESIGN)) == ["free, unsaid", "offer: too little"]


def test_a_true_refusal_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    verdicts = judge(monkeypatch).altered(CLASH, DESIGN)
    assert verdicts.failures == []
    assert {column for _, _, column in verdicts.counts} == {"refused", "none found", "mends all"}


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        (answered(THIRTY), "clash: not exact"),
        (NotEnoughGiven(""), "clash: too little"),
        (ValueError(), "clash: fault"),
        (Contradiction(""), "clash: none named"),
        (Contradiction("", clashes=[("focal_length", "image_distance")]), "clash: can hold"),
        (Contradiction("", clashes=[tuple(CLASH.givens)],
                       releases=[Release("focal_length", 20.0, "mm")]), "release: unchanged"),
        (Contradiction("", clashes=[tuple(CLASH.givens)],
                       releases=[Release("focal_length", 25.0, "mm")]), "release: does not mend"),
    ],
)  # fmt: skip
def test_a_false_refusal_is_noticed(
    monkeypatch: pytest.MonkeyPatch, said: object, kind: str
) -> None:
    assert kinds(judge(monkeypatch, said).altered(CLASH, DESIGN)) == [kind]


def test_only_an_answer_or_a_trouble_may_come(monkeypatch: pytest.MonkeyPatch) -> None:
    assert kinds(judge(monkeypatch, RecursionError()).anything({"focal_length": 50.0})) == [
        "anything: fault"
    ]
    assert kinds(judge(monkeypatch, answered(THIRTY)).anything({"focal_length": 50.0})) == [
        "anything: not exact"
    ]
    assert judge(monkeypatch, Contradiction("")).anything({"focal_length": 50.0}).failures == []


# -- the cases ------------------------------------------------------------------------------------


@pytest.mark.parametrize("subject", SMALL, ids=lambda s: s.name)
def test_what_is_worked_out_by_hand_is_what_is_declared(subject: Subject) -> None:
    referee = Referee(subject.network)
    for seed in range(10):
        givens, values = subject.draw(np.random.default_rng(seed))
        assert values is not None and referee.violations(values, givens) == []


@pytest.mark.parametrize("kind", ["settled", "open"])
def test_cases_are_of_the_kind_that_was_asked_for(kind: cases.Kind) -> None:
    referee = Referee(divider())
    givens = {"source": 5.0, "upper": 300.0, "lower": 200.0}
    # 5 V over 500 Ω is 10 mA: 2 V at the tap, 50 mW in all, 30 mW above
    values = {**givens, "current": 0.01, "tapped": 2.0, "share": 0.4, "heat": 0.05,
              "heat_above": 0.03}  # fmt: skip
    tangent, random = referee.tangent(values), np.random.default_rng(3)
    case = cases.swapped(referee, tangent, Design(givens, dict(values)), random, 2, kind)
    assert case is not None and len({*case.givens} - {*givens}) == 2
    assert case.givens == {name: values[name] for name in case.givens}
    # Of the three only the ratio of voltages is new: as much current may flow as you like.
    assert tangent.settle(["source", "share", "tapped"]).open == 1
    assert (tangent.settle(list(case.givens)).open == 0) == (kind == "settled")


def test_a_clash_is_a_design_changed_by_one_to_thirty_in_a_hundred(of_lenses: Referee) -> None:
    found = 0
    for seed in range(12):
        random = np.random.default_rng(seed)
        givens, values = a_lens(random)
        design = Design(givens, dict(values))
        case = cases.altered(of_lenses, of_lenses.tangent(values), design, [], random)
        if case is not None:
            found += 1
            shares = {n: abs(v / values[n] - 1) for n, v in case.givens.items()}
            assert {n for n, share in shares.items() if share > 0} == {*case.altered}
            assert all(0.005 < shares[n] <= 0.3 + 1e-9 for n in case.altered)
    assert found >= 6


@pytest.mark.slow
def test_the_same_seed_asks_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--subject", "divider", "--designs", "2", "--sets", "5", "--processes", "1"]

    def said() -> list[str]:
        engine_truth.main([*words, "--seed", "5"])
        return capsys.readouterr().out.split("\nSeconds")[0].splitlines()

    first = said()
    assert said() == first and any(line.startswith("Swaps") for line in first)
