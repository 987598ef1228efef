"""Saying a thing once."""

from tablekit.packet.checks import Once

AID = "This is a design aid and no certificate: load a trial piece well beyond use first."


def test_a_long_sentence_is_said_once_and_short_ones_as_often_as_they_come() -> None:
    once = Once()
    assert once(f"0.84. Strong enough. {AID}") == f"0.84. Strong enough. {AID}"
    assert once(f"0.12. Strong enough. {AID}") == "0.12. Strong enough."
    assert once(f"{AID} Mind the rim.") == "Mind the rim."
    assert once(f"Saw here. {AID}", keep=True) == f"Saw here. {AID}"


def test_nothing_is_never_said() -> None:
    once = Once()
    assert [once(AID), once(AID)] == [AID, AID]


def test_another_wording_is_another_sentence() -> None:
    once = Once()
    once(AID)
    assert once(AID.replace("design", "shop")) == AID.replace("design", "shop")
