"""Tracks in FIT files, the binary format of recording devices: places, heights and times of its records."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any, NamedTuple

from provand.finding import BadInput, find

SEMICIRCLES_PER_DEG = 2.0**31 / 180
"""FIT counts angles in parts of a half circle: 2^31 of them (the FIT protocol's unit `semicircles`)."""
HEADER_BYTES = (12, 14)
SIGN_AT, SIGN = 8, b".FIT"
POSITION = ("position_lat", "position_long")
HEIGHTS = ("enhanced_altitude", "altitude")


class Fix(NamedTuple):
    """A point of a track; the height is NaN where it is not known."""

    latitude_deg: float
    longitude_deg: float
    height_m: float
    time: datetime | None


def is_fit(data: bytes) -> bool:
    """Return whether bytes begin as a FIT file does, by its sign in the header."""
    return data[:1] in {bytes([size]) for size in HEADER_BYTES} and data[SIGN_AT:].startswith(SIGN)


def read_fit(data: bytes, name: str) -> list[Fix]:
    """Return the points that a FIT file records; BadInput for one cut, changed or without a position."""
    import fitdecode  # noqa: PLC0415 - only a course file needs it

    fixes = []
    try:
        with fitdecode.FitReader(data, check_crc=fitdecode.CrcCheck.RAISE) as reader:
            for frame in reader:
                if isinstance(frame, fitdecode.FitDataMessage) and frame.name == "record":
                    fix = _fix(frame)
                    fixes += [fix] if fix is not None else []
    except fitdecode.FitEOFError:
        raise BadInput(find("file.fit_cut", name)) from None
    except fitdecode.FitCRCError:
        raise BadInput(find("file.fit_changed", name)) from None
    except (fitdecode.FitError, ValueError, KeyError, TypeError, IndexError) as error:
        raise BadInput(find("file.not_fit", name, problem=" ".join(str(error).split())[:120])) from None
    if not fixes:
        raise BadInput(find("course.no_track", name))
    return fixes


def _fix(record: Any) -> Fix | None:
    """Return the point of a record, or None where it has no position (indoors, before the first signal)."""
    latitude, longitude = (record.get_value(field, fallback=None) for field in POSITION)
    if latitude is None or longitude is None:
        return None
    heights = [record.get_value(field, fallback=None) for field in HEIGHTS]
    height_m = next((float(height) for height in heights if height is not None), math.nan)
    time = record.get_value("timestamp", fallback=None)
    return Fix(
        latitude_deg=latitude / SEMICIRCLES_PER_DEG,
        longitude_deg=longitude / SEMICIRCLES_PER_DEG,
        height_m=height_m,
        time=time if isinstance(time, datetime) else None,
    )
