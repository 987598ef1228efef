"""What can go wrong, in words that say what to do about it.

Every error that a user can cause is a `DesignError`. The message alone must be enough to mend what
was given; the fields are there for programs and tests that want to act on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class DesignError(Exception):
    """Base of all errors a user can cause. `exit_code` is what the command line returns."""

    exit_code = 3


class UnitsError(DesignError, TypeError):
    """A text is not a quantity of the kind asked for.

    Fields: `name` of the quantity ('' when unknown), `found` the text, `expected` the units
    that do.
    """

    exit_code = 2

    def __init__(self, message: str, *, name: str = "", found: str = "", expected: str = ""):
        super().__init__(message)
        self.name, self.found, self.expected = name, found, expected


class RangeError(DesignError, ValueError):
    """A value is of the right kind but outside what it may be.

    Fields: `name`, `found` and the allowed `low` and `high`, all in the quantity's reporting unit.
    """

    exit_code = 2

    def __init__(
        self,
        message: str,
        *,
        name: str = "",
        found: float | None = None,
        low: float | None = None,
        high: float | None = None,
    ):
        super().__init__(message)
        self.name, self.found, self.low, self.high = name, found, low, high


class UnknownName(DesignError, KeyError):
    """A name that the network does not know; `nearest` is the closest one it does."""

    exit_code = 2

    def __init__(self, message: str, *, name: str, nearest: str | None = None):
        super().__init__(message)
        self.name, self.nearest = name, nearest

    def __str__(self) -> str:  # KeyError would print the repr of the message
        return str(self.args[0])


class RelationError(Exception):
    """A relation is declared wrongly. A fault of whoever declared it, not of the user."""

    def __init__(self, message: str, *, relation: str = ""):
        super().__init__(message)
        self.relation = relation


class NotEnoughGiven(DesignError):
    """Some quantities stay free. `free` names them; `settling` lists the smallest sets that
    would settle the design."""

    def __init__(
        self,
        message: str,
        *,
        free: Sequence[str] = (),
        settling: Sequence[tuple[str, ...]] = (),
    ):
        super().__init__(message)
        self.free, self.settling = tuple(free), tuple(settling)


@dataclass(frozen=True)
class Release:
    """A change of one given that gives a design: `name` made `number` (reporting unit).

    only  whether no other number was found that would do; else others do as well"""

    name: str
    number: float
    unit: str
    only: bool = True


class Contradiction(DesignError):
    """The givens cannot all hold. `clashes` are the smallest sets that cannot; `releases` say
    what each of their members would have to be."""

    def __init__(
        self,
        message: str,
        *,
        clashes: Sequence[tuple[str, ...]] = (),
        releases: Sequence[Release] = (),
    ):
        super().__init__(message)
        self.clashes, self.releases = tuple(clashes), tuple(releases)


class OutsideLimits(Contradiction):
    """The design falls outside what a relation holds for.

    `relation` names it, `limit` says it in words, `excess` is by how much (in `unit`)."""

    def __init__(
        self,
        message: str,
        *,
        relation: str = "",
        limit: str = "",
        excess: float | None = None,
        unit: str = "1",
        clashes: Sequence[tuple[str, ...]] = (),
        releases: Sequence[Release] = (),
    ):
        super().__init__(message, clashes=clashes, releases=releases)
        self.relation, self.limit, self.excess, self.unit = relation, limit, excess, unit
