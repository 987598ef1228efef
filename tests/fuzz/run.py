"""Feeds the readers of measures and of briefs any number of bad inputs, each from its own seed.

    python tests/fuzz/run.py 100000           # from seed 0 on
    python tests/fuzz/run.py 1 --from 4711    # one again, which is then shown
    python tests/fuzz/run.py 100000 --guided  # by what new lines of the readers each input reaches

Half are measures, half briefs. Ends with 1 when anything was found. `--guided` wants atheris
(pip install atheris), which is not among what the tests need.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from types import FunctionType

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.fuzz import grown, properties


def one(seed: int) -> tuple[str, str | None]:
    """The input of a seed, and what is wrong."""
    rng = properties.seeded(seed)
    if seed % 2:
        text = grown.measure(rng)
        return text, properties.of_measure(text, rng.choice(grown.UNITS), rng.random() < 0.5)
    text = rng.choice((grown.brief, grown.brief, grown.reshaped))(rng)
    return text, properties.of_brief(text)


def guided(count: int) -> int:
    """Lets atheris choose: it changes what reached new lines. Stops at the first fault."""
    try:
        import atheris
    except ImportError:
        print("atheris is not installed; run: python -m pip install atheris", file=sys.stderr)
        return 2
    import tempfile

    from tablekit.brief import reading, section, text
    from tablekit.engine import unit_table, units

    for module in (reading, section, text, units, unit_table):
        for name, one in vars(module).items():
            if getattr(one, "__module__", "") == module.__name__ and isinstance(one, FunctionType):
                setattr(module, name, atheris.instrument_func(one))
    properties.warm()

    def try_one(raw: bytes) -> None:
        # An even first byte asks for a measure, an odd one for a brief.
        text = raw[1:].decode("utf-8", "replace")
        if raw[:1] and raw[0] % 2 == 0:
            fault = properties.of_measure(text, grown.UNITS[raw[0] // 2 % len(grown.UNITS)], True)
        else:
            fault = properties.of_brief(text)
        if fault:
            raise AssertionError(f"{fault}\n{text!r:.3000}")

    with tempfile.TemporaryDirectory() as corpus:
        for k, text in enumerate((*grown.GOOD, *grown.TOML_BOMBS)):
            Path(corpus, f"brief-{k}").write_bytes(b"\1" + text.encode("utf-8", "replace"))
        for k, text in enumerate(("735 mm", "28 7/8 in", "54° 44′ 8″", *grown.BOMBS)):
            Path(corpus, f"measure-{k}").write_bytes(b"\0" + text.encode("utf-8", "replace"))
        options = [f"-atheris_runs={count}", "-max_len=4000", f"-artifact_prefix={corpus}/"]
        atheris.Setup([sys.argv[0], *options, corpus], try_one)
        atheris.Fuzz()  # ends the process itself, with a code of its own where it found a fault
    return 0


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", type=int)
    parser.add_argument("--from", dest="first", type=int, default=0, metavar="SEED")
    parser.add_argument("--guided", action="store_true", help="by atheris, which must be installed")
    asked = parser.parse_args()
    if asked.guided:
        return guided(asked.count)
    properties.warm()
    began, found = time.monotonic(), 0
    for seed in range(asked.first, asked.first + asked.count):
        text, fault = one(seed)
        if fault or asked.count == 1:
            found += bool(fault)
            print(f"seed {seed}: {fault or 'all is well'}\n{text!r:.3000}", flush=True)
    print(f"{asked.count} inputs in {time.monotonic() - began:.0f} s, {found} at fault")
    return min(found, 1)


if __name__ == "__main__":
    raise SystemExit(main())
