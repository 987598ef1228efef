"""The readers of measures and briefs against bad input; `run.py` feeds them far more of it."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tablekit.brief import BriefError, parse_brief, read_brief
from tablekit.brief.text import LARGEST_FILE, LONGEST_LINE, MOST_DOTS, MOST_LINES
from tests.fuzz import grown, properties
from tests.together import each

FIXED = settings(derandomize=True, database=None, deadline=None)
CHANCE = st.randoms(use_true_random=False)


@pytest.fixture(scope="module", autouse=True)
def warmed():
    properties.warm()


@settings(FIXED, max_examples=400)
@given(CHANCE, st.sampled_from(grown.UNITS), st.booleans())
def test_any_measure_is_read_or_refused(rng, unit, signed):
    assert properties.of_measure(grown.measure(rng), unit, signed) is None


@each("text", grown.BOMBS, ids=ascii)
def test_no_measure_keeps_the_reader_busy(text):
    for unit in grown.UNITS:
        assert properties.of_measure(text, unit, True) is None


@settings(FIXED, max_examples=150)
@given(CHANCE)
def test_any_brief_is_read_or_refused(rng):
    assert properties.of_brief(grown.brief(rng)) is None


@settings(FIXED, max_examples=100)
@given(CHANCE)
def test_any_reshaped_brief_is_read_or_refused(rng):
    assert properties.of_brief(grown.reshaped(rng)) is None


@settings(FIXED, max_examples=100)
@given(st.text(max_size=300))
def test_any_text_at_all_is_read_or_refused(text):
    assert properties.of_brief(text) is None
    assert properties.of_brief(f"[given]\n{text}\n[wood]\nspecies = {grown.quoted(text)}") is None


@settings(FIXED, max_examples=100)
@given(st.binary(max_size=200))
def test_any_file_at_all_is_read_or_refused(tmp_path_factory, raw):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(raw)
    try:
        read_brief(path)
    except BriefError as error:
        assert str(error).startswith(str(path))


@each("bomb", grown.TOML_BOMBS, ids=lambda bomb: ascii(bomb[:20]))
def test_odd_toml_stands_anywhere(bomb):
    for text in (bomb, f"{grown.EVERYTHING}{bomb}\n", f"{bomb}\n{grown.EVERYTHING}"):
        assert properties.of_brief(text) is None


@each("name", grown.NAMES, ids=ascii)
def test_a_name_is_kept_as_it_is_or_refused(name):
    text = grown.renamed(name)
    assert properties.of_brief(text) is None
    try:
        brief = parse_brief(text)
    except BriefError as error:
        assert "name" in str(error)
    else:
        assert (brief.name, brief.boards[0].name, brief.top.keep) == (name, name, (name,))


# No matter how often: these are as large as the reader lets by, or larger.
dots = ".".join(["a"] * MOST_DOTS)
LARGE = {
    "ten megabytes": "a = 1\n" * 1_700_000,
    "names": "\n".join(f"a{k} = 1" for k in range(MOST_LINES - 1)),
    "names below [given]": "[given]\n" + "\n".join(f"a{k} = 1" for k in range(MOST_LINES - 2)),
    "points": "\n".join(f"b{k}.{dots} = 1" for k in range(MOST_LINES - 1)),
    "points squared": "\n".join(f"b{k}.{dots} = 1" for k in range(30)),
    "a long heading over names": f"[{dots}]\n" + "\n".join(f"a{k} = 1" for k in range(4990)),
    "steps": "[room]\n" + "\n".join(f"driest.{'a.' * k}b = 1" for k in range(1, 180)),
    "an array": "a = [\n" + "1,\n" * (MOST_LINES - 3) + "]",
    "brackets": "a = " + ("[" * 1900 + "\n") * 500,
    "tables in lines": "\n".join(
        f"a{k} = {{" + ", ".join(f"b{j} = 1" for j in range(200)) + "}" for k in range(470)
    ),
    "boards": "[[boards]]\n" * (MOST_LINES - 1),
    "escapes": 'name = """' + ("\\u0041" * 330 + "\n") * 490 + '"""',
    "spaces": (" " * (LONGEST_LINE - 1) + "\n") * 490,
    "headings": "\n".join(f"[a{k}.b]" for k in range(MOST_LINES - 1)),
    "species": "".join(f'[[boards]]\nspecies = "{"oak ash xy" * 19}{k}"\n' for k in range(100)),
    "a long name": f'name = "{"x" * 1900}"',
}  # fmt: skip


@each("text", LARGE.values(), ids=LARGE.keys())
def test_a_large_brief_is_refused_soon(text):
    began = time.process_time()
    with pytest.raises(BriefError) as caught:
        parse_brief(text)
    assert time.process_time() - began < properties.LONGEST
    assert 0 < len(str(caught.value)) < 60_000


def test_how_large_a_brief_may_be(tmp_path):
    def told(text: str) -> str:
        with pytest.raises(BriefError) as caught:
            parse_brief(text)
        return str(caught.value)

    assert told("\n" * MOST_LINES) == f"brief: has {MOST_LINES + 1} lines; 5000 are the most " + (
        "a brief may have"
    )
    assert "is larger than 1 MB" in told(" " * (LARGEST_FILE + 1))
    assert "line 2: has 251 points; 250 are the most a line may have" in told(f"\n{dots}.a.a = 1")
    # What the fullest rack takes is well within: a line of many names with points in them.
    many = ", ".join(f'"A.{k}"' for k in range(200))
    text = grown.EVERYTHING.replace('keep = ["A"]', f"keep = [{many}]")
    assert "points" not in told(text) and "not in the rack" in told(text)
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * 10_000_000)
    with pytest.raises(BriefError, match="is larger than 1 MB"):
        read_brief(path)


def test_the_checks_can_fail(monkeypatch):
    """Each property, shown a reader that breaks it."""

    def broken(*_, **__):
        return 1 / 0

    monkeypatch.setattr(properties, "parse_quantity", broken)
    monkeypatch.setattr(properties, "parse_brief", broken)
    assert "ZeroDivisionError" in str(properties.of_measure("1 mm", "mm", False))
    assert "ZeroDivisionError" in str(properties.of_brief("[given]"))
    monkeypatch.setattr(properties, "parse_brief", lambda text: eval(text))
    assert "did ('compile'" in str(properties.of_brief("1 + 1"))
    monkeypatch.setattr(properties, "parse_quantity", lambda *_, **__: float("nan"))
    assert properties.of_measure("1 mm", "mm", False) == "is nan"
    monkeypatch.setattr(properties, "LONGEST_MEASURE", -1.0)
    monkeypatch.setattr(properties, "parse_quantity", lambda *_, **__: 1.0)
    assert "took" in str(properties.of_measure("1 mm", "mm", False))
