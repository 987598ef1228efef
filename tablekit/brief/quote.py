"""The [quote] of a brief: what an hour costs, overhead and margin, and what else is paid for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tablekit.brief.keys import Price, TextKey, measure, read
from tablekit.brief.section import BriefSection
from tablekit.brief.workshop import span_of
from tablekit.planning.quoting import QuoteTerms
from tablekit.relations import lot

LONGEST_CURRENCY = 12
QUOTE_KEYS = (
    Price("labour_rate", "what an hour of work costs", "needed"),
    measure("overhead", span_of(lot.overhead_share), "none"),
    measure("margin", span_of(lot.margin_share), "none"),
    TextKey("currency", "what is written behind each sum", "nothing"),
    Price("fittings", "price of plates, screws and pads for all the pieces", "not priced"),
    Price("finish", "price of the finish for all the pieces", "not priced"),
    Price("hours", "hours of work for all the pieces", "those of the order of work", 100_000),
)


def read_quote(section: BriefSection | None) -> QuoteTerms | None:
    """The section [quote]; None where there is none, or where too much is wrong with it."""
    if section is None:
        return None
    said: dict[str, Any] = read(section, QUOTE_KEYS)
    if "labour_rate" not in section.table:
        section.wrong("", "labour_rate is missing: what an hour of work costs, a number")
    if len(said["currency"] or "") > LONGEST_CURRENCY:
        section.wrong("currency", f"currency is longer than {LONGEST_CURRENCY} characters")
    if said["labour_rate"] is None:
        return None
    usual: dict[str, Any] = {"overhead": 0.0, "margin": 0.0, "currency": ""}
    return QuoteTerms(**{**said, **{key: said[key] or one for key, one in usual.items()}})


def quote_values(terms: QuoteTerms | None) -> Mapping[str, object]:
    """The section as a brief writes it; what is not said is None."""
    if terms is None:
        return {}
    said = {key.name: getattr(terms, key.name) for key in QUOTE_KEYS}
    usual = {"overhead": 0.0, "margin": 0.0, "currency": ""}
    plain = {key: None if usual.get(key) == one else one for key, one in said.items()}
    return {key: float(one) if isinstance(one, float) else one for key, one in plain.items()}
