"""Targets raised and ceilings lowered by a person's margin: plain arithmetic in place of a chance."""

from collections.abc import Iterable
from dataclasses import replace

from catalog.records import Limit


def with_margin(limits: Iterable[Limit], margin: float) -> tuple[Limit, ...]:
    """The limits with every target so much higher and every ceiling so much lower, as shares of themselves; each says
    so in its note. Legal maxima stay: they hold as they are."""
    return tuple(_moved(limit, margin) if margin and not limit.is_legal else limit for limit in limits)


def _moved(limit: Limit, margin: float) -> Limit:
    words = f"with your margin of {100 * margin:g} %"
    return replace(
        limit,
        minimum=None if limit.minimum is None else limit.minimum * (1 + margin),
        maximum=None if limit.maximum is None else limit.maximum * (1 - margin),
        note=f"{limit.note}; {words}" if limit.note else words,
    )
