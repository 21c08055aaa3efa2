"""Days and clock times as people write them, `17 April 1988`, in the form of a case file."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime

FORMS = (
    "%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%d-%m-%Y",
    "%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d %Y",
)  # fmt: skip
"""The year always in four digits: of two, nobody knows which they are."""
WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
ORDINAL = re.compile(r"(?<=\d)(?:st|nd|rd|th)\b", re.IGNORECASE)
TIME = re.compile(r"^(.*?)[\s,T]+(?:at\s+)?([01]?\d|2[0-3])[:.h]([0-5]\d)(?::00)?$", re.IGNORECASE)


def day_readings(text: str) -> tuple[str, ...]:
    """Return every day that a text may mean, as `2026-12-06`: `3/4/2026` has two, nonsense none."""
    plain = ORDINAL.sub("", WEEKDAY.sub("", " ".join(text.split()))).replace(",", "")
    found = []
    for form in FORMS:
        with suppress(ValueError):
            found.append(datetime.strptime(plain, form).date().isoformat())
    return tuple(dict.fromkeys(found))


def moment_readings(text: str) -> tuple[str, ...]:
    """Return every local moment that a text may mean, as `2026-12-06 09:00`; the clock has 24 hours."""
    split = TIME.match(" ".join(text.split()))
    if split is None:
        return ()
    clock = f"{int(split[2]):02d}:{split[3]}"
    return tuple(f"{day} {clock}" for day in day_readings(split[1]))
