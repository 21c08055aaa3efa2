"""What every template needs of the language spoken: how it runs, and the words that stand on each sheet."""

from __future__ import annotations

from typing import Any

from provand.pack.tongue import say, spoken

NUMBER, COUNT = "{n}", "{count}"


def speech() -> dict[str, Any]:
    """Return language, direction, and the words of head and foot; paper fills in what is in braces."""
    language = spoken().language
    return {
        "lang": language.lang,
        "region": language.region,
        "dir": "rtl" if language.is_leftward else "ltr",
        "sheet": say("sheet {n} of {count}", n=NUMBER, count=COUNT),
        "draft": say("Draft, not issued: hand nothing of it out"),
        "invented": say("Invented example: no real person, no real race"),
        "counts": say("Only the copy with the code {code} counts.", code="{code}"),
        "comma": say("{these}, {more}", these="", more=""),
        "unread": unread(),
    }


def unread() -> str:
    """Return the sentence that warns of a language nobody has vouched for, or an empty string.

    It stands in English, for the practitioner, whatever is spoken.
    """
    tongue = spoken()
    if tongue.is_approved:
        return ""
    return f"{tongue.language.english}: no native speaker has approved these words"
