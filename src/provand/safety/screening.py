"""Screening: answers go in, parts and neutral sentences come out. Coarse, and safe from the first day.

Every question is asked of everyone. What is unanswered, unsigned, stale, dated ahead or unknown is a hold,
and nothing lifts a hold or a refer yet. The `Screening` that goes on to the plan carries no answer; the
reasons are handed back beside it, for the practitioner alone.
"""

from __future__ import annotations

import math
from datetime import date
from typing import Literal

from provand.case.case import Case
from provand.case.health import Answer, Health, Medicine, Part
from provand.case.records import same_name
from provand.finding import Fact, Finding, Level, find
from provand.protocol.rules import value
from provand.record import Record
from provand.safety.flags import Flag, FluidCare, Outcome, flags, gravest
from provand.safety.medicines import MedicineClass, match

RACE_WEEK_DAYS = 7
KEPT_DAYS = 7
"""A "yes" of these last days is not taken back by a later "no", whatever the question."""


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


def _by_others(health: Health, case: Case) -> list[str]:
    """Return the names of those who answered and are not the athlete."""
    names = {answer.by for answer in health.answers} | {medicine.by for medicine in health.medicines}
    return sorted(name for name in names if name.strip() and not same_name(name, case.athlete.name))


def _is_the_example(health: Health, case: Case) -> bool:
    """True when an example's answers are all by the invented athlete whom they are of."""
    return case.invented and not _by_others(health, case)


def age_years(born: date, on: date) -> int:
    """Return the age in whole years; someone born on 29 February comes of age on 1 March."""
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def screen(case: Case, health: Health | None, *, as_of: date) -> tuple[Screening, tuple[Finding, ...]]:
    """Return what a plan may hold; and the reasons, for the practitioner, which never go into a plan."""
    review = _Review(case, as_of)
    if health is None:
        review.reason("screening.no_answers", "screening")
    elif not binds(health, case):
        review.reason("screening.other_person", "screening")
    elif health.example and not _is_the_example(health, case):
        review.reason("screening.example_answers", "screening")
    else:
        review.answers(health)
    return review.screening(), review.reasons()


class _Review:
    """One screening under way: the flags raised, and the other reasons found."""

    def __init__(self, case: Case, as_of: date) -> None:
        self.case = case
        self.as_of = as_of
        self.raised: dict[str, Flag] = {}
        self.found: list[Finding] = []
        born = case.athlete.born
        if born is None or born > as_of:
            self.reason("screening.no_birth_date", "athlete.born")
        self.minor = born is None or age_years(born, as_of) < value("age.adult").low
        if born and self.minor:
            self.raised |= {flag.id: flag for flag in flags() if flag.id == "under_18"}

    def reason(self, code: str, about: str, **facts: Fact) -> None:
        self.found.append(find(code, about, rule="", **facts))

    def answers(self, health: Health) -> None:
        for name in _by_others(health, self.case):
            self.reason("screening.by_another", name)
        classes = {medicine.name: self._classes(medicine) for medicine in health.medicines}
        by_medicine = {flag_id for groups in classes.values() for group in groups for flag_id in group.flags}
        replies = {flag.id: self._reply(flag.id, health, kept_days=_kept_days(flag)) for flag in flags()}
        for flag in flags():
            if replies[flag.id] == "yes":
                self._said_yes(flag, health, by_medicine)
            elif replies[flag.id] == "no" and flag.id in by_medicine and flag.follow_up:
                self.reason("screening.contradiction", flag.id)
            if replies[flag.id] == "yes" or flag.id in by_medicine:
                self.raised[flag.id] = flag
            if flag.race_week:
                self._race_week(flag.id, health)
        if health.medicines and replies["medicines"] == "no":
            self.reason("screening.contradiction", "medicines")
        for medicine in health.medicines:
            for group in classes[medicine.name]:
                self._medicine(medicine, group, replies)
        self._unknown_questions(health)

    def _said_yes(self, flag: Flag, health: Health, by_medicine: set[str]) -> None:
        """Hold where what must go with a "yes" is missing."""
        for step in flag.follow_up:
            reply = self._reply(step.id, health, graver="no" if step.must_be == "yes" else "yes")
            if reply is not None and reply != step.must_be:
                self.reason("screening.not_stable", step.id, title=flag.title)
        no_list = flag.id == "medicines" and not health.medicines
        if no_list or (flag.by_medicine and flag.id not in by_medicine):
            self.reason("screening.medicine_missing", flag.id, title=flag.title)
        if flag.exclusions and not (self.case.athlete.allergens or self.case.athlete.excluded):
            self.reason("screening.exclusion_missing", flag.id)

    def _reply(
        self,
        question: str,
        health: Health,
        *,
        graver: Literal["yes", "no"] = "yes",
        kept_days: float = KEPT_DAYS,
    ) -> str | None:
        """Return the "yes" or "no" of a sound answer; else hold.

        The latest answer counts, but the graver one of the last `kept_days` is not taken back by a later one.
        The graver one counts even where it is unsigned or old: it raises its flag beside the hold.
        """
        given = [answer for answer in health.answers if answer.question == question]
        if not given:
            self.reason("screening.unanswered", question)
            return None
        signed = [answer for answer in given if _signed(answer)]
        if len(signed) < len(given):
            self.reason("screening.unsigned", question)
            return graver if any(answer.reply == graver for answer in given) else None
        latest = max(answer.on for answer in signed if answer.on)
        sound = self._dated_well(latest, question)
        replies = {
            answer.reply
            for answer in signed
            if answer.on == latest or (answer.reply == graver and self._age_days(answer) <= kept_days)
        }
        if graver in replies:
            return graver
        if "prefer not to say" in replies:
            self.reason("screening.not_said", question)
            return None
        return next(iter(replies)) if sound else None

    def _age_days(self, answer: Answer) -> float:
        return (self.as_of - answer.on).days if answer.on else math.inf

    def _dated_well(self, on: date, about: str) -> bool:
        days, most_days = (self.as_of - on).days, 7 * round(value("answers.age").low)
        if days < 0:
            self.reason("screening.dated_ahead", about, on=on.isoformat())
        elif days > most_days:
            self.reason("screening.stale", about, on=on.isoformat(), days=days, most_days=most_days)
        return 0 <= days <= most_days

    def _race_week(self, question: str, health: Health) -> None:
        """Hold when the race is within seven days and no answer is of those days."""
        race_day = self.case.race.gun.date()
        dated = [answer.on for answer in health.answers if answer.question == question and answer.on]
        is_race_week = (race_day - self.as_of).days <= RACE_WEEK_DAYS
        if is_race_week and dated and (race_day - max(dated)).days > RACE_WEEK_DAYS:
            self.reason("screening.race_week", question)

    def _classes(self, medicine: Medicine) -> tuple[MedicineClass, ...]:
        """Return the classes of a medicine; hold where it is unknown, unsigned or badly dated."""
        found = match(medicine.name)
        if not found.known:
            meant = f"Was {found.near} meant? Then type it so."
            near = meant if found.near else "Type its generic name from the packet."
            self.reason("screening.unknown_medicine", medicine.name, near=near)
        if medicine.on is None or not _signed(medicine):
            self.reason("screening.unsigned", medicine.name)
        else:
            self._dated_well(medicine.on, medicine.name)
        return found.classes

    def _medicine(self, medicine: Medicine, group: MedicineClass, replies: dict[str, str | None]) -> None:
        """Hold for a medicine too new for one of its flags; say where an answer does not go with it."""
        settles_in_days = max(self.raised[flag_id].new_within_days for flag_id in group.flags)
        if settles_in_days and medicine.since is None:
            self.reason("screening.no_start", medicine.name)
        elif settles_in_days and medicine.since and (self.as_of - medicine.since).days < settles_in_days:
            self.reason("screening.new_medicine", medicine.name, days=settles_in_days)
        if replies.get(group.usually_for) == "no":
            self.reason("screening.usually_for", medicine.name, question=group.usually_for)

    def _unknown_questions(self, health: Health) -> None:
        known = {flag.id for flag in flags()} | {step.id for flag in flags() for step in flag.follow_up}
        for question in sorted({answer.question for answer in health.answers} - known):
            self.reason("screening.unknown_question", question)

    def reasons(self) -> tuple[Finding, ...]:
        """Return every reason, the flags first; they name answers."""
        told = [find(f"screening.flag_{flag.outcome}", flag.id, title=flag.title) for flag in self._acting()]
        sent = [flag for flag in self._acting() if flag.letter]
        letters = [find("screening.letter", flag.id, title=flag.title) for flag in sent]
        return (*told, *letters, *self.found)

    def screening(self) -> Screening:
        acting = self._acting()
        held = any(finding.level is Level.HOLD for finding in self.found)
        outcomes: list[Outcome] = [flag.outcome for flag in acting]
        outcome = gravest([*outcomes, "hold"] if held else outcomes)
        withheld = tuple(sorted({part for flag in acting for part in flag.withheld}))
        line = "ceiling.sodium_care" if any(flag.sodium_care for flag in acting) else "ceiling.sodium"
        return Screening(
            outcome=outcome,
            withheld=withheld,
            fluid_care="half" if any(flag.fluid_care == "half" for flag in acting) else "usual",
            sodium_line_mmol_per_l=value(line).low,
            minor=self.minor or "under_18" in self.raised,
            findings=_neutral(outcome, withheld, acting),
        )

    def _acting(self) -> list[Flag]:
        """Return the flags raised that do something, in the order asked."""
        return [flag for flag in flags() if flag.id in self.raised and flag.outcome != "clear"]


def _kept_days(flag: Flag) -> float:
    """Return for how long no later "no" takes back a "yes": without end where only a clinician may."""
    if flag.passes_after_days:
        return flag.passes_after_days
    return math.inf if flag.outcome in ("hold", "refer") else KEPT_DAYS


def _signed(entry: Answer | Medicine) -> bool:
    return bool(entry.by.strip()) and entry.on is not None


def _neutral(outcome: Outcome, withheld: tuple[Part, ...], acting: list[Flag]) -> tuple[Finding, ...]:
    """Return what may stand in a plan: outcome, part and neutral sentences; no flag, no fact of health."""
    found = [find("safety.on_hold")] if outcome == "hold" else []
    found += [find("safety.referred")] if outcome == "refer" else []
    found += [find("safety.withheld", part=part) for part in withheld]
    sentences = {"safety.thirst_leads", *(flag.sentence for flag in acting if flag.sentence)}
    if any(_is_unnamed(flag) for flag in acting):
        sentences |= {flag.sentence for flag in flags() if _is_unnamed(flag)}
    found += [find(code) for code in sorted(sentences)]
    return tuple(found)


def _is_unnamed(flag: Flag) -> bool:
    """True for a note on health: each brings the sentences of all of them, so that none of them is named."""
    return flag.outcome == "note" and not flag.exclusions
