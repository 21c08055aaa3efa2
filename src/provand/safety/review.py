"""One screening under way: what each row of the questions comes to for one athlete on one day."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.case.health import Health, Part
from provand.case.when import age_years
from provand.finding import Finding, Level, find
from provand.protocol.rules import value
from provand.safety.answers import FOR_GOOD, KEPT_DAYS, Said, once, said
from provand.safety.flags import Flag, FluidCare, LiftedBy, Outcome, flags, gravest
from provand.safety.lifting import RACE_WEEK_DAYS, Hold, Lifting, key_of
from provand.safety.listed import Listed, listed

UNSAID: frozenset[LiftedBy] = frozenset({"reply", "hand"})
"""What lifts the hold of "prefer not to say" to a question whose "yes" does not hold by itself."""

LIFTS: dict[LiftedBy, str] = {
    "reply": "a clinician's reply",
    "hand": "a release by hand, with name and reason",
    "assent": "consent of a guardian and of the athlete",
    "time": "time, and then a no",
}


class Acting(NamedTuple):
    """A flag that acts: what it comes to now, and whether anything was lifted to get there."""

    flag: Flag
    outcome: Outcome
    is_lifted: bool


class Review:
    """What the answers of one athlete come to.

    `found` is mended by asking; `held` are the holds that nothing lifts; `told` is said beside them.
    """

    def __init__(self, case: Case, as_of: date) -> None:
        self.case = case
        self.as_of = as_of
        self.race_day = case.race.gun.date()
        self.found: list[Finding] = []
        self.told: list[Finding] = []
        self.holds: list[Hold] = []
        self.replies: dict[str, Said] = {}
        self.acting: list[Acting] = []
        self.limits: set[Part] = set()
        self.held: list[Hold] = []
        self.medicines: tuple[Listed, ...] = ()
        self.lifting = Lifting(
            Health(athlete=case.athlete.name, born=case.athlete.born), as_of=as_of, race_day=self.race_day
        )
        self.tested_mmol_per_l: float | None = None
        self.test_counts = False
        born = case.athlete.born
        self.born = born if born is not None and born <= as_of else None
        if self.born is None:
            self.found.append(find("screening.no_birth_date", "athlete.born"))
        self.is_minor = self.born is None or age_years(self.born, as_of) < value("age.adult").low

    def read(self, health: Health) -> None:
        """Read everything; afterwards the review can be asked what it comes to."""
        self.lifting = Lifting(health, as_of=self.as_of, race_day=self.race_day)
        self.medicines = listed(health.medicines, athlete=health.athlete, as_of=self.as_of)
        for one in self.medicines:
            self.found += one.faults
        self._sodium(health)
        for flag in flags():
            self.replies[flag.id] = self._said(flag, health)
        for flag in flags():
            self._flag(flag, health)
        for one in self.medicines:
            self._medicine(one)
        self._came_of_age(health)
        self._medicines_agree()
        self._names(health)
        self.told += self.lifting.ahead()
        self.found += self.lifting.not_cleared()
        for part, finding in self.lifting.limits():
            self.limits.add(part)
            self.told.append(finding)
        self._choice(health)
        self.found = list(once(self.found))

    # The questions.

    def _said(self, flag: Flag, health: Health) -> Said:
        born_known = flag.id == "under_18" and self.born is not None
        asked = said(
            flag.id,
            health.answers,
            athlete=health.athlete,
            as_of=self.as_of,
            kept_days=KEPT_DAYS if born_known else _kept_days(flag),
            new_fact=flag.new_fact,
        )
        if self.is_asked(flag):
            self.found += asked.faults
        return asked

    def is_asked(self, flag: Flag) -> bool:
        """True where a question needs an answer: the birth date or another answer may make it needless."""
        if flag.id == "under_18":
            return self.born is None
        before = self.replies.get(flag.asked_after)
        return before is None or before.reply != "no"

    def is_race_week(self) -> bool:
        """True in the seven days before the race."""
        return (self.race_day - self.as_of).days <= RACE_WEEK_DAYS

    def race_week_asks(self, flag: Flag) -> bool:
        """True where race week asks a question again, and no answer is of those days."""
        asked_on = self.replies[flag.id].asked_on
        if not (flag.race_week and self.is_race_week() and asked_on is not None):
            return False
        return (self.race_day - asked_on).days > RACE_WEEK_DAYS

    def _flag(self, flag: Flag, health: Health) -> None:
        """Raise a flag where an answer, a medicine, a score or a test says so."""
        asked = self.replies[flag.id]
        days = [asked.since] if asked.reply == "yes" else []
        days += [one.new_on for one in self._raising(flag)]
        days += self._by_record(flag, health)
        if flag.id == "under_18" and self.born is not None and self.is_minor:
            days.append(self.born)
        if flag.race_week and self.race_week_asks(flag):
            self.found.append(find("screening.race_week", flag.id))
        if asked.reply == "yes":
            self._goes_with_yes(flag, health)
        elif asked.reply == "no" and flag.follow_up and any(one.is_taken for one in self._raising(flag)):
            self.found.append(find("screening.contradiction", flag.id))
        if days:
            self._raised(flag, max(days))
        elif asked.reply == "prefer not to say" and (flag.id != "under_18" or self.born is None):
            self._unsaid(flag, asked.since)

    def _raising(self, flag: Flag) -> list[Listed]:
        """Return the medicines that raise a flag; for one that holds, a stopped one does so without end."""
        return [
            one
            for one in self.medicines
            if flag.id in one.raises and (flag.holds or one.still_counts(self.as_of))
        ]

    def _by_record(self, flag: Flag, health: Health) -> list[date]:
        """Return the days of scores at or over their cut-off, and of sodium below its limit."""
        if flag.id == "eating_score":
            return [one.on for one in health.scores if one.value >= one.cut_off]
        if flag.id == "earlier_collapse":
            floor = value("ceiling.sodium_low").mid
            return [one.on for one in health.sodium_tests if one.serum_sodium_mmol_per_l < floor]
        return []

    def _raised(self, flag: Flag, since: date) -> None:
        if flag.id == "under_18":
            self.is_minor = True
        if not flag.holds:
            self._act(flag, is_lifted=False)
            return
        lifts = ", or ".join(LIFTS[way] for way in flag.lifted_by)
        facts = {"title": flag.title, "lifts": lifts}
        refers = flag.outcome == "refer"
        reason = find("screening.flag_refer" if refers else "screening.flag_hold", flag.id, **facts)
        self._act(flag, is_lifted=self._judge(self._hold(flag, reason, since)))

    def _hold(self, flag: Flag, reason: Finding, since: date) -> Hold:
        """Return the hold of a flag, with what its row lets lift it."""
        gravely = flag.holds or flag.id == "medicines"
        by_hand, why = self._hand(flag)
        return Hold(
            about=(flag.id,),
            title=flag.title,
            reason=reason,
            since=since,
            lifted_by=frozenset(flag.lifted_by) - (set() if by_hand else {"hand"}) if gravely else UNSAID,
            never_by_hand=why,
            not_by_hand_in_race_week=flag.not_by_hand_in_race_week,
            needs_letter=flag.outcome == "refer",
        )

    def _hand(self, flag: Flag) -> tuple[bool, str]:
        """Return whether a hand may lift a flag, and why not: a change of medicine must be known by name."""
        if flag.id != "medicine_changed":
            return "hand" in flag.lifted_by, flag.never_by_hand
        days = [day for one in self.medicines for day in (one.since, one.stopped) if day is not None]
        known = [day for day in days if 0 <= (self.as_of - day).days <= flag.passes_after_days]
        return bool(known), "no medicine listed was started, stopped or changed then: it must be named"

    def _unsaid(self, flag: Flag, since: date) -> None:
        """Hold for "prefer not to say"; once that is lifted the flag acts as if the answer were yes."""
        if self._judge(self._hold(flag, find("screening.not_said", flag.id), since)):
            self._act(flag, is_lifted=True)

    def _judge(self, hold: Hold) -> bool:
        """Keep a hold, or what lifted it; and what is said of it."""
        judged = self.lifting.judge(hold)
        self.told += judged.told
        self.holds.append(hold)
        if not judged.is_lifted:
            self.held.append(hold)
        return judged.is_lifted

    def _act(self, flag: Flag, *, is_lifted: bool) -> None:
        outcome = flag.outcome
        if is_lifted:
            outcome = "withheld" if flag.withheld else "note"
        if outcome == "clear" and not is_lifted:
            return
        self.acting.append(Acting(flag, outcome, is_lifted))
        if flag.tell:
            self.told.append(find("screening.tell", flag.id, title=flag.title, whom=flag.tell))
        if flag.letter and (flag.outcome in ("withheld", "refer")):
            sent = self.lifting.sent((flag.id,))
            self.told.append(
                find("screening.letter_sent", flag.id, title=flag.title, to=sent[0].to, on=str(sent[0].on))
                if sent
                else find("screening.letter", flag.id, title=flag.title)
            )

    def _goes_with_yes(self, flag: Flag, health: Health) -> None:
        """Hold where what must go with a "yes" is missing or is not what a stable condition gives."""
        for step in flag.follow_up:
            bad = "no" if step.must_be == "yes" else "yes"
            asked = said(
                step.id,
                health.answers,
                athlete=health.athlete,
                as_of=self.as_of,
                kept_days=KEPT_DAYS,
                graver="no" if bad == "no" else "yes",
                new_fact=True,
            )
            self.replies[step.id] = asked
            self.found += asked.faults
            if asked.reply not in (None, step.must_be):
                unsaid = asked.reply == "prefer not to say"
                self._judge(
                    Hold(
                        about=(flag.id, step.id),
                        title=flag.title,
                        reason=find("screening.not_said", step.id)
                        if unsaid
                        else find("screening.not_stable", step.id, title=flag.title),
                        since=asked.since,
                        lifted_by=frozenset({"reply"}),
                        never_by_hand=flag.never_by_hand,
                    )
                )
        no_list = flag.id == "medicines" and not any(one.is_taken for one in self.medicines)
        if no_list or (flag.by_medicine and not self._raising(flag)):
            self.found.append(find("screening.medicine_missing", flag.id, title=flag.title))
        if flag.exclusions and not (self.case.athlete.allergens or self.case.athlete.excluded):
            self.found.append(find("screening.exclusion_missing", flag.id))

    # Medicines.

    def _medicine(self, one: Listed) -> None:
        """Hold for a medicine that is unknown, too new, or whose purpose no answer goes with."""
        if not one.still_counts(self.as_of):
            return
        if not one.match.known:
            near = one.match.near
            meant = (
                f"Was {near} meant? Then type it so." if near else "Type its generic name from the packet."
            )
            self._judge(
                Hold(
                    about=(one.name,),
                    title=one.name,
                    reason=find("screening.unknown_medicine", one.name, near=meant),
                    since=one.new_on,
                    lifted_by=frozenset({"reply"}) if near else UNSAID,
                    never_by_hand=f"it may be {near}, which is known: type it right",
                )
            )
        if not one.is_taken:
            return
        by_id = {flag.id: flag for flag in flags()}
        settling = [by_id[flag_id] for flag_id in sorted(one.raises) if by_id[flag_id].new_within_days]
        for flag in settling:
            if one.since is None:
                self.found.append(find("screening.no_start", one.name))
            elif (self.as_of - one.since).days < flag.new_within_days:
                self._judge(
                    Hold(
                        about=(flag.id, one.name),
                        title=one.name,
                        reason=find("screening.new_medicine", one.name, days=flag.new_within_days),
                        since=one.since,
                        lifted_by=frozenset({"reply"}),
                        never_by_hand=flag.never_by_hand,
                    )
                )
        for question in {group.usually_for for group in one.match.classes if group.usually_for}:
            if self.replies[question].reply == "no":
                self._judge(
                    Hold(
                        about=(one.name,),
                        title=one.name,
                        reason=find("screening.usually_for", one.name, question=question),
                        since=one.new_on,
                        lifted_by=UNSAID,
                    )
                )

    def _medicines_agree(self) -> None:
        if self.replies["medicines"].reply == "no" and any(one.is_taken for one in self.medicines):
            self.found.append(find("screening.contradiction", "medicines"))

    def _sodium(self, health: Health) -> None:
        """Keep the newest sodium in blood; it counts for a medicine only if taken after its last change."""
        tests = [one for one in health.sodium_tests if one.on <= self.as_of]
        if not tests:
            return
        newest = max(one.on for one in tests)
        self.tested_mmol_per_l = min(one.serum_sodium_mmol_per_l for one in tests if one.on == newest)
        low_sodium = {flag.id for flag in flags() if flag.sodium_care}
        changed = [
            one.since or date.max for one in self.medicines if one.is_taken and one.raises & low_sodium
        ]
        fresh = (self.as_of - newest).days <= 7 * round(value("answers.age").low)
        self.test_counts = fresh and all(day <= newest for day in changed)

    # Consent, names, choices.

    def _came_of_age(self, health: Health) -> None:
        """Hold where what stands here was said under 18, until the athlete consents as an adult."""
        if self.born is None or self.is_minor:
            return
        adult = value("age.adult").low
        said_on = [answer.on for answer in health.answers]
        said_on += [medicine.on for medicine in health.medicines]
        said_on += [assent.on for assent in health.assents]
        if not any(day is not None and age_years(self.born, day) < adult for day in said_on):
            return
        own = [one.on for one in health.assents if one.who == "athlete" and one.on <= self.as_of]
        if not any(age_years(self.born, day) >= adult for day in own):
            self.found.append(find("screening.consent_at_18", "under_18"))

    def _names(self, health: Health) -> None:
        """Warn of answers, letters, replies and releases about what is no question and no medicine listed."""
        steps = {step.id for flag in flags() for step in flag.follow_up}
        questions = {flag.id for flag in flags()} | steps
        for name in sorted({answer.question for answer in health.answers} - questions):
            self.told.append(find("screening.unknown_question", name))
        known = {key_of(name) for name in (*questions, *(one.name for one in self.medicines))}
        named = {about for letter in health.letters for about in letter.about}
        named |= {about for reply in health.replies for about in reply.about}
        for about in sorted(named | {release.about for release in health.releases}):
            if key_of(about) not in known:
                self.told.append(find("screening.unknown_about", about))

    def _choice(self, health: Health) -> None:
        """Withhold weights where the latest choice says so; one dated ahead counts at once."""
        made = [one for one in health.portions if one.on <= self.as_of or one.portions_only]
        last = max((one.on for one in made), default=None)
        if any(one.portions_only for one in made if one.on == last):
            self.limits.add("grams")
            self.told.append(find("screening.portions_chosen", "portions"))

    # What it comes to.

    def reasons(self) -> tuple[Finding, ...]:
        """Return every reason, the flags first; they name answers."""
        standing = [
            find(
                "screening.flag_note" if outcome == "note" else "screening.flag_withheld",
                flag.id,
                title=flag.title,
            )
            for flag, outcome, is_lifted in self.acting
            if not flag.holds and not is_lifted
        ]
        holding = [hold.reason for hold in self.held]
        return once([*holding, *standing, *self.told, *self.found])

    def outcome(self) -> Outcome:
        """Return the gravest outcome of everything that acts or holds."""
        levels: dict[Level, Outcome] = {Level.REFER: "refer", Level.HOLD: "hold"}
        reasons = [*(hold.reason for hold in self.held), *self.found]
        outcomes: list[Outcome] = [levels[one.level] for one in reasons if one.level in levels]
        outcomes += [one.outcome for one in self.acting if not one.flag.holds or one.is_lifted]
        return gravest([*outcomes, "withheld"] if self.withheld() else outcomes)

    def withheld(self) -> tuple[Part, ...]:
        """Return the parts withheld: by flags, by limits of replies, by choice."""
        return tuple(sorted({part for one in self.acting for part in one.flag.withheld} | self.limits))

    def fluid_care(self) -> FluidCare:
        """Return how careful the cool-air allowance must be."""
        return "half" if any(one.flag.fluid_care == "half" for one in self.acting) else "usual"

    def sodium_line_mmol_per_l(self) -> float:
        """Return the start of the sodium line: lower with a medicine until a test counts."""
        usual = value("ceiling.sodium").low
        careful = any(one.flag.sodium_care for one in self.acting) and not self.test_counts
        line = value("ceiling.sodium_care").low if careful else usual
        return line if self.tested_mmol_per_l is None else min(line, self.tested_mmol_per_l)

    def caffeine_day_most_mg(self) -> float | None:
        """Return the most caffeine in a day that a flag allows, or None."""
        careful = any(one.flag.caffeine_care for one in self.acting)
        return value("caffeine.pregnancy_day").low if careful else None

    def neutral(self) -> tuple[Finding, ...]:
        """Return what may stand in a plan: outcome, part, neutral sentences; no flag, no fact of health."""
        outcome, withheld = self.outcome(), self.withheld()
        found = [find("safety.on_hold")] if outcome == "hold" else []
        found += [find("safety.referred")] if outcome == "refer" else []
        found += [find("safety.withheld", part=part) for part in withheld]
        free = [one for one in self.acting if one.is_lifted or not one.flag.holds]
        sentences = {"safety.thirst_leads", *(one.flag.sentence for one in free if one.flag.sentence)}
        sentences |= {"safety.keep_usual"} if {"caffeine", "sodium"} & set(withheld) else set()
        if any(_is_unnamed(one) for one in free):
            sentences |= {flag.sentence for flag in flags() if _shares_sentence(flag)}
        return (*found, *(find(code) for code in sorted(sentences)))


def _kept_days(flag: Flag) -> int:
    """Return for how long no later "no" takes back a "yes": without end where only a clinician may."""
    return flag.passes_after_days or (FOR_GOOD if flag.holds else KEPT_DAYS)


def _is_unnamed(one: Acting) -> bool:
    """True for a note on health, and for a hold that was lifted: it brings the sentences of all of them."""
    return not one.flag.is_open and (one.outcome == "note" or one.is_lifted)


def _shares_sentence(flag: Flag) -> bool:
    return bool(flag.sentence) and not flag.is_open and flag.outcome != "withheld"
