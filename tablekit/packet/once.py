"""Saying a thing once: cautions that many checks share are read over when they are repeated."""

from __future__ import annotations

import re

LONG_ENOUGH = 50  # characters: short sentences may well stand twice


class Once:
    """Takes texts one after another, and leaves out of each the long sentences that an earlier one
    has said in the same words. What is left is never empty."""

    def __init__(self) -> None:
        self._said: set[str] = set()

    def __call__(self, text: str, keep: bool = False) -> str:
        """The text without what was said before; the whole of it with `keep`, as where it says what
        has to be changed."""
        kept = []
        for sentence in re.split(r"(?<=[.!?]) (?=[A-Z])", text):
            if len(sentence) < LONG_ENOUGH or sentence not in self._said:
                kept.append(sentence)
            self._said.add(sentence)
        return text if keep else " ".join(kept) or text
