"""The net catches what it is for, and lets through what it should."""

from __future__ import annotations

import pytest

from tests.slow.many_briefs import HURRIED
from tests.slow.same_answers import differences

ONE = {"a": 1.0, "checks": [{"id": "push", "value": 60.0}], "said": "fine"}


@pytest.mark.parametrize(
    ("other", "told"),
    [
        (ONE | {"a": 1.0 + 5e-13}, []),
        (ONE | {"a": 1.0 + 5e-12}, ["/a"]),
        (ONE | {"a": None}, ["/a"]),
        (ONE | {"said": "Fine"}, ["/said"]),
        (ONE | {"said": f"fine. {HURRIED}."}, []),
        (ONE | {"b": 2}, ["/b"]),
        ({key: ONE[key] for key in ("a", "checks")}, ["/said"]),
        (ONE | {"checks": [{"id": "push", "value": 61.0}]}, ["/checks/push/value"]),
        (ONE | {"checks": []}, ["/checks"]),
    ],
)
def test_what_differs_is_told_with_its_place(other: dict, told: list[str]) -> None:
    assert [line.split(":")[0] for line in differences(ONE, other)] == told
