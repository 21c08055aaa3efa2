"""A cleared plan with all that it was made of, so that what may become of it is planned in the same way."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from provand.case.case import Case
from provand.case.change import Change, apply
from provand.case.door import Beside, case_of
from provand.case.happened import packs_carried
from provand.case.intake import Intake, as_typed
from provand.case.scene import Scene
from provand.case.typed import Document, Step, add, drop, edited, plain, put
from provand.finding import BadInput, Finding
from provand.larder.item import WATER
from provand.plan.document import Cleared, DrinkingLine, Plan
from provand.plan.look import Looked, limits_passed, look
from provand.plan.review import review
from provand.protocol.own import Protocols
from provand.safety.screening import Screening


class Tried(NamedTuple):
    """What stands after something has happened, and the line about thirst that holds then.

    The line in people's hands holds wherever the gate passes it; else it is the one planned anew. `cleared`
    is None where there is no plan, with the reasons in `why`, without a word of a part that is withheld.
    """

    schedule: tuple[Intake, ...] = ()
    cleared: Cleared | None = None
    drinking: DrinkingLine | None = None
    why: tuple[Finding, ...] = ()


class Standing(NamedTuple):
    """A cleared plan, its case as typed and as read, and what else the plan is a function of."""

    cleared: Cleared
    typed: Document
    case: Case
    screening: Screening
    protocols: Protocols
    beside: Beside
    as_of: date

    @property
    def plan(self) -> Plan:
        return self.cleared.plan

    @property
    def is_tied_to_places(self) -> bool:
        """Whether the schedule can be taken as given in another race: no pin is tied to a time."""
        wishes = self.case.wishes
        return wishes.schedule == "as given" or all(pin.at_m is not None for pin in wishes.pinned)

    def as_given(self, intakes: Sequence[Intake], change: Change | None = None) -> Tried:
        """Return what stands after a change where the schedule is laid so; no solver runs."""
        rows = [as_typed(intake) for intake in intakes]
        return self._after(
            change,
            lambda typed: (
                *(drop(f"wishes.{key}") for key in ("pinned",) if key in typed.get("wishes", {})),
                put("wishes.schedule", "as given"),
                put("wishes.given", rows),
            ),
        )

    def solved(self, change: Change, pinned: Sequence[Intake] | None = None, *, without: str = "") -> Tried:
        """Return what stands after a change, solved near the schedule as it is around what is pinned.

        Of nothing is more taken out of pockets than the plan carries. `without` is the id of an item of
        which no more is planned than is pinned: as if it had never been rehearsed, and something without
        carbohydrate in its place, so that the rate that stayed down stands.
        """
        rows = [one.item for one in self.case.athlete.rehearsed]

        def steps(typed: Mapping[str, Any]) -> Iterator[Step]:
            wishes = typed.get("wishes", {})
            yield from (drop(f"wishes.{key}") for key in ("schedule", "given") if key in wishes)
            if pinned is not None:
                yield put("wishes.pinned", [as_typed(intake) for intake in pinned])
            if without in rows:
                yield put(f"athlete.rehearsed[{1 + rows.index(without)}].item", WATER)
            yield from self._no_more_carried(typed["athlete"].get("stock", ()))

        return self._after(change, steps)

    def _no_more_carried(self, stock: Iterable[Mapping[str, Any]]) -> Iterator[Step]:
        """Yield how many packs there are of what can be carried, where nobody has said it."""
        said = {row["item"] for row in stock}
        carried = packs_carried(Scene(self.case, self.plan.race.intakes))
        for item in self.case.items:
            if item.id not in said:
                yield add("athlete.stock", {"item": item.id, "packs": carried.get(item.id, 0)})

    def _after(self, change: Change | None, steps: Callable[[Mapping[str, Any]], Iterable[Step]]) -> Tried:
        """Return what stands after a change and edits of the wishes; a change that cannot be is a reason."""
        typed = plain(self.typed)
        try:
            if change is not None:
                typed = plain(apply(change, typed, self.case, anchor=self.plan.race.intakes).typed)
            typed = plain(edited(typed, steps(typed)))
            case = case_of(typed, beside=self.beside, as_of=self.as_of)
        except BadInput as error:
            return self._tried(Looked(error=error), self.case)
        looked = look(case, self.screening, protocols=self.protocols, as_of=self.as_of)
        return self._tried(looked, case)

    def _tried(self, looked: Looked, case: Case) -> Tried:
        if looked.cleared is None:
            found = () if looked.error is None else looked.error.findings
            return Tried(looked.schedule, why=limits_passed(found, self.screening.withheld))
        in_hand, plan = self.plan.race.drinking, looked.cleared.plan
        held = plan.model_copy(update={"race": plan.race.model_copy(update={"drinking": in_hand})})
        passes = not review(held, case, self.screening)
        return Tried(looked.schedule, looked.cleared, in_hand if passes else plan.race.drinking)
