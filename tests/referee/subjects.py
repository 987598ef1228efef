"""What the engine is judged on: the kit's own pieces, and three small subjects that are not trade.

Of the pieces only the givens are drawn; a design is what `solve` makes of them and the referee
confirms. The small subjects are worked out in plain Python, without the engine.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
import sympy as sp

from tablekit.engine.network import Network
from tablekit.engine.quantity import Constant, Quantity
from tablekit.relations import families
from tests.engine.small_networks import INVENTED, guess, relation

Random = np.random.Generator
Numbers = dict[str, float]


@dataclass(frozen=True)
class Subject:
    """A kind of thing that is designed.

    build  its network
    draw   givens that settle a design; with all other values, where those are known without the
           engine
    """

    name: str
    build: Callable[[], Network]
    draw: Callable[[Random], tuple[Numbers, Numbers | None]]

    @cached_property
    def network(self) -> Network:
        """The network, always the same one."""
        return self.build()


# -- the kit's own --------------------------------------------------------------------------------


def maker(random: Random, kind: str, crossing: str) -> tuple[Numbers, None]:
    """Givens as a maker would write them down: a height or posts, a top, a section, some more."""
    table = kind == "table"
    height = random.uniform(450, 1050) if table else random.uniform(300, 700)
    section = random.uniform(35, 100) if table else random.uniform(24, 60)
    one_notch = crossing == "one notch"
    found = {"post_section": section}

    def sometimes(share: float, name: str, low: float, high: float) -> None:
        if random.random() < share:
            found[name] = random.uniform(low, high)

    whole = "table_height" if table else "seat_height"
    by_posts = one_notch and random.random() < 0.25
    if by_posts:  # the height follows
        found["post_length"] = height * random.uniform(1.5, 1.75)
    else:
        found[whole] = height
    top = "overhang" if random.random() < 0.15 else "top_diameter"
    found[top] = random.uniform(20, 150) if top == "overhang" else height * random.uniform(0.8, 1.6)
    sometimes(0.5, "top_thickness", 18, 45)
    sometimes(0.3, "notch_position", 0.78 * height, 0.9 * height)
    sometimes(0.3, "wood_density", 350, 900)
    sometimes(0.2, "foot_flat", 0.1 * section, 0.4 * section)
    sometimes(0.2, "head_flat_depth", 0.1 * section, 0.25 * section)
    sometimes(0.2, "pad_projection", 0.5, 8)
    sometimes(0.2, "plate_gap", 0.5, 6)
    sometimes(0.15, "cutter_diameter", 6, 20)
    sometimes(0.15, "visible_slope", 1 / 500, 1 / 200)
    sometimes(0.15, "shop_humidity", 42, 58)
    if one_notch:
        sometimes(0.4, "splay", 40, 60)
        sometimes(0.2, "post_width", 0.85 * section, 1.2 * section)
        sometimes(0.2, "notch_depth_ratio", 0.4, 0.6)
    return {name: float(number) for name, number in found.items()}, None


def piece(kind: str, crossing: str = "one notch", way_up: str = "notches up") -> Subject:
    """One of the kit's families."""
    how = way_up if crossing == "one notch" else crossing
    return Subject(
        f"{kind}, {how}",
        partial(families.network, kind, crossing, way_up),
        partial(maker, kind=kind, crossing=crossing),
    )


PIECES = (
    piece("table"),
    piece("table", way_up="notches down"),
    piece("table", "two notches"),
    piece("stool"),
)


# -- a thin lens ----------------------------------------------------------------------------------


def lens() -> Network:
    """A thin lens with a real image: 1/f = 1/a + 1/b, lengths in mm (Hecht, Optics, from memory).

    From focal length and whole distance there are two places for the lens, so two answers."""
    of = _quantities(
        ("focal_length", "mm", 5, 2000), ("object_distance", "mm", 5, 50000),
        ("image_distance", "mm", 5, 50000), ("whole_distance", "mm", 10, 100000),
        ("magnification", "1", 0.001, 100), ("object_height", "mm", 0.1, 5000),
        ("image_height", "mm", 0.01, 5000),
    )  # fmt: skip
    s = {name: q.symbol for name, q in of.items()}
    f, a, b = s["focal_length"], s["object_distance"], s["image_distance"]
    return Network(
        "thin lens",
        list(of.values()),
        [
            relation("lens", 1 / f, 1 / a + 1 / b),
            relation("from object to image", s["whole_distance"], a + b),
            relation("enlargement", s["magnification"], b / a),
            relation("height", s["image_height"], s["magnification"] * s["object_height"]),
        ],
        [guess(of["object_height"], sp.Rational(1, 100)), guess(of["focal_length"], 0.05)],
        wishes=["focal_length", "object_distance", "magnification"],
    )


def a_lens(random: Random) -> tuple[Numbers, Numbers]:
    """A lens by the numbers."""
    f = 50.0 if random.random() < 0.3 else random.uniform(20, 200)
    a, y = f * random.uniform(1.2, 20), random.uniform(1, 100)
    b = 1 / (1 / f - 1 / a)
    values = {
        "focal_length": f, "object_distance": a, "image_distance": b, "whole_distance": a + b,
        "magnification": b / a, "object_height": y, "image_height": y * b / a,
    }  # fmt: skip
    return _only(values, "focal_length", "object_distance", "object_height"), values


# -- a resistor divider ---------------------------------------------------------------------------


def divider() -> Network:
    """Two resistors across a source, in volts, ohms, amperes and watts as plain numbers
    (Kirchhoff's and Ohm's laws)."""
    of = _quantities(
        ("source", "1", 0.1, 1000), ("upper", "1", 0.1, 1e7), ("lower", "1", 0.1, 1e7),
        ("current", "1", 1e-8, 1000), ("tapped", "1", 1e-4, 1000), ("share", "1", 1e-6, 1),
        ("heat", "1", 1e-9, 1e5), ("heat_above", "1", 1e-9, 1e5),
    )  # fmt: skip
    s = {name: q.symbol for name, q in of.items()}
    return Network(
        "resistor divider",
        list(of.values()),
        [
            relation("one loop", s["source"], s["current"] * (s["upper"] + s["lower"])),
            relation("tap", s["tapped"], s["current"] * s["lower"]),
            relation("share of the source", s["share"] * s["source"], s["tapped"]),
            relation("heat in all", s["heat"], s["source"] * s["current"]),
            relation("heat above the tap", s["heat_above"], s["current"] ** 2 * s["upper"]),
        ],
        [guess(of["source"], 5)],
        wishes=["tapped", "source", "lower"],
    )


def a_divider(random: Random) -> tuple[Numbers, Numbers]:
    """A divider by the numbers."""
    source = 5.0 if random.random() < 0.4 else random.uniform(1, 48)
    upper, lower = (10 ** random.uniform(2, 5) for _ in range(2))
    current = source / (upper + lower)
    values = {
        "source": source, "upper": upper, "lower": lower, "current": current,
        "tapped": current * lower, "share": lower / (upper + lower), "heat": source * current,
        "heat_above": current**2 * upper,
    }  # fmt: skip
    return _only(values, "source", "upper", "lower"), values


# -- an ideal pendulum ----------------------------------------------------------------------------


def pendulum() -> Network:
    """A point on a thread, swinging little for its period and as far as it likes for its speed
    (Feynman, Lectures on Physics I, from memory). The period is in seconds, a plain number."""
    of = _quantities(
        ("length", "mm", 10, 20000), ("gravity", "m/s^2", 1, 30), ("period", "1", 0.1, 60),
        ("swing", "deg", 0.5, 85), ("drop", "mm", 0.001, 20000), ("speed", "m/s", 0.001, 30),
        ("bob", "kg", 0.001, 100), ("pull", "N", 0.001, 10000), ("slack_pull", "N", 0.0001, 5000),
    )  # fmt: skip
    s = {name: q.symbol for name, q in of.items()}
    length, gravity, bob = s["length"], s["gravity"], s["bob"]
    second = Constant("second", "s", 1 / 60, "min", "a second", INVENTED)
    return Network(
        "ideal pendulum",
        list(of.values()),
        [
            relation("period", (s["period"] * second.symbol) ** 2 * gravity, 4 * sp.pi**2 * length),
            relation("drop", s["drop"], length * (1 - sp.cos(s["swing"]))),
            relation("speed below", s["speed"] ** 2, 2 * gravity * s["drop"]),
            relation("pull below", s["pull"], bob * (gravity + s["speed"] ** 2 / length)),
            relation("pull at the end", s["slack_pull"], bob * gravity * sp.cos(s["swing"])),
        ],
        [guess(of["gravity"], sp.Rational(980665, 100000)), guess(of["bob"], 1)],
        constants=[second],
        wishes=["length", "period", "swing"],
    )


def a_pendulum(random: Random) -> tuple[Numbers, Numbers]:
    """A pendulum by the numbers."""
    length, swing = random.uniform(100, 5000), random.uniform(3, 75)
    g = 9.80665 if random.random() < 0.6 else random.uniform(1.5, 25)
    bob = 1.0 if random.random() < 0.4 else random.uniform(0.05, 20)
    drop = length * (1 - math.cos(math.radians(swing)))
    speed = math.sqrt(2 * g * drop / 1000)
    values = {
        "length": length, "gravity": g, "period": 2 * math.pi * math.sqrt(length / 1000 / g),
        "swing": swing, "drop": drop, "speed": speed, "bob": bob,
        "pull": bob * (g + speed**2 / (length / 1000)),
        "slack_pull": bob * g * math.cos(math.radians(swing)),
    }  # fmt: skip
    return _only(values, "length", "gravity", "swing", "bob"), values


SMALL = (
    Subject("thin lens", lens, a_lens),
    Subject("resistor divider", divider, a_divider),
    Subject("ideal pendulum", pendulum, a_pendulum),
)
SUBJECTS = (*PIECES, *SMALL)


def _quantities(*declared: tuple[str, str, float, float]) -> dict[str, Quantity]:
    return {
        name: Quantity(name, name, unit, name.replace("_", " "), low, high)
        for name, unit, low, high in declared
    }


def _only(values: Numbers, *names: str) -> Numbers:
    return {name: values[name] for name in names}
