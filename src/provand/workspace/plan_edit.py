"""A change of a plan from its page: made of the case as typed, kept as a version, told in a sentence."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.change import Change, Move, Pin, Swap, Unpin
from provand.case.typed import text_of
from provand.finding import BadInput, find
from provand.pack.voice import km, whole
from provand.plan.changing import Changed, changed
from provand.plan.document import Plan, Stop
from provand.plan.look import Looked, limits_passed
from provand.units import clock
from provand.workspace import desk as desks
from provand.workspace import plans
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, User

OWN = ("override", "lift")
"""Changes that a practitioner alone makes."""
FLUID = "race.fluid_so_far_ml"


class Edited(NamedTuple):
    """The race file after a change, the change in words, and the intake that was chosen, if it is there."""

    desk: Desk
    said: str
    chosen: int | None = None


def edited(ledger: Ledger, *, desk: Desk, revision: int, change: Change, by: User, as_of: date) -> Edited:
    """Make a change and keep it; nothing is kept where it cannot be.

    BadInput where the change cannot be or nothing can be computed of what comes of it, Stale where somebody
    else wrote since, OnHold where a schedule would be laid unseen. A schedule laid by hand is kept though it
    passes a limit: it is shown, never cleared, and undo takes it back. A pin that passes one is refused.
    """
    if change.kind in OWN and not by.is_practitioner:
        raise BadInput(find("workspace.not_yours", what="a target is set by a practitioner"))
    case, before, made = prepared(desk, change, as_of=as_of)
    after = tried(desk, made.case, as_of)
    if isinstance(change, Pin) and after is not None and len(after.breaches) > len(before.breaches):
        withheld = plans.basis_of(desk, case, as_of=as_of).screening.withheld
        raise BadInput(*limits_passed(after.breaches, withheld))
    kept = kept_as(ledger, desk, revision, case, made, by=by, as_of=as_of)
    told = _told(change, made.sentence, before.plan, after)
    return Edited(kept, told, _chosen(change, after.plan if after else None))


class Prepared(NamedTuple):
    """A case, what stands of it, and what a change would make of it; nothing is kept."""

    case: Case
    before: Looked
    made: Changed


def prepared(desk: Desk, change: Change, *, as_of: date) -> Prepared:
    """Return what a change would make of a race file. BadInput where it cannot be; OnHold as `changed`."""
    case = plans.case_at(desk, as_of=as_of)
    before = plans.looked_at(plans.basis_of(desk, case, as_of=as_of))
    if before is None:
        raise BadInput(find("workspace.solve_stopped", desk.title))
    made = changed(
        change,
        plans.document_at(desk),
        case,
        before,
        beside=lambda name: desks.file_of(desk, name),
        as_of=as_of,
    )
    return Prepared(case, before, made)


def tried(desk: Desk, case: Case, as_of: date) -> Looked | None:
    """Return what stands of a case whose schedule is given; None of one to be solved, which is tried bare.

    BadInput where nothing can be computed of it, whatever its schedule.
    """
    basis = plans.basis_of(desk, case, as_of=as_of)
    is_given = case.wishes.schedule == "as given"
    bare = case.wishes.model_copy(update={"schedule": "as given", "given": ()})
    tried = basis if is_given else basis._replace(case=case.model_copy(update={"wishes": bare}))
    looked = plans.looked_at(tried)
    if looked is not None and isinstance(looked.error, BadInput):
        raise looked.error
    return looked if is_given else None


def kept_as(
    ledger: Ledger, desk: Desk, revision: int, case: Case, made: Changed, *, by: User, as_of: date
) -> Desk:
    """Keep what a change made of `case`, and what was typed before it as its own version; Stale as above."""
    _settled(ledger, desk, case, by)
    kept = desks.changed(
        ledger,
        desk=desk,
        revision=revision,
        typed=text_of(made.typed),
        case=made.case,
        sentence=made.sentence,
        by=by,
    )
    plans.was_read(kept, made.typed, made.case, as_of=as_of)
    return kept


def _settled(ledger: Ledger, desk: Desk, case: Case, by: User) -> None:
    """Keep what was typed since as a version of its own, so that undo passes it step by step."""
    if desk.standing is None or desk.standing.typed != desk.typed:
        desks.settled(ledger, desk=desk, case=case, sentence=desks.TYPED, by=by)


def taken_back(ledger: Ledger, *, desk: Desk, revision: int, by: User, as_of: date) -> Edited:
    """Take the last change back; what was typed since is kept as a version first. As `desk.undone`."""
    _settled(ledger, desk, plans.case_at(desk, as_of=as_of), by)
    standing = Desk.objects.select_related("standing").get(pk=desk.pk).standing
    kept = desks.undone(ledger, desk=desk, revision=revision, by=by)
    return Edited(kept, f"Taken back: {standing.sentence if standing else ''}")


def made_again(ledger: Ledger, *, desk: Desk, revision: int, by: User) -> Edited:
    """Put back what was taken back last; as `desk.redone`."""
    kept = desks.redone(ledger, desk=desk, revision=revision, by=by)
    return Edited(kept, f"Made again: {kept.standing.sentence if kept.standing else ''}")


# The sentence that is read out.


def _told(change: Change, sentence: str, before: Plan | None, after: Looked | None) -> str:
    """Return a change as it is read out: `Moved to 13.1 km, 1:11. Fluid unchanged, below its ceiling.`"""
    if after is None or after.plan is None:
        return f"{sentence} The schedule is being solved." if after is None else sentence
    plan, parts = after.plan, [sentence]
    stop = _stop_of(change, plan)
    if isinstance(change, Move) and stop is not None:
        when = "" if plan.time_struck else f", {clock(stop.goal_s)}"
        parts = [f"Moved to {km(stop.at_m)} km{when}."]
    passed = limits_passed(after.breaches, plan.withheld)
    fluid = _fluid_told(before, plan, over=any(one.code == "gate.fluid" for one in passed))
    parts += [fluid] if fluid else []
    parts += [f"A limit is passed: {one.line()}" for one in passed]
    return " ".join(parts)


def _fluid_told(before: Plan | None, plan: Plan, *, over: bool) -> str:
    now, was = plan.series_of(FLUID), before.series_of(FLUID) if before else None
    if now is None:
        return ""
    same = was is not None and whole(was.mid[-1]) == whole(now.mid[-1])
    amount = "unchanged" if same else f"now {whole(now.mid[-1])} ml"
    return f"Fluid {amount}, {'over' if over else 'below'} its ceiling."


def _stop_of(change: Change, plan: Plan) -> Stop | None:
    chosen = _chosen(change, plan)
    return None if chosen is None else plan.race.stops[chosen]


def _chosen(change: Change, plan: Plan | None) -> int | None:
    """Return the number of the stop at which a change laid an intake, or None."""
    if plan is None or not isinstance(change, Move | Swap | Pin | Unpin):
        return None
    item = change.other if isinstance(change, Swap) else change.item
    at_m = _metres(change.to if isinstance(change, Move) else change.at, plan)
    with_it = [n for n, stop in enumerate(plan.race.stops) if any(take.item == item for take in stop.takes)]
    return min(with_it, key=lambda n: abs(plan.race.stops[n].at_m - at_m), default=None)


def _metres(typed: str, plan: Plan) -> float:
    """Return about where a place is that a change named and that could be read."""
    for station in plan.case.course.stations:
        if station.name.casefold() == typed.strip().casefold():
            return station.at_m
    number, _, unit = typed.strip().partition(" ")
    try:
        return float(number.replace(",", ".")) * (1000 if unit.strip().startswith("km") else 1)
    except ValueError:
        return 0.0
