"""What the engine answered, and whether it is true."""

from __future__ import annotations

import signal
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import product
from typing import Any

from tablekit.engine.network import Network
from tablekit.engine.sheet import Sheet
from tablekit.engine.trouble import Contradiction, DesignError, NotEnoughGiven
from tests.referee.cases import Altered, Design, Swapped, nearest
from tests.referee.referee import Referee
from tests.referee.subjects import Numbers

VALUES_TRIED = 3
OFFERS_TRIED, SHARES_TRIED = 4, (0.3, 0.6, 0.9, 1.1, 1.6)
PATIENCE = 60  # seconds for one answer
SLOW = 5  # seconds of CPU: noted down, but no failure
SAME = 1e-6  # two values that differ by less are one


# What must not come of a swap, and what must not where it is settled or open.
WRONG = {"fault", "not exact", "refused"}
WRONG_WHEN = {
    "settled": {"too little", "another", "refused, as assumed"},
    "settled otherwise": {"too little"},
    "open": {"true", "listed", "another"},
    "a count given": set[str](),
}


class TooLong(Exception):
    """No answer within PATIENCE."""


@dataclass
class Answer:
    """What came of one call: a sheet, a DesignError, or something that must not come out."""

    seconds: float = 0.0
    sheet: Sheet | None = None
    trouble: DesignError | None = None
    fault: str = ""

    @property
    def said(self) -> str:
        """In one line, for a list of failures."""
        if self.trouble is not None:
            return f"{type(self.trouble).__name__}: {self.trouble}"
        return self.fault or "answered"

    @property
    def values(self) -> dict[str, float | None]:
        """All values of the sheet, in reporting units."""
        assert self.sheet is not None
        return {name: value.number for name, value in self.sheet.values.items()}


def ask(network: Network, givens: Mapping[str, float], *, why: bool = True) -> Answer:
    """Solves, and takes whatever comes of it. Its seconds are of CPU, which do not count what else
    the machine is busy with.

    why  whether a refusal is to be explained"""
    answer = Answer()
    start = time.process_time()
    try:
        with within(PATIENCE):
            answer.sheet = network.solve(givens, why=why)
    except DesignError as trouble:
        answer.trouble = trouble
    except Exception as fault:  # whatever else comes out would end a command with 70
        answer.fault = f"{type(fault).__name__}: {fault}"
    answer.seconds = time.process_time() - start
    return answer


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raises TooLong in the main thread when so many seconds of the processor are used."""

    def stop(*_: object) -> None:
        raise TooLong(f"no answer in {seconds:g} s of the processor")

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@dataclass
class Verdicts:
    """Counts by table, row and column; times by row; failures and slow answers as plain data."""

    counts: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    times: list[tuple[str, float, list[str]]] = field(default_factory=list)
    failures: list[dict[str, Any]] = field(default_factory=list)
    noted: list[dict[str, Any]] = field(default_factory=list)

    def add(self, other: Verdicts) -> None:
        """Takes in those of another."""
        self.counts += other.counts
        self.times += other.times
        self.failures += other.failures
        self.noted += other.noted


@dataclass
class Judge:
    """One subject's referee with the designs that are known of it."""

    subject: str
    group: str
    referee: Referee
    designs: list[Design]

    @property
    def network(self) -> Network:
        """The network that is asked."""
        return self.referee.network

    def fail(self, verdicts: Verdicts, kind: str, givens: Numbers, **more: object) -> None:
        """Writes one failure down."""
        verdicts.failures.append({"kind": kind, "subject": self.subject, "givens": givens, **more})

    # -- swaps --------------------------------------------------------------------------------

    def outcome(
        self,
        answer: Answer,
        givens: Numbers,
        design: Design,
        firmness: float,
        assumed: Sequence[str],
    ) -> str:
        """The true design, listed, another one, or what went wrong. A refusal is put down to the
        assumptions where no design was found that meets them too, and to what is usual where the
        design is beyond that in something of which nothing is given, as is another design then."""
        if answer.fault:
            return "fault"
        if isinstance(answer.trouble, NotEnoughGiven):
            return "too little"
        if answer.trouble is not None:
            if self.referee.unusual(design.values, givens):
                return "refused, as unusual"
            meets = self._exists(givens, design, assumed)
            return "refused" if meets else "refused, as assumed"
        if self.referee.violations(answer.values, givens):
            return "not exact"
        within = max(SAME, min(1e-10 / firmness, 1e-3)) if firmness else SAME
        if self.referee.same(answer.values, design.values, within):
            return "true"
        if self._listed(answer, givens, design, within):
            return "listed"
        # What is beyond the usual without having been asked for is not to be offered.
        return "another, as unusual" if self.referee.unusual(design.values, givens) else "another"

    def _listed(
        self, answer: Answer, givens: Numbers, design: Design, within: float, further: int = 1
    ) -> bool:
        """Whether giving one of the alternatives that the sheet names, or what it says can be kept
        as usual, leads to the design, or to a sheet that lists it."""
        assert answer.sheet is not None
        kept = {one.name: (one.usual,) for one in answer.sheet.gave_way}
        kept = {n: numbers for n, numbers in kept.items() if n in answer.sheet.kept_instead}
        for name, numbers in (*answer.sheet.alternatives.items(), *kept.items()):
            value = design.values.get(name)
            for number in numbers:
                if value is None or abs(number - value) > within * max(abs(number), abs(value)):
                    continue
                given = {**givens, name: number}
                again = ask(self.network, given)
                if again.sheet is None:
                    continue
                if self.referee.same(again.values, design.values, 10 * within):
                    return True
                if further and self._listed(again, given, design, within, further - 1):
                    return True
        return False

    def swapped(self, case: Swapped, design: Design) -> Verdicts:
        """Asks for a design by other quantities of its own."""
        verdicts, table = Verdicts(), f"Swaps, {self.group}"
        answer = ask(self.network, case.givens)
        outcome = self.outcome(answer, case.givens, design, case.firmness, case.assumed)
        kind = "a count given" if case.counts else case.kind
        # The slopes of a design that does not meet what is assumed do not decide it.
        trouble = answer.trouble if kind == "settled otherwise" else None
        if isinstance(trouble, NotEnoughGiven) and self._seen_open(case.givens, trouble, design):
            outcome = "too little, as seen"
        row = f"{kind}, {case.swaps} swapped"
        verdicts.counts[table, row, outcome] += 1
        verdicts.times.append((f"swaps, {self.group}: {outcome}", answer.seconds, [*case.givens]))
        if answer.sheet and self.referee.fractional(answer.values):
            verdicts.counts[table, row, "(a count not whole)"] += 1
        if outcome in WRONG | WRONG_WHEN[kind]:
            found = answer.values if answer.sheet else None
            self.fail(
                verdicts, f"{kind}: {outcome}", case.givens, answered=answer.said, values=found,
                why=self.referee.violations(found, case.givens)[:5] if found else [],
                design=design.values, made_from=design.givens,
            )  # fmt: skip
        if kind == "open" and isinstance(answer.trouble, NotEnoughGiven):
            self._offers(verdicts, case, answer.trouble, design)
        return verdicts

    def _offers(
        self, verdicts: Verdicts, case: Swapped, trouble: NotEnoughGiven, design: Design
    ) -> None:
        """Whether what is said to be free is, and whether what is said to settle it does."""
        table = f"Not enough given, {self.group}"
        more = {
            "answered": str(trouble), "design": design.values, "made_from": design.givens
        }  # fmt: skip
        missing = {name for name, value in design.values.items() if value is None}
        excused = missing | self.referee.rounded
        settled = sorted(set(trouble.free) - case.free - excused)
        if settled:  # at this design; a smaller or larger one may have another value
            moved = self._seen_to_move(case.givens, trouble, design, settled)
            settled = sorted(set(settled) - moved)
        unsaid = sorted(case.free - set(trouble.free) - excused)
        for kind, names in (("settled, said to be free", settled), ("free, unsaid", unsaid)):
            verdicts.counts[table, "what is free", kind if names else "as said"] += 1
            if names:
                self.fail(verdicts, kind, case.givens, names=names, **more)
        if not trouble.settling:
            verdicts.counts[table, "offers", "none"] += 1
            self.fail(verdicts, "nothing offered to settle it", case.givens, **more)
        for names in trouble.settling:
            if set(names) & excused:
                verdicts.counts[table, "offers", "untried"] += 1
                continue
            tangent = self.referee.tangent(design.values)
            givens = {**case.givens, **design.of(names)}
            settled_by = tangent.settle(list(givens))
            answer = ask(self.network, givens)
            firmness = 0.0 if settled_by.open else settled_by.firmness
            outcome = self.outcome(answer, givens, design, firmness, settled_by.assumed)
            verdicts.counts[table, "offers", outcome] += 1
            if outcome in WRONG | {"too little"}:
                self.fail(
                    verdicts, f"offer: {outcome}", case.givens, offer=names, **more,
                    then=answer.said,
                )  # fmt: skip

    def _seen_open(self, givens: Numbers, trouble: NotEnoughGiven, design: Design) -> bool:
        """Whether two designs with these givens, the same things assumed in both, are seen to
        differ in all that is said to be free."""
        first: dict[frozenset[str], dict[str, float | None]] = {}
        for answer in self._offered(givens, trouble, design):
            assert answer.sheet is not None
            assumed = frozenset(
                name for name, value in answer.sheet.values.items() if value.origin == "assumed"
            )
            one = first.setdefault(assumed, answer.values)
            if set(trouble.free) <= self.referee.different(one, answer.values):
                return True
        return False

    def _seen_to_move(
        self, givens: Numbers, trouble: NotEnoughGiven, design: Design, asked: Sequence[str]
    ) -> set[str]:
        """Those asked for whose value is another in some design with these givens: in one that the
        engine shows when an offer is taken with another value, and that is found to be a design, or
        in one that the referee finds with the value that it has in a design of its own."""
        moved: set[str] = set()
        for answer in self._offered(givens, trouble, design):
            moved |= self.referee.different(answer.values, design.values)
        for name in set(asked) - moved - givens.keys():
            values = dict.fromkeys(other.values[name] for other in self.designs)
            for value in [v for v in values if v is not None][:VALUES_TRIED]:
                if self._exists({**givens, name: value}, design):
                    moved.add(name)
                    break
        return moved

    # -- clashes ------------------------------------------------------------------------------

    def altered(self, case: Altered, design: Design) -> Verdicts:
        """Asks for what no design was found to meet."""
        verdicts, table = Verdicts(), f"Clashes, {self.group}"
        row = "relations do not close" if case.equations else "ranges or limits in the way"
        answer = ask(self.network, case.givens)
        more = {
            "answered": answer.said, "altered": case.altered, "design": design.values,
            "made_from": design.givens,
        }  # fmt: skip
        trouble = answer.trouble
        if answer.sheet is not None:
            wrong = self.referee.violations(answer.values, case.givens)
            outcome = "not exact" if wrong else "answered after all"
            more |= {"values": answer.values, "why": wrong[:5]}
        elif isinstance(trouble, Contradiction):
            outcome = "refused"
        else:
            outcome = "too little" if isinstance(trouble, NotEnoughGiven) else "fault"
        verdicts.counts[table, row, outcome] += 1
        verdicts.times.append((f"clashes, {self.group}: {outcome}", answer.seconds, [*case.givens]))
        if outcome not in ("refused", "answered after all"):
            self.fail(verdicts, f"clash: {outcome}", case.givens, **more)
        if isinstance(trouble, Contradiction):
            self._clashes(verdicts, case, trouble, design, more)
            self._releases(verdicts, case, trouble, design, more)
        return verdicts

    def _clashes(
        self, verdicts: Verdicts, case: Altered, trouble: Contradiction, design: Design,
        more: dict[str, Any],
    ) -> None:  # fmt: skip
        """Whether no named clash can hold."""
        table = f"Clashes, {self.group}"
        if not trouble.clashes:
            verdicts.counts[table, "clashes named", "none"] += 1
            self.fail(verdicts, "clash: none named", case.givens, **more)
        for clash in trouble.clashes:
            givens = {name: case.givens[name] for name in clash}
            assumed = self.referee.tangent(design.values).settle(clash).assumed
            if witness := self._exists(givens, design, assumed):
                verdict = "can hold"
            elif witness := self._exists(givens, design):
                verdict = "can hold, not as assumed"
            else:
                verdict = "none found"
            verdicts.counts[table, "clashes named", verdict] += 1
            if witness:
                self.fail(
                    verdicts, f"clash: {verdict}", case.givens, clash=clash, witness=witness,
                    **more,
                )  # fmt: skip

    def _releases(
        self, verdicts: Verdicts, case: Altered, trouble: Contradiction, design: Design,
        more: dict[str, Any],
    ) -> None:  # fmt: skip
        """Whether each release mends."""
        for release in trouble.releases:
            verdict = self._release(release.name, release.number, trouble.clashes, case, design)
            verdicts.counts[f"Clashes, {self.group}", "releases", verdict] += 1
            if verdict in ("unchanged", "does not mend"):
                self.fail(
                    verdicts, f"release: {verdict}", case.givens,
                    release=(release.name, release.number), clashes=trouble.clashes, **more,
                )  # fmt: skip

    def _exists(
        self, givens: Numbers, design: Design, assumed: Sequence[str] = ()
    ) -> dict[str, float | None] | None:
        """A design that meets the givens, and the assumptions of some quantities too."""
        near = [design.values, *nearest(self.referee, givens, self.designs)]
        return self.referee.design_exists(givens, near=near, held=assumed).design

    def _release(
        self,
        name: str,
        number: float | None,
        clashes: Sequence[tuple[str, ...]],
        case: Altered,
        design: Design,
    ) -> str:
        """Whether a given that is changed as offered makes a design possible: of all givens, or,
        where these clash even without it, of the clash that it belongs to."""
        if number is None:
            return "no number"
        given = case.givens[name]
        if abs(number - given) <= SAME * max(abs(number), abs(given)):
            return "unchanged"
        if self._mended({**case.givens, name: number}, design):
            return "mends all"
        without = {n: v for n, v in case.givens.items() if n != name}
        if self._exists(without, design):
            return "does not mend"
        for clash in clashes:
            within = {n: case.givens[n] for n in clash}
            if name in clash and self._mended({**within, name: number}, design):
                return "mends its clash"
        return "does not mend"

    def _mended(self, givens: Numbers, design: Design) -> bool:
        """Whether there is a design: one that the search finds, or that the engine shows."""
        if self._exists(givens, design):
            return True
        answer = ask(self.network, givens)
        if isinstance(answer.trouble, NotEnoughGiven):  # mended, though not settled
            return any(self._offered(givens, answer.trouble, design))
        return answer.sheet is not None and not self.referee.violations(answer.values, givens)

    def _offered(
        self, givens: Numbers, trouble: NotEnoughGiven, design: Design
    ) -> Iterator[Answer]:
        """The designs that are found with the first offers to settle it, each taken with values
        about those of a design."""
        for names in trouble.settling[:OFFERS_TRIED]:
            if any(design.values[name] is None for name in names):
                continue
            for name, share in product(names, (1.0, *SHARES_TRIED)):
                offer = design.of(names)
                offer[name] *= share
                answer = ask(self.network, {**givens, **offer}, why=False)
                if answer.sheet is not None and not self.referee.violations(answer.values, givens):
                    yield answer

    # -- anything -----------------------------------------------------------------------------

    def anything(self, givens: Numbers, *, why: bool = True) -> Verdicts:
        """Asks for anything; nothing but an answer that is a design, or a DesignError, may come.

        why  whether a refusal is to be explained"""
        verdicts = Verdicts()
        answer = ask(self.network, givens, why=why)
        outcome = "fault" if answer.fault else type(answer.trouble).__name__
        if answer.sheet is not None:
            outcome = "a design"
            if why := self.referee.violations(answer.values, givens):
                outcome = "not exact"
                self.fail(
                    verdicts, "anything: not exact", givens, answered=answer.said, why=why[:5],
                    values=answer.values,
                )  # fmt: skip
        if answer.fault:
            self.fail(verdicts, "anything: fault", givens, answered=answer.said)
        verdicts.counts["Anything at all", self.subject, outcome] += 1
        if answer.seconds > SLOW:
            seconds = round(answer.seconds, 1)
            verdicts.noted.append({"subject": self.subject, "givens": givens, "seconds": seconds})
        kind = f"anything, {self.group}: {outcome}{'' if why else ', not explained'}"
        verdicts.times.append((kind, answer.seconds, list(givens)))
        return verdicts
