"""The windows that pages are tried in."""

from __future__ import annotations

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 360, "height": 740}
