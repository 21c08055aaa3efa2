"""How words tell a weight or energy: what someone who is not to see weights must not read."""

from __future__ import annotations

import re

WEIGHTS = re.compile(
    r"[\d.,]*\d\s*(?:g|kg|mg|kcal|kj|lbs?|oz|grams?|kilos?|calories)\b|\b(?:grams?|kilograms?|kcal|calories)\b"
    r"|g/kg|%\s*of body|\bbody (?:mass|weight)|(?<!font-)\bweigh(?:s|t|ts|ed|ing)?\b|\bsweat tests?\b",
    re.IGNORECASE,
)
"""What someone who is not to see weights must not read."""
