"""The whole answer to a brief: its sheet, and all that is worked out from the two."""

from tablekit.design.design import Design

__all__ = ["Design"]
