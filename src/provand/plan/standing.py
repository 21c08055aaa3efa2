"""A cleared plan with all that it was made of, so that what may become of it is planned in the same way."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.change import Change, apply
from provand.case.door import Beside, case_of
from provand.case.intake import Intake, as_typed
from provand.case.typed import Document, Step, drop, edited, plain, put
from provand.finding import BadInput, Finding
from provand.plan.document import Cleared, Plan
from provand.plan.look import Looked, limits_passed, look
from provand.protocol.own import Protocols
from provand.safety.screening import Screening


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

    def why_not(self, looked: Looked) -> tuple[Finding, ...]:
        """Return why there is no plan, without a word of a part that is withheld."""
        found = () if looked.error is None else looked.error.findings
        return limits_passed(found, self.screening.withheld)

    def as_given(self, change: Change, intakes: Sequence[Intake]) -> Looked:
        """Return what stands after a change where the schedule is laid so; no solver runs."""
        rows = [as_typed(intake) for intake in intakes]
        return self._after(change, lambda _: (put("wishes.schedule", "as given"), put("wishes.given", rows)))

    def solved(self, change: Change, *, done: Sequence[Intake] = ()) -> Looked:
        """Return what stands after a change, solved near the schedule as it is; what is done stays."""

        def steps(wishes: Container[str]) -> Iterator[Step]:
            yield from (drop(f"wishes.{key}") for key in ("schedule", "given") if key in wishes)
            if done:
                yield put("wishes.pinned", [as_typed(intake) for intake in done])

        return self._after(change, steps)

    def _after(self, change: Change, steps: Callable[[Container[str]], Iterable[Step]]) -> Looked:
        """Return what stands after a change and edits of the wishes; a change that cannot be is an error."""
        try:
            made = apply(change, self.typed, self.case, anchor=self.plan.race.intakes)
            typed = plain(edited(plain(made.typed), steps(plain(made.typed).get("wishes", {}))))
            case = case_of(typed, beside=self.beside, as_of=self.as_of)
        except BadInput as error:
            return Looked(error=error)
        return look(case, self.screening, protocols=self.protocols, as_of=self.as_of)
