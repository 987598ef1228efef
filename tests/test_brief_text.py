"""Files and texts that are no brief at all, and where in a brief a fault is said to be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablekit.brief import BriefError, parse_brief, read_brief

TEXT = 'name = "Trial"\n\n[given]\ntable_height = "735 mm"\n'


def trouble(text: str) -> BriefError:
    with pytest.raises(BriefError) as caught:
        parse_brief(text, "trial.toml")
    assert caught.value.exit_code == 2
    return caught.value


def test_lines_are_found_in_odd_layouts():
    text = (
        'name = """\na = "x"\n[given]\n"""\n'  # a text of many lines that looks like a brief
        "given.'table_height' = 3\n"
        "[ room . shop ]  # spaces and a comment\n"
        'temperature = "20"\n'
        'humidity = "50 %"\n'
        "[[boards]]\n"
        'length = "1 m"\n'
        'width = "140 mm"\n'
        '[[ boards ]]\n"width" = 5\nlength = "1 m"\n'
    )
    found = {(p.section, p.key): p.line for p in trouble(text).problems}
    assert found == {
        ("", "name"): 1,
        ("given", "table_height"): 5,
        ("room.shop", "temperature"): 7,
        ("boards 2", "width"): 13,
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[given]\na = 735 mm\n", "line 2, column 9: is not TOML: expected newline or end of docu"),
        ("[given]\na = 735 mm\n", 'a text stands in quotes: a = "735 mm"'),
        ('a = "1"\na = "2"\n', "line 2, column 8: is not TOML: this name is given twice"),
        ("[given]\n[given]\n", "line 2, column 7: is not TOML: this section stands twice"),
        ("[given", "line 1: is not TOML"),
        ('a = "1\n', "line 1, column 7: is not TOML"),
        ("x=" + "[" * 1500, "brackets inside brackets, too many deep"),
        ("x=" + ("[" * 500 + "\n") * 99, "brackets inside brackets, too many deep"),
        ("x=" + "{a=" * 500, "is not TOML"),
        ("x = " + "9" * 5000, "line 1: has 5004 characters; 2000 are the most a line may have"),
        ("a = 1\rb = 2", "line 1, column 6: is not TOML"),
    ],
)
def test_what_is_not_toml(text, told):
    assert told in str(trouble(text))


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"\xff\xfe[\0g\0", "is UTF-16 text; expected UTF-8"),
        (b"\x89PNG\r\n\0\0", "is not a text file"),
        (b"name = 'x'\nkind = '\xe9'\n", "line 2: found a byte 0xe9 that is not UTF-8"),
        (b"# " + b"x" * 1_000_000, "is larger than 1 MB"),
    ],
)
def test_what_is_not_text(tmp_path, raw, told):
    path = tmp_path / "trial.toml"
    path.write_bytes(raw)
    with pytest.raises(BriefError) as caught:
        read_brief(path)
    assert str(caught.value).startswith(str(path)) and told in str(caught.value)


def test_files_as_editors_write_them(tmp_path):
    path = tmp_path / "trial.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert read_brief(path) == parse_brief(TEXT)
    path.write_bytes(TEXT.replace("735 mm", "735").replace("\n", "\r\n").encode())
    with pytest.raises(BriefError, match="line 4, "):
        read_brief(path)


def test_what_is_not_a_file(tmp_path):
    (tmp_path / "other.toml").write_text("[given]\n")
    with pytest.raises(BriefError, match=r"there is no such file; beside it: other\.toml"):
        read_brief(tmp_path / "trial.toml")
    with pytest.raises(BriefError, match="is a folder; expected a brief in it"):
        read_brief(tmp_path)
    with pytest.raises(BriefError, match="larger than 1 MB"):
        read_brief(Path("/dev/zero"))
    with pytest.raises(BriefError, match="cannot be read"):
        read_brief("a\0b")


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    path = tmp_path / "trial.toml"
    path.write_text(TEXT)

    def refuse(*_):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(BriefError, match="cannot be read: Permission denied"):
        read_brief(path)
