"""Whether a copied file is the shipped one."""

from __future__ import annotations

import json
from pathlib import Path


def same(copy: Path, shipped: Path) -> bool:
    """Byte for byte; of a notebook all but the language of its kernel, which a copy may name more
    fully, and that one has to be Python in both."""
    if shipped.suffix != ".ipynb":
        return copy.read_bytes() == shipped.read_bytes()
    one, other = (json.loads(path.read_text("utf-8")) for path in (copy, shipped))
    languages = [found["metadata"].pop("language_info")["name"] for found in (one, other)]
    return one == other and languages == ["python", "python"]
