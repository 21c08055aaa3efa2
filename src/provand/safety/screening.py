"""Screening: answers go in, parts and neutral sentences come out.

What is unanswered, unsigned, stale, dated ahead or unknown is a hold, mended by asking again. A hold of a
flag is lifted by what its row names: a clinician's reply, a named release, consent, time. The `Screening`
that goes on to the plan carries no answer; the reasons are handed back beside it, for the practitioner alone.
"""

from __future__ import annotations

import math
from datetime import date

from provand.case.case import Case
from provand.case.health import Health, Part
from provand.case.records import same_name
from provand.finding import Finding, find
from provand.record import Record
from provand.safety.flags import FluidCare, Outcome
from provand.safety.review import Review


class Screening(Record):
    """What safety allows of a plan: outcomes on parts, and sentences that give nothing away.

    `fluid_care` "half" halves the cool-air allowance and gives none before 45 min;
    `sodium_line_mmol_per_l` is the serum sodium that the fluid ceiling starts from; `caffeine_day_most_mg`,
    where it is not None, is a ceiling of caffeine in any 24 hours below that of adults.
    """

    outcome: Outcome
    withheld: tuple[Part, ...] = ()
    fluid_care: FluidCare = "usual"
    sodium_line_mmol_per_l: float
    caffeine_day_most_mg: float | None = None
    minor: bool = False
    findings: tuple[Finding, ...] = ()

    @property
    def may_issue(self) -> bool:
        """True when anything personal may be handed out."""
        return self.outcome not in ("hold", "refer")

    @property
    def portions_only(self) -> bool:
        """True when nothing that is handed out may hold a gram, a weight or a kilocalorie."""
        return "grams" in self.withheld

    def stricter_than(self, other: Screening) -> bool:
        """True when a plan made under `other` may not stay in people's hands under this screening.

        That is: it holds, or withholds a part, or is more careful with fluid, sodium or caffeine, or is of a
        minor, or has a sentence to say that `other` did not say.
        """
        caffeine_mg, others_mg = (
            math.inf if one.caffeine_day_most_mg is None else one.caffeine_day_most_mg
            for one in (self, other)
        )
        return (
            not self.may_issue
            or not set(self.withheld) <= set(other.withheld)
            or (self.fluid_care == "half" and other.fluid_care != "half")
            or self.sodium_line_mmol_per_l < other.sodium_line_mmol_per_l
            or caffeine_mg < others_mg
            or (self.minor and not other.minor)
            or not {finding.code for finding in self.findings} <= {finding.code for finding in other.findings}
        )


def binds(health: Health, case: Case) -> bool:
    """True when the answers are of the athlete of this case: the same name and birth date."""
    return same_name(health.athlete, case.athlete.name) and health.born == case.athlete.born


def _is_the_example(health: Health, case: Case) -> bool:
    """True when an example's answers are all by the invented athlete whom they are of."""
    names = {answer.by for answer in health.answers} | {medicine.by for medicine in health.medicines}
    return case.invented and all(same_name(name, case.athlete.name) for name in names if name.strip())


def screen(case: Case, health: Health | None, *, as_of: date) -> tuple[Screening, tuple[Finding, ...]]:
    """Return what a plan may hold; and the reasons, for the practitioner, which never go into a plan."""
    review = review_of(case, health, as_of=as_of)
    screening = Screening(
        outcome=review.outcome(),
        withheld=review.withheld(),
        fluid_care=review.fluid_care(),
        sodium_line_mmol_per_l=review.sodium_line_mmol_per_l(),
        caffeine_day_most_mg=review.caffeine_day_most_mg(),
        minor=review.is_minor,
        findings=review.neutral(),
    )
    return screening, review.reasons()


def review_of(case: Case, health: Health | None, *, as_of: date) -> Review:
    """Return the whole review of some answers, for who asks, writes letters and keeps replies."""
    review = Review(case, as_of)
    if health is None:
        review.found.append(find("screening.no_answers", "screening"))
    elif not binds(health, case):
        review.found.append(find("screening.other_person", "screening"))
    elif health.example and not _is_the_example(health, case):
        review.found.append(find("screening.example_answers", "screening"))
    else:
        review.read(health)
    return review
