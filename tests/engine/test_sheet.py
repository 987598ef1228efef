"""The sheet: origins, what is left out, alternatives, verdicts, JSON; and the audit of it all."""

from __future__ import annotations

import json
import math

import pytest
import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import published
from tablekit.engine.relation import Requirement
from tablekit.engine.sheet import Value, judge, tidy
from tablekit.engine.trouble import Contradiction, OutsideLimits, RangeError, UnknownName
from tablekit.engine.units import ShopStyle
from tablekit.relations import bases, families, kinds
from tests.engine.small_networks import INVENTED, guess, network, quantities, quantity, relation

TABLE = {"table_height": 735.0, "top_diameter": 920.0, "post_section": 64.0}
SQUARE = 54.735610317245346
# A top no wider than the feet: its rim lies inside the line through two of them.
SMALL_TOP = {"table_height": 735.0, "top_diameter": 420.0, "post_section": 64.0}


@pytest.fixture(scope="module")
def table() -> Network:
    return families.network("table")


def test_where_each_value_comes_from(table: Network) -> None:
    sheet = table.solve({**TABLE, "plate_gap": 2.0})
    origin = {name: value.origin for name, value in sheet.values.items()}
    assert {n for n, o in origin.items() if o == "given"} == {*TABLE, "plate_gap"}
    assert {n for n, o in origin.items() if o == "assumed"} == {
        a.quantity.name for a in table.assumptions if a.quantity and a.quantity.name != "plate_gap"
    }
    assert origin["post_length"] == "found"
    assert list(sheet.values) == list(table.quantities)


def test_a_given_comes_back_as_typed(table: Network) -> None:
    number = 735.1  # not exact in metres
    assert table.solve({**TABLE, "table_height": number}).number("table_height") == number


def test_lookups(table: Network) -> None:
    sheet = table.solve(TABLE)
    assert sheet["post_length"].si == pytest.approx(sheet.number("post_length") / 1000)
    assert sheet.get("post_length") == sheet.number("post_length")
    assert sheet.get("no_such_thing") is None
    with pytest.raises(UnknownName, match="did you mean post_length"):
        sheet["post_lenght"]
    assert sheet.free == ()
    assert sheet.kind == "table"
    assert sheet.shop("seats") == "4"  # by hand: π·920/610 = 4.74
    assert table.solve(TABLE, name="For the hall").name == "For the hall"


@pytest.mark.parametrize("kind", kinds.KINDS)
@pytest.mark.parametrize("way", bases.WAYS_UP)
def test_every_relation_closes(kind: str, way: str) -> None:
    of = families.network(kind, way_up=way)
    height = of.wishes[0]
    sheet = of.solve({height: 500.0, "top_diameter": 600.0, "post_section": 50.0})
    left_out = {n for n, v in sheet.values.items() if v.number is None}
    audited = {r.name for r in (*of.relations, *sheet.assumptions) if not left_out & {*r.symbols}}
    assert set(sheet.residuals) == audited
    assert max(sheet.residuals.values()) < 1e-12


# -- what has no value ---------------------------------------------------------------------------


def test_no_tipping_load_where_the_rim_lies_inside_the_line_of_the_feet(table: Network) -> None:
    sheet = table.solve(SMALL_TOP)
    assert sheet.number("foot_radius") / 2 > sheet.number("top_diameter") / 2  # so it is inside
    value = sheet["tipping_load"]
    assert value.number is None and math.isnan(value.si)
    assert "no vertical load on the rim can lift a foot" in value.reason
    assert sheet.get("tipping_load") is None
    assert math.isnan(sheet.number("tipping_load"))
    said = "none: there is one only where the rim reaches beyond"
    assert sheet.shop("tipping_load").startswith(said)
    (check,) = (c for c in sheet.checks if c.quantity == "tipping_load")
    assert check.verdict == "pass" and check.value is None
    assert "tipping" not in sheet.residuals


def test_just_outside_and_just_inside_the_line(table: Network) -> None:
    across = table.solve(SMALL_TOP).number("foot_radius")  # the rim lies on the line at this width
    assert table.solve({**SMALL_TOP, "top_diameter": across - 0.01}).get("tipping_load") is None
    just = table.solve({**SMALL_TOP, "top_diameter": across + 0.5})
    # by hand: M g (r_f/2) / 0.25 mm, some hundred thousand newtons
    by_hand = just.number("total_mass") * 9.80665 * just.number("foot_radius") / 2 / 0.25
    assert just.number("tipping_load") == pytest.approx(by_hand, rel=1e-9)


def test_a_tipping_load_cannot_be_given_where_there_is_none(table: Network) -> None:
    sheet = table.solve(SMALL_TOP)
    whole = {n: v.number for n, v in sheet.values.items() if v.origin != "found"}
    assert table.solve(whole).get("tipping_load") is None
    with pytest.raises(OutsideLimits, match="no vertical load on the rim can lift a foot"):
        table.solve({**whole, "tipping_load": 100.0})


# -- several answers -----------------------------------------------------------------------------


def two_ways() -> Network:
    """sin a = b: a lies below or above a right angle; the assumed value tells which is meant."""
    a, b, c = quantity("a", 0, 180, "deg"), quantity("b", 0, 1), quantity("c", 0, 90, "deg")
    return network(
        [a, b, c],
        [relation("sine", sp.sin(a.symbol), b.symbol), relation("half", a.symbol, 2 * c.symbol)],
        [guess(a, 0.5)],
    )


def test_the_other_answer_is_told_and_giving_it_takes_it() -> None:
    of = two_ways()
    sheet = of.solve({"b": 0.5})
    assert sheet.number("a") == pytest.approx(30)
    assert sheet.alternatives == {"a": pytest.approx((30, 150))}
    assert sheet.notes == (
        "a could be 30° or 150°; 30° was taken, the nearest to what would have been assumed. "
        "Give a to choose another.",
    )
    other = of.solve({"b": 0.5, "a": 150.0})
    assert (other.number("a"), other.number("c")) == (150, pytest.approx(75))
    assert other.alternatives == {}
    assert not any("could be" in note for note in other.notes)


def test_what_is_given_further_on_takes_it_too() -> None:
    sheet = two_ways().solve({"b": 0.5, "c": 75.0})
    assert sheet.number("a") == pytest.approx(150)


@pytest.mark.parametrize("first", ["b", "a"])
def test_an_answer_that_fails_further_on_gives_way_to_one_that_does_not(first: str) -> None:
    """a = 30° would put c below its range; a = 150° does not."""
    a, b, c = quantity("a", 0, 180, "deg"), quantity("b", 0, 1), quantity("c", 60, 90, "deg")
    order = [a, b, c] if first == "a" else [b, a, c]
    of = network(
        order,
        [relation("sine", sp.sin(a.symbol), b.symbol), relation("half", a.symbol, 2 * c.symbol)],
        [guess(a, 0.5)],
    )
    sheet = of.solve({"b": 0.5})
    assert sheet.number("c") == pytest.approx(75)
    (note,) = sheet.notes
    assert "150° was taken, since others do not fit the rest" in note
    ((_, known, good),) = of.plan(["b"]).program.chunks({"b": [0.5, 0.6, 0.1]}, ["c"])
    assert good.tolist() == [True, True, True]
    assert math.degrees(known["c"][0]) == pytest.approx(75)


def test_an_obtuse_notch_by_name(table: Network) -> None:
    """64 mm seen at 70 mm wide: 66.1° or 113.9° between posts (by hand: asin(64/70))."""
    sheet = table.solve({**TABLE, "notch_width": 70.0})
    acute = math.degrees(math.asin(64 / 70))
    assert sheet.number("crossing_angle") == pytest.approx(acute)
    obtuse = table.solve({**TABLE, "notch_width": 70.0, "crossing_angle": 180 - acute})
    assert obtuse.number("crossing_angle") == pytest.approx(180 - acute)
    assert obtuse.number("splay") > SQUARE > sheet.number("splay")


# -- givens that mean the square crossing --------------------------------------------------------


@pytest.mark.parametrize(
    "extra",
    [
        {"notch_floor_tilt": 0.0}, {"crossing_angle": 90.0}, {"roll": 45.0}, {"splay": SQUARE},
        {"notch_floor_tilt": 0.0, "crossing_angle": 90.0}, {"notch_width": 64.0},
    ],
    ids=str,
)  # fmt: skip
def test_every_way_of_asking_for_the_square_crossing(
    table: Network, extra: dict[str, float]
) -> None:
    """Where terms vanish together the audit must not take rounding for an error."""
    sheet = table.solve({**TABLE, **extra})
    assert sheet.number("splay") == pytest.approx(SQUARE, abs=1e-6)
    assert sheet.number("post_length") == pytest.approx(1152.601, abs=1e-3)


# -- the audit -----------------------------------------------------------------------------------


def test_a_wrong_hand_given_inverse_does_not_pass() -> None:
    """The search goes on to the right answer; where that is out of range, the value is refused."""
    a, b = quantities("a b")
    wrong = relation("wrong", b.symbol, a.symbol**2, inverse={"a": sp.sqrt(b.symbol) + 1})
    of = network([a, b], [wrong])
    assert of.solve({"a": 3}).number("b") == 9
    assert of.solve({"b": 9}).number("a") == pytest.approx(3)
    of = network([quantity("a", 3.5, 1000.0), b], [wrong])
    with pytest.raises(Contradiction, match="b 9 cannot be answered") as caught:
        of.solve({"b": 9})
    assert caught.value.clashes == (("b",),)


def test_a_root_of_the_wrong_sign_does_not_pass() -> None:
    """√a = b − 5 has no answer for b < 5; squaring it would invent one."""
    a, b = quantities("a b")
    of = network([a, b], [relation("root", sp.sqrt(a.symbol), b.symbol - 5)])
    assert of.solve({"b": 7}).number("a") == pytest.approx(4)
    with pytest.raises(Contradiction, match="'root' has no real answer for a"):
        of.solve({"b": 3})
    ((_, known, good),) = of.plan(["b"]).program.chunks({"b": [7.0, 3.0]}, ["a"])
    assert good.tolist() == [True, False]
    assert math.isnan(known["a"][1])


def test_a_relation_that_cannot_be_put_back_does_not_pass() -> None:
    a, b = quantity("a", 5.5, 1000.0), quantity("b")
    of = network(
        [a, b],
        [relation("odd", b.symbol, sp.log(5 - a.symbol), inverse={"a": 5 + b.symbol})],
    )
    with pytest.raises(OutsideLimits, match="do not satisfy 'odd'"):
        of.solve({"b": 1})  # finds a = 6, where the relation is not real


# -- givens out of range -------------------------------------------------------------------------


@pytest.mark.parametrize("number", [99.99, 1500.0001, math.inf, -math.inf, math.nan, -735, 0])
def test_a_given_outside_its_range_is_refused(table: Network, number: float) -> None:
    with pytest.raises(RangeError, match=r"must lie between 100 and 1500 mm") as e:
        table.solve({**TABLE, "table_height": number})
    assert (e.value.name, e.value.low, e.value.high) == ("table_height", 100, 1500)
    assert str(e.value).startswith("table_height is ") and "is 1500 mm;" not in str(e.value)


@pytest.mark.parametrize("number", [100.0, 1500.0])
def test_the_ends_of_a_range_are_inside(number: float) -> None:
    a = quantity("a", 100, 1500)
    assert network([a], []).solve({"a": number}).number("a") == number


# -- verdicts ------------------------------------------------------------------------------------

HEIGHT = Requirement(
    "high", "how high", "a", published("A standard", "1.2"), (10, 20), (5, 30),
    too_low="It is low.", mend_low="Raise it.", too_high="It is high.", mend_high="Lower it.",
    care="Mind your head.", fine="As it should be.",
)  # fmt: skip
EDGES = [
    (4.999, "fail", 5), (5.0, "caution", 10), (9.999, "caution", 10), (10.0, "pass", 10),
    (10 - 1e-12, "pass", 10), (14.0, "pass", 10), (16.0, "pass", 20), (20.0, "pass", 20),
    (20.001, "caution", 20), (30.0, "caution", 20), (30.001, "fail", 30),
]  # fmt: skip


@pytest.mark.parametrize(("number", "verdict", "limit"), EDGES)
def test_verdicts_at_every_edge(number: float, verdict: str, limit: float) -> None:
    """A caution names the end of the good values, a failure the end of the tolerable ones."""
    a = quantity("a", 0, 100)
    found = judge(HEIGHT, Value(a, number, "found"), ShopStyle())
    assert (found.verdict, found.limit, found.value) == (verdict, limit, number)
    side = "pass" if verdict == "pass" else "low" if number < 10 else "high"
    words = {
        "pass": "As it should be.",
        "low": "It is low. Raise it. Mind your head.",
        "high": "It is high. Lower it. Mind your head.",
    }  # fmt: skip
    assert found.message.endswith(words[side])
    assert found.mend == {"pass": "", "low": "Raise it.", "high": "Lower it."}[side]
    assert found.source == "A standard, 1.2" and found.sense == "between"
    assert (found.id, found.name) == ("high", "how high")


@pytest.mark.parametrize(
    ("good", "tolerable", "number", "verdict", "sense"),
    [
        ((10, None), (None, None), 1.0, "caution", "at least"),
        ((10, None), (10, None), 9.9, "fail", "at least"),
        ((10, None), (None, None), 1e9, "pass", "at least"),
        ((None, 10), (None, 10), 10.1, "fail", "at most"),
        ((None, 10), (None, None), -1e9, "pass", "at most"),
        ((None, None), (None, None), 5.0, "pass", ""),
    ],
)
def test_open_sides(
    good: tuple[float | None, float | None],
    tolerable: tuple[float | None, float | None],
    number: float,
    verdict: str,
    sense: str,
) -> None:
    asked = Requirement("r", "r", "a", published("A standard"), good, tolerable)
    found = judge(asked, Value(quantity("a", -1, 1), number, "found"), ShopStyle())
    assert (found.verdict, found.sense) == (verdict, sense)


@pytest.mark.parametrize(
    ("number", "said"),
    [(6.02, "6.02 mm; at most 6 mm is wanted."), (6.00004, "6.00004 mm; at most 6 mm is wanted."),
     (7.0, "7 mm; at most 6 mm is wanted.")],
)  # fmt: skip
def test_what_is_hardly_beyond_does_not_read_like_its_bound(number: float, said: str) -> None:
    asked = Requirement("close", "close", "a", published("A standard"), (None, 6.0))
    found = judge(asked, Value(quantity("a", 0, 9, "mm"), number, "found"), ShopStyle())
    assert found.message == said and found.verdict == "caution"


@pytest.mark.parametrize(
    ("number", "verdict", "said"),
    [
        (25.0, "caution", "25 mm; at least 45 mm is wanted. It tips. Widen it. Mind it."),
        (5.0, "fail", "5 mm; at least 45 mm is wanted, and below 22 mm it fails. It falls. "
         "Widen it. Mind it."),
        (80.0, "fail", "80 mm; at most 70 mm is wanted. Too wide. Mind it."),
    ],
)  # fmt: skip
def test_a_check_says_what_it_found_and_what_is_wanted(
    number: float, verdict: str, said: str
) -> None:
    asked = Requirement(
        "foot", "foot", "a", published("A standard"), (45.0, 70.0), (22.0, 70.0),
        too_low="It tips.", far_too_low="It falls.", too_high="Too wide.",
        mend_low="Widen it.", care="Mind it.",
    )  # fmt: skip
    found = judge(asked, Value(quantity("a", 0, 90, "mm"), number, "found"), ShopStyle())
    assert (found.verdict, found.message) == (verdict, said)
    assert found.mend == ("Too wide." if number > 70 else "Widen it.")


# -- JSON ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("givens", [TABLE, SMALL_TOP], ids=["usual", "small top"])
def test_json_is_strict_and_says_what_the_sheet_says(
    table: Network, givens: dict[str, float]
) -> None:
    sheet = table.solve(givens, name="Hall", shop=ShopStyle("in"))
    data = json.loads(json.dumps(sheet.to_json(), allow_nan=False))
    assert data["name"] == "Hall" and data["kind"] == "table"
    assert data["options"] == table.options
    assert data["options"]["crossing"] == "one notch"
    assert set(data["quantities"]) == set(table.quantities)
    for name, entry in data["quantities"].items():
        assert entry["origin"] == sheet[name].origin
        assert entry["unit"] == table.quantities[name].unit
        assert entry["shop"] == sheet.shop(name)
        if entry["value"] is None:
            assert sheet[name].number is None
        else:
            assert entry["value"] == pytest.approx(sheet.number(name), rel=1e-11)
    for entry, check in zip(data["checks"], sheet.checks, strict=True):
        assert entry["name"] == check.name and entry["verdict"] in ("pass", "caution", "fail")
        assert entry["source"] and entry["message"]


def test_values_in_json_are_metric_whatever_the_display(table: Network) -> None:
    one = table.solve(TABLE, shop=ShopStyle("in")).to_json()["quantities"]
    other = table.solve(TABLE, shop=ShopStyle("mm")).to_json()["quantities"]
    assert {n: e["value"] for n, e in one.items()} == {n: e["value"] for n, e in other.items()}
    assert one["post_length"]["shop"] == "45 3/8 in"  # 1152.601 mm = 45.378 in
    assert other["post_length"]["shop"] == "1152.5 mm"


@pytest.mark.parametrize(
    ("number", "tidied"),
    [
        (1.0000000000000002, 1.0),
        (735.0999999999999, 735.1),
        (None, None),
        (math.nan, None),
        (math.inf, None),
        (1.23456789012345e-7, 1.23456789012e-7),
    ],
)
def test_numbers_in_json_have_twelve_figures(number: float | None, tidied: float | None) -> None:
    assert tidy(number) == tidied


def test_a_value_may_be_reckoned_on_with_pint() -> None:
    import pint

    sheet = families.network("table").solve(TABLE)
    registry = pint.get_application_registry()
    length = sheet.measure("post_length")
    # 25.4 mm to the inch and 12 in to the foot: the yard and pound agreement of 1959
    assert length.to("ft").magnitude == pytest.approx(
        sheet.number("post_length") / 304.8, rel=1e-14
    )
    assert (length + registry.Quantity(1, "inch") - length).to("mm").magnitude == pytest.approx(
        25.4
    )
    for name in sheet.network.quantities:
        measured = sheet.measure(name)
        number = sheet.number(name)
        assert measured.magnitude == number or (
            math.isnan(number) and math.isnan(measured.magnitude)
        )
        assert sheet.network.quantity(name).unit != "mm" or measured.check("[length]")
    with pytest.raises(UnknownName):
        sheet.measure("post_lenght")


def test_a_value_named_in_braces_is_put_into_the_words_of_a_check() -> None:
    x, y = quantities("x y")
    asked = Requirement(
        "x",
        "x",
        "x",
        INVENTED,
        good=(None, 3.0),
        too_high="{x} is much.",
        mend_high="Take {y} instead of {x}.",
        fine="Fine.",
    )
    of = network([x, y], [relation("double", y.symbol, 2 * x.symbol)], requirements=[asked])
    (check,) = of.solve({"x": 4.0}).checks
    assert check.message.endswith("Take 8 instead of 4.")
    assert of.solve({"x": 2.0}).checks[0].message == "2. Fine."


def test_a_check_whose_words_name_an_unknown_quantity_is_refused() -> None:
    (x,) = quantities("x")
    asked = Requirement("x", "x", "x", INVENTED, good=(None, 3.0), mend_high="Take {z}.")
    with pytest.raises(UnknownName, match="z"):
        network([x], [], requirements=[asked])
