"""How far a solve is, in words for the page that waits for it: the part, the goal, the best of it so far."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import NamedTuple

from provand.planner.progress import Stage
from provand.workspace import at_work
from provand.workspace.beside import Beside

TURN = "It is about to begin; other work may be before it."
PARTS = {
    "pins": "It looks whether all that is pinned fits together.",
    "wider gaps": "Not everything fits with even gaps; now with wider ones.",
    "in the way": "Not everything fits even so; it looks which wishes stand in the way.",
    "menu, eased": "Not every wish fits; some of them are eased.",
    "nearest menu": "No menu comes to the target; it seeks the nearest.",
}
"""What is told of a part of the work beside its goals."""
WITHOUT_COUNT = {"in the way"}
"""Parts in which one goal is sought again and again, nobody knows how often."""
GOALS = {
    "carbohydrate to 5 g": ("the carbohydrate, to 5 g", "steps off"),
    "evenness": ("even gaps", "uneven"),
    "thirst, amount": ("the most for thirst at each station", "levels under a cup"),
    "caffeine wish": ("the caffeine that is wished for", "mg missing"),
    "lines changed": ("few lines changed", "changed"),
    "handling": ("little to handle", "points"),
    "carbohydrate to 1 g": ("the carbohydrate, to the gram", "g off"),
    "road": ("places that suit the road", "points"),
    "tie-break": ("one among schedules that are equal", ""),
    "no other": ("whether it is the only best one", ""),
    "carbohydrate": ("the carbohydrate of each day", "g off"),
    "in the house, unused": ("what is in the house", "foods unused"),
    "liking": ("what is liked", "points of dislike"),
    "monotony": ("variety", "times the same"),
    "foods to buy": ("few foods to buy", "foods"),
}
"""What each goal is called, and what its count counts; nothing is told of the count of one without."""
EASED = "the wishes that were eased"


class HowFar(NamedTuple):
    """What a page tells of a solve: for how long, what it is at, and how much of the goals is through."""

    taken: str
    says: tuple[str, ...]
    through_count: float | None
    of: int


class Waits(NamedTuple):
    """What a page waits for: how far it is, since when, for whom, and whether who looks may stop it."""

    far: HowFar
    since: datetime
    whose: str
    may_stop: bool


def waits_for_job(beside: Beside, *, in_words: bool) -> Waits:
    """Return how far the work beside a page is, for who asked for it and for everybody else."""
    job, since = beside.job, beside.job.audit.at
    far = how_far(at_work.heard(job.key), since, in_words=in_words)
    return Waits(far, since, "" if beside.mine else job.owner.name, beside.mine)


def how_far(stage: Stage | None, since: datetime, *, in_words: bool, now: datetime | None = None) -> HowFar:
    """Return how far a solve is; `in_words` names and counts no goal: some part is withheld, or all weights.

    `stage` is None while nothing of it has begun.
    """
    taken_s = max(0, round(((now or datetime.now(UTC)) - since).total_seconds()))
    taken = f"{taken_s} s" if taken_s < 120 else f"{taken_s // 60} min {taken_s % 60} s"
    if stage is None:
        return HowFar(taken, (TURN,), None, 0)
    part = (PARTS[stage.part],) if stage.part in PARTS else ()
    if not stage.of or stage.part in WITHOUT_COUNT:
        return HowFar(taken, part, None, 0)
    return HowFar(taken, (*part, _goal(stage, in_words=in_words)), _through(stage), stage.of)


def _through(stage: Stage) -> float:
    """Return how many goals are through; of one whose search has an end, the part of it too."""
    part = min(1.0, stage.nodes / stage.max_nodes) if stage.max_nodes else 0.0
    return round(stage.nth - 1 + part, 2)


def _goal(stage: Stage, *, in_words: bool) -> str:
    count = f"Goal {stage.nth} of {stage.of}"
    if in_words:
        return f"{count}."
    name, unit = GOALS.get(stage.goal, (EASED, ""))
    return f"{count}, {name}{_best(stage, unit)}."


def _best(stage: Stage, unit: str) -> str:
    if stage.best is None or not unit:
        return ""
    under = f", and it cannot be under {stage.bound}" if stage.bound is not None and stage.bound > 0 else ""
    if stage.bound is not None and stage.bound >= stage.best:
        under = ", which is the best there is"
    return f": {stage.best} {unit} so far{under}"
