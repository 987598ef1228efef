"""What a panel says apart from its answer, marked for eyes and for screen readers."""

from __future__ import annotations

import html
from collections.abc import Sequence


def told_html(sentences: Sequence[str]) -> str:
    """Sentences, one under the other."""
    lines = "<br>".join(html.escape(sentence) for sentence in sentences)
    return f'<div role="status" style="line-height:1.4">{lines}</div>'


def unseen_html(text: str) -> str:
    """Words for those who hear a page and do not see it: what a picture beside them shows."""
    hidden = "position:absolute; width:1px; height:1px; overflow:hidden; clip-path:inset(50%)"
    return f'<span style="{hidden}">{html.escape(text)}</span>'
