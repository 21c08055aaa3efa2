"""Moments and days as the practitioner's own clock shows them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta


def moment(at: datetime) -> str:
    """Return an aware moment in local time, as 3 April 2026, 14:05."""
    local = at.astimezone()
    return f"{local.day} {local:%B %Y, %H:%M}"


FIRST, LAST = date(1971, 1, 1), date(9000, 1, 1)
"""Days between which every clock can count; nothing was handed out before, nothing will be after."""


def end_of(day: date) -> datetime:
    """Return the aware moment at which a day ends where this program runs."""
    within = min(max(day, FIRST), LAST)
    return datetime.combine(within + timedelta(days=1), time.min).astimezone()
