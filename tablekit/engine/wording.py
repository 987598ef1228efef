"""What an application calls things, where the engine's messages have to name them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

NO_BREAK = "\u00a0"
# Between a whole number and its fraction, a number and its unit, "no." and its number, and a count
# and what is counted.
_WITHIN_A_MEASURE = (
    r"(?<=\d) (?=\d+/\d)"
    r"|(?<=[\d.]) (?=(?:in|mm|m|cm|ft|thou|fl|oz|N|lbf|lb|kg|MPa|psi|min|minutes?|h|hours?|%)\b)"
    r"|(?<=\d fl) (?=oz\b)|(?<=\bno\.) (?=\d)"
    r"|(?<=\d) (?=× [a-z])|(?<=\d ×) (?=[a-z])"
)
WITHIN_A_MEASURE = re.compile(_WITHIN_A_MEASURE)
_NAME = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
# And round the × of two sizes.
WITHIN_A_SIZE = re.compile(
    rf"{_WITHIN_A_MEASURE}"
    r"|(?<=\d) (?=× \d)|(?<=\d mm) (?=× \d)|(?<=\d in) (?=× \d)|(?<= ×) (?=\d)"
)


def words(name: str) -> str:
    """The name of a quantity as it is read."""
    return name.replace("_", " ")


def spoken(text: str, names: Iterable[str]) -> str:
    """A text as it is read where nobody types the names of quantities: those in it as words."""
    known = {name for name in names if "_" in name}
    return _NAME.sub(lambda found: words(found[0]) if found[0] in known else found[0], text)


def declared(text: str) -> str:
    """The name of a quantity as it is declared: "beam length" and "beam-length" are beam_length."""
    return text.strip().lower().replace(" ", "_").replace("-", "_")


def capital(text: str) -> str:
    """The text as a sentence begins: its first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


def lowered(text: str) -> str:
    """The text as it goes on in a sentence: its first letter small, the rest as it is."""
    return text[:1].lower() + text[1:]


def listed(texts: Iterable[object], last: str = "and") -> str:
    """Several in a sentence: "a", "a and b", "a, b and c"; `last` stands before the last."""
    *others, final = [str(text) for text in texts] or [""]
    return f"{', '.join(others)} {last} {final}" if others else final


@dataclass(frozen=True)
class Wording:
    """Words that a network hands to the messages about its designs; the defaults suit any subject.

    thing             what a design is of: "no such design", "is not a quantity of this design"
    source_of_givens  where what is given stands: "add one of these to the givens"
    made              what is made to a size (`Quantity.cut`): "because the other values settle it"
    rounded           what stands before the rounded answer of a working: "Rounded: 153 mm."
    exactly           what stands before the exact numbers of a working: "square crossing"
    renamed           names that quantities had before, and what they are called now
    too               by the last part of a quantity's name what a value is that is below, and one
                      that is above, what fits: "shaft_length 3 m is too short"
    """

    thing: str = "design"
    source_of_givens: str = "the givens"
    made: str = "values"
    rounded: str = "Rounded"
    exactly: str = "exactly"
    renamed: Mapping[str, str] = field(default_factory=dict)
    too: Mapping[str, tuple[str, str]] = field(
        default_factory=lambda: {
            "length": ("too short", "too long"),
            "height": ("too low", "too high"),
        }
    )
