"""The picture for a locked phone, 9:19.5: its upper third empty for the clock, big times and items, the code.

It is light on dark, as phones set their clock in light letters. Whoever picks the phone up reads it, so it
names no health fact and no figure of a body. Letters are 15 points and up on a screen 390 points wide; where
not all intakes fit so, there is no picture: half a plan would look like a whole one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from provand.pack.letters import lines_of, printable, width_of
from provand.pack.message import entry_words
from provand.pack.sheet import DRAFT, INVENTED, own_start_words, texts
from provand.pack.tongue import say
from provand.pack.typeset import png
from provand.pack.voice import no_weights, short_day
from provand.pack.wrist import CAP_HEIGHT, Entry, Pt, entries, rules, short_name
from provand.plan.document import Plan

WIDTH_PT, HEIGHT_PT = 390.0, 845.0
PIXELS_PER_PT = 3
SIDE_PT: Pt = 24.0
TOP_PT: Pt = HEIGHT_PT / 3 + 6
"""Where the words begin: the third over them is the phone's own."""
FOOT_PT: Pt = 106.0
"""Room at the foot for the code, and under it for the phone's own buttons."""
GAP_PT: Pt = 11.0
SIZES_PT: tuple[tuple[Pt, Pt, Pt], ...] = (
    (30, 22, 17),
    (26, 20, 16),
    (24, 18, 15),
    (20, 16, 15),
    (17, 15, 15),
)
"""Sizes of times, of items and of rules; the first that fits is taken."""
LEADING = 1.18
GROUND, INK, QUIET = "#15181b", "#ece9e2", "#b0b3b5"
"""Ground and letters; the contrast of both is at least 7:1 on it."""


def has_room(plan: Plan) -> bool:
    """Return whether all that is carried fits in letters large enough."""
    return _laid(plan) is not None


def lock_picture(plan: Plan, *, draft: bool = False) -> bytes:
    """Return the picture as a PNG of 1170 × 2535 pixels; only for a plan that has room."""
    data = lock_data(plan, draft=draft)
    no_weights(texts([data["rows"], data["rules"]]), "lock.png")
    return png("lock.typ", data, pixels_per_pt=PIXELS_PER_PT)


def lock_data(plan: Plan, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the picture shows."""
    laid = _laid(plan)
    assert laid is not None
    case = plan.case
    athlete = short_name(printable(case.athlete.name, "athlete.name"), 13, 60)
    maker = short_name(printable(case.practitioner.name, "practitioner.name"), 13, 60)
    return laid | {
        "width": WIDTH_PT,
        "height": HEIGHT_PT,
        "side": SIDE_PT,
        "top": TOP_PT,
        "ground": GROUND,
        "ink": INK,
        "quiet": QUIET,
        "code": say(DRAFT) if draft else plan.code,
        "foot": [
            say("{athlete}, by {maker}", athlete=athlete, maker=maker),
            say("No medical advice. Rehearse it first."),
            *([say(INVENTED)] if case.invented else []),
        ],
    }


def _laid(plan: Plan) -> dict[str, Any] | None:
    """Return rows and rules at the largest sizes that fit; the if-then lines give way first, then places."""
    listed, short = entries(plan), rules(plan, fewest_words=True)
    fewest = [short[0], short[-1]]
    without = [replace(entry, place="") for entry in listed]
    for shown, wording in ((listed, short), (listed, fewest), (without, fewest)):
        for sizes in SIZES_PT:
            laid = _at(plan, shown, wording, sizes)
            if laid is not None:
                return laid
    return None


def _at(
    plan: Plan, listed: Sequence[Entry], wording: Sequence[str], sizes: tuple[Pt, Pt, Pt]
) -> dict[str, Any] | None:
    """Return rows and rules at sizes of times, items and rules, or None where they do not fit."""
    time_pt, item_pt, rule_pt = sizes
    room_pt = WIDTH_PT - 2 * SIDE_PT
    lead_pt = max((_lead_pt(entry, time_pt) for entry in listed), default=0.0)
    items_pt = room_pt - lead_pt - GAP_PT
    rows = [_row(entry, items_pt, sizes) for entry in listed]
    told = [lines_of(text, "condensed-bold", rule_pt, room_pt) for text in wording]
    rows_pt = sum(_row_pt(row, sizes) + GAP_PT for row in rows)
    rules_pt = sum(len(lines) * LEADING * rule_pt + GAP_PT / 2 for lines in told)
    high_pt = LEADING * rule_pt + 4 * GAP_PT + rows_pt + rules_pt
    words = [word for row in rows for line in row["items"] for word in line.split()]
    widest_pt = max((width_of(word, "condensed-bold", item_pt) for word in words), default=0.0)
    if high_pt > HEIGHT_PT - TOP_PT - FOOT_PT or widest_pt > items_pt:
        return None
    start = own_start_words(plan, "–")
    return {
        "rows": rows,
        "nothing": "" if rows else say("Nothing to take in this race."),
        "rules": told,
        "head": say("{day}, own start {start}", day=short_day(plan.case.race.gun.date()), start=start),
        "sizes": sizes,
        "lead": lead_pt,
        "gap": GAP_PT,
        "leading": LEADING - CAP_HEIGHT,
    }


def _row(entry: Entry, room_pt: Pt, sizes: tuple[Pt, Pt, Pt]) -> dict[str, Any]:
    _, item_pt, rule_pt = sizes
    return {
        "when": entry.when,
        "unit": entry.unit,
        "items": lines_of(entry_words(entry), "condensed-bold", item_pt, room_pt),
        "place": lines_of(entry.place, "condensed-bold", rule_pt, room_pt),
    }


def _row_pt(row: dict[str, Any], sizes: tuple[Pt, Pt, Pt]) -> Pt:
    time_pt, item_pt, rule_pt = sizes
    return max(LEADING * time_pt, LEADING * (len(row["items"]) * item_pt + len(row["place"]) * rule_pt))


def _lead_pt(entry: Entry, size: Pt) -> Pt:
    unit_pt = width_of(f" {entry.unit}", "condensed-bold", 0.7 * size) if entry.unit else 0.0
    return 1.04 * width_of(entry.when, "sans-bold", size) + unit_pt
