"""Random designs of every family by sheet, plain vectors and, on posts, solids:

    python -m tests.slow.recompute 1000            every family
    python -m tests.slow.recompute 1000 stool left  the families with these words in their names

Says for each family what was drawn and the greatest disagreement, and ends with 1 where any is
over a billionth.
"""

from __future__ import annotations

import sys
import time

from tests.trust import recompute_legs
from tests.trust.recompute import AGREE, FAMILIES, Found, run


def main(words: list[str]) -> int:
    """Run as asked; 0 where all agree."""
    count = int(words[0]) if words else 1000
    every: list[tuple[str, ...]] = [*FAMILIES, *recompute_legs.FAMILIES]
    wanted = [f for f in every if all(word in " ".join(f) for word in words[1:])]
    worst = 0.0
    for family in wanted:
        start = time.perf_counter()
        found = _run(family, count)
        name, off, given = found.greatest
        worst = off if not off <= worst else worst
        print(
            f"{', '.join(family)}: {found.designs} designs, {found.compared} numbers, greatest "
            f"disagreement {off:.2e} ({name}); refused {dict(found.refused)}, without a value "
            f"{dict(found.left_out)}; {time.perf_counter() - start:.0f} s",
            flush=True,
        )
        if not off <= AGREE:
            print(f"  over {AGREE}: {given}", flush=True)
            for each, (size, _) in sorted(found.worst.items(), key=lambda item: -item[1][0]):
                if not size <= AGREE:
                    print(f"    {each}: {size:.2e}", flush=True)
    return 0 if worst <= AGREE else 1


def _run(family: tuple[str, ...], count: int) -> Found:
    if recompute_legs.STYLE in family:
        return recompute_legs.run(family, count)  # type: ignore[arg-type]
    return run(family, count)  # type: ignore[arg-type]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
