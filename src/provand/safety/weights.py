"""How words tell a weight or energy: what someone who is not to see weights must not read."""

from __future__ import annotations

import re

WEIGHTS = re.compile(
    r"[\d.,]*\d[\s\u2067-\u2069]*(?:g|kg|mg|kcal|kj|lbs?|oz|grams?|kilos?|calories|غ|كغ)\b|\b(?:grams?|kilograms?|kcal|calories)\b"
    r"|g/kg|%\s*of body|\bbody (?:mass|weight)|(?<!font-)\bweigh(?:s|t|ts|ed|ing)?\b|\bsweat tests?\b"
    r"|\b(?:gramos?|gramm|grammes?|kilogram[mo]\w*|(?:kilo)?calor[ií]as?|(?:kilo)?kalorien)\b"
    r"|\bpeso corporal\b|\bkörpergewicht|\bpoids\b|\btests? de sueur\b|\b(?:pesarte|wiegen|pèse[rsz]?)\b"
    r"|غرام|جرام|سعر(?:ة|ات) حراري|وزن الجسم",
    re.IGNORECASE,
)
"""What someone who is not to see weights must not read."""
