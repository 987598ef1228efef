"""Text as a terminal that knows few letters can show it."""

from __future__ import annotations

# What a terminal that knows only ASCII, or little more, gets instead.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‘’′", "'"),
        **dict.fromkeys("“”″", '"'),
        **dict.fromkeys("–—−", "-"),
        **dict.fromkeys("·×⋅", "*"),
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
        "°": " deg", "²": "^2", "³": "^3", "√": "sqrt", "∛": "cbrt", "π": "pi",
        "≤": "<=", "≥": ">=", "≈": "~", "≠": "!=", "±": "+/-", "→": "->", "…": "...",
        "α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta", "η": "eta", "θ": "theta",
        "κ": "kappa", "λ": "lambda", "ρ": "rho", "σ": "sigma", "τ": "tau", "φ": "phi",
        "Δ": "Delta", "\u00a0": " ",
    }
)  # fmt: skip


def fitted(text: str, encoding: str | None) -> str:
    """`text` as `encoding` can show it: unchanged, or with plain letters for what it lacks."""
    encoding = encoding or "ascii"
    try:
        text.encode(encoding)
        return text
    except UnicodeEncodeError:
        # Only what is lacking: a terminal that has the degree sign should show it.
        return "".join(_fitted_letter(c, encoding) for c in text)


def _fitted_letter(letter: str, encoding: str) -> str:
    try:
        letter.encode(encoding)
        return letter
    except UnicodeEncodeError:
        return letter.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
