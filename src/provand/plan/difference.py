"""What lies between two plans of one athlete and one race, in neutral words: causes, then what they moved.

Only what is shown counts. What is withheld in either plan is told of neither: no figure, no amount, no
sentence. A reason is given where the trace, or a name, leads from what moved to what was given differently;
where it does not, nothing is said.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import datetime
from typing import Literal, NamedTuple

from provand.case.case import Case
from provand.figure import Figure
from provand.finding import BadInput, Finding, Level, find
from provand.plan.causes import Cause, causes_between, paths_of
from provand.plan.document import Line, MenuPlan, Plan
from provand.plan.moves import Move, moves_between, other_times
from provand.plan.withheld import WEIGHTS, is_hidden, speaks_of
from provand.record import Record

Kind = Literal[
    "goal time", "safety", "intake", "drinking", "times", "if-then", "morning", "loading", "menu", "recovery",
    "finding", "figure",
]  # fmt: skip
HELD: tuple[Kind, ...] = (
    "goal time", "safety", "intake", "drinking", "times", "if-then", "morning", "loading", "menu", "recovery",
)  # fmt: skip
"""What concerns those who hold a copy; figures and remarks are the practitioner's."""

FIRST = {
    "race.target_carb_g_per_h": "carbohydrate target",
    "race.carb_g_per_race": "carbohydrate planned",
    "race.carb_g_per_h": "carbohydrate planned, on average",
    "race.caffeine_mg_per_race": "caffeine planned",
    "ceiling.fluid_ml_per_race": "fluid, never above",
    "race.goal_finish_s": "goal time",
    "race.slow_finish_s": "slow case",
    "sweat.goal_ml_per_h": "sweat",
    "heat.wbgt_c": "WBGT",
    "load.carb_g_per_day": "carbohydrate while loading",
}
"""The figures that are told one by one, in their order; all others are small."""

NAMES = {"fluid": "amounts of fluid", "sodium": "salt", "loading": "loading up"}
"""How a part is called in a sentence; the others by their own name."""
PORTIONS = {
    True: "The new plan counts in portions.",
    False: "The new plan no longer counts in portions alone: read it there.",
}


class Effect(Record):
    """Something that is shown otherwise: the sentence, and the causes that lead to it (their `about`).

    `plain` is the sentence for somebody who is to see no weights; `small` effects are told as a number of.
    """

    kind: Kind
    about: str
    says: str
    plain: str = ""
    before: str = ""
    after: str = ""
    reasons: tuple[str, ...] = ()
    small: bool = False


class Difference(Record):
    """From one plan to another: what was given differently, and what moved with it, gravest first."""

    old: str
    new: str
    causes: tuple[Cause, ...] = ()
    effects: tuple[Effect, ...] = ()
    portions_only: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether nothing that is shown differs."""
        return not self.causes and not self.effects

    def lines(self) -> tuple[str, ...]:
        """Return the difference as sentences for the practitioner."""
        return self.for_practitioner()

    def for_practitioner(self) -> tuple[str, ...]:
        """Return causes, then effects with their reasons; small ones as one line."""
        if self.is_empty:
            return (self._nothing(),)
        told = [f"Given differently: {cause.says}" for cause in self.causes]
        told += [self.told(effect) for effect in self.effects if not effect.small]
        small = sum(effect.small for effect in self.effects)
        if small:
            told.append(f"And {small} more figure{'s' if small > 1 else ''} moved.")
        return tuple(told)

    def for_holder(self) -> tuple[str, ...]:
        """Return what changes for those who hold a copy: no figure, and no weight where portions alone count.

        Reasons that are nobody's business but the athlete's stay out.
        """
        told = []
        for effect in self.effects:
            if effect.kind not in HELD:
                continue
            line = f"{effect.says}{self._because(effect, own=False)}"
            if self.portions_only and _tells_weight(line):
                line = effect.plain if _tells_weight(effect.says) else effect.says
            if line:
                told.append(line)
        return tuple(dict.fromkeys(told)) or ("Nothing changes for you.",)

    def _nothing(self) -> str:
        if self.old == self.new:
            return "Nothing changed: it is the same plan."
        return "Nothing that is shown has changed, though the two are not the same to the byte."

    def told(self, effect: Effect) -> str:
        """Return one of its effects as a sentence for the practitioner, with the reasons."""
        return f"{effect.says}{self._because(effect, own=True)}"

    def _because(self, effect: Effect, *, own: bool) -> str:
        labels = [
            cause.label for cause in self.causes if cause.about in effect.reasons and (own or not cause.own)
        ]
        return f" Reason: {', '.join(dict.fromkeys(labels))}." if labels else ""


def _tells_weight(text: str) -> bool:
    return bool(WEIGHTS.search(text)) or "%" in text


def difference(old: Plan, new: Plan) -> Difference:
    """Return what lies between two plans.

    Raises BadInput where they are of two athletes (name and birth date both differ) or of two races (name and
    day both differ).
    """
    _same_person_and_race(old.case, new.case)
    parts = frozenset(old.withheld) | frozenset(new.withheld)
    causes = causes_between(old, new, parts)
    effects = _Effects(old, new, parts, causes).all()
    return Difference(
        old=old.code,
        new=new.code,
        causes=causes,
        effects=tuple(effects),
        portions_only="grams" in parts,
    )


def _same_person_and_race(old: Case, new: Case) -> None:
    names = [case.athlete.name.casefold() for case in (old, new)]
    born = [case.athlete.born for case in (old, new)]
    if names[0] != names[1] and (born[0] is None or born[0] != born[1]):
        raise BadInput(
            find("plan.two_athletes", new.athlete.name, old=old.athlete.name, new=new.athlete.name)
        )
    races = [case.race.name.casefold() for case in (old, new)]
    days = [case.race.gun.date() for case in (old, new)]
    if races[0] != races[1] and days[0] != days[1]:
        raise BadInput(find("plan.two_races", new.race.name, old=old.race.name, new=new.race.name))


class _Reasons:
    """Leads from a figure down its trace to the causes that it rests on."""

    def __init__(self, old: Plan, new: Plan, causes: Iterable[Cause]) -> None:
        self._old, self._new = old, new
        self._before = {figure.id: figure for figure in old.figures}
        self._after = {figure.id: figure for figure in new.figures}
        self._abouts = [cause.about for cause in causes if cause.kind != "safety"]

    def of_figures(self, *figure_ids: str) -> tuple[str, ...]:
        """Return the causes among the leaves of these figures, in the order of the causes."""
        paths: set[str] = set()
        for figure in self._under(figure_ids):
            if self._differs(figure.id):
                plan = self._new if figure.id in self._after else self._old
                paths |= {*paths_of(figure, plan)}
            paths |= {*UNTRACED.get(figure.id, ())}
        return self.of_paths(paths)

    def of_paths(self, paths: Iterable[str]) -> tuple[str, ...]:
        """Return the causes that lie at or under these paths of the case."""
        wanted = tuple(paths)
        return tuple(
            about for about in self._abouts if any(about == p or about.startswith(f"{p}.") for p in wanted)
        )

    def of_moved(self, figure_ids: Iterable[str]) -> tuple[str, ...]:
        """Return the causes of those figures among these whose shown form differs."""
        return self.of_figures(*(name for name in figure_ids if self._shown_otherwise(name)))

    def _shown_otherwise(self, name: str) -> bool:
        was, now = self._before.get(name), self._after.get(name)
        return (was and was.says()) != (now and now.says())

    def _under(self, figure_ids: Iterable[str]) -> list[Figure]:
        found: dict[str, Figure] = {}
        waiting = list(figure_ids)
        while waiting:
            name = waiting.pop()
            figure = self._after.get(name) or self._before.get(name)
            if figure is not None and name not in found:
                found[name] = figure
                waiting += figure.inputs
        return list(found.values())

    def _differs(self, name: str) -> bool:
        was, now = self._before.get(name), self._after.get(name)
        return was is None or now is None or was.value != now.value


UNTRACED = {
    "heat.wbgt_c": ("weather.sun", "weather.pressure_hpa", "race.gun"),
    "heat.radiant_rise_c": ("weather.sun", "weather.pressure_hpa", "race.gun"),
    "race.elapsed_s": ("course.profile",),
    "demand.energy_kcal_per_race": ("course.profile",),
}
"""What figures take from the case that is no figure: the sky, the hour, the hills."""
CLOCK = ("race.gun", "race.own_offset_s", "race.zone", "race.last_toilet_min")
FED, WHEN = ("race.target_carb_g_per_race",), ("race.goal_finish_s", "race.slow_finish_s")
FLUID = ("ceiling.fluid_ml_per_race",)
CAFFEINE = ("ceiling.caffeine_once_mg",)
"""The limits and targets that a line of the schedule answers to."""


class _Effects(NamedTuple):
    """Everything that is shown otherwise between two plans."""

    old: Plan
    new: Plan
    parts: Collection[str]
    causes: tuple[Cause, ...]

    def all(self) -> list[Effect]:
        """Return the effects: first what the athlete does otherwise, then remarks, then figures."""
        reasons = _Reasons(self.old, self.new, self.causes)
        found = [*self._goal_time(reasons), *self._safety()]
        found += [self._move(move, reasons) for move in moves_between(self.old, self.new, self.parts)]
        found += [*self._drinking(reasons), *self._times(reasons), *self._if_then(), *self._stand_ins()]
        for kind in ("morning", "loading", "recovery"):
            found += self._lines(kind, reasons)
        found += self._menu(reasons)
        return [*found, *self._findings(reasons), *self._figures(reasons)]

    def _goal_time(self, reasons: _Reasons) -> Iterator[Effect]:
        if self.old.time_struck == self.new.time_struck:
            return
        says = (
            "The goal time no longer stands on what is handed out: go by effort."
            if self.new.time_struck
            else "The goal time stands on what is handed out again."
        )
        why = reasons.of_figures("heat.wbgt_c")
        yield Effect(kind="goal time", about="time_struck", says=says, reasons=why)

    def _safety(self) -> Iterator[Effect]:
        before, after = set(self.old.withheld), set(self.new.withheld)
        for part in sorted(before ^ after):
            name = NAMES.get(part, part)
            says = (
                f"The new plan says nothing about {name}."
                if part in after
                else f"The new plan speaks of {name} again: read it there."
            )
            if part == "grams":
                says = PORTIONS[part in after]
            yield Effect(kind="safety", about=f"withheld.{part}", says=says)
        sentences = [
            {f.sentence for f in plan.findings if f.code.startswith("safety.") and f.level is Level.NOTE}
            for plan in (self.old, self.new)
        ]
        for sentence in sorted(sentences[1] - sentences[0]):
            yield Effect(kind="safety", about="safety", says=f"New: {sentence}")

    def _move(self, move: Move, reasons: _Reasons) -> Effect:
        names = {item.id: item.name for item in (*self.old.case.items, *self.new.case.items)}
        paths = [f"course.stations.{station}" for station in move.stations]
        called = {names.get(item, item) for item in move.items}
        named = [
            cause.about
            for cause in self.causes
            if _names(cause, called) or any(f".{item}." in f".{cause.about}." for item in move.items)
        ]
        answers: tuple[str, ...] = WHEN if move.kind == "moved" else FED
        answers += FLUID if move.with_fluid else ()
        answers += CAFFEINE if move.with_caffeine else ()
        paths += ["wishes.caffeine_mg"] if move.with_caffeine else []
        why = dict.fromkeys([*reasons.of_paths(paths), *named, *reasons.of_moved(answers)])
        return Effect(
            kind="intake", about="race.stops", says=move.says, plain="A line of the strip has changed.",
            reasons=tuple(why),
        )  # fmt: skip

    def _drinking(self, reasons: _Reasons) -> Iterator[Effect]:
        was, now = self.old.race.drinking.sentence, self.new.race.drinking.sentence
        if was == now:
            return
        if "fluid" in self.parts:
            says = "The line about thirst is another: read it on the new copy."
            yield Effect(kind="drinking", about="race.drinking", says=says)
            return
        says = f'The line about thirst now reads: "{now}" Before: "{was}"'
        why = [*reasons.of_moved(FLUID), *reasons.of_paths(["course.stations"])]
        yield Effect(
            kind="drinking", about="race.drinking", says=says, before=was, after=now,
            reasons=tuple(dict.fromkeys(why)),
        )  # fmt: skip

    def _times(self, reasons: _Reasons) -> Iterator[Effect]:
        moved = other_times(self.old, self.new)
        if moved:
            says = f"The places stay, the times change: {', '.join(moved)}."
            why = reasons.of_moved(("race.goal_finish_s", "race.elapsed_s"))
            yield Effect(kind="times", about="race.stops", says=says, reasons=why)

    def _if_then(self) -> Iterator[Effect]:
        before, after = ({line.when: line.then for line in p.if_then} for p in (self.old, self.new))
        for when in dict.fromkeys([*before, *after]):
            was, now = before.get(when, ""), after.get(when, "")
            if was == now or speaks_of(f"{when} {was} {now}", self.parts):
                continue
            says = f"{when} {now}" if now else f'No longer there: "{when} {was}"'
            yield Effect(kind="if-then", about=when, says=says, before=was, after=now)

    def _stand_ins(self) -> Iterator[Effect]:
        before, after = ({one.what: one.says for one in p.stand_ins} for p in (self.old, self.new))
        for what in dict.fromkeys([*before, *after]):
            was, now = before.get(what, ""), after.get(what, "")
            if was != now and not speaks_of(f"{was} {now}", self.parts):
                yield Effect(
                    kind="if-then",
                    about=what,
                    says=now or f'No longer there: "{was}"',
                    plain="What may stand in for an item has changed.",
                    before=was,
                    after=now,
                )

    def _lines(self, kind: Literal["morning", "loading", "recovery"], reasons: _Reasons) -> Iterator[Effect]:
        before, after = _by_title(getattr(self.old, kind)), _by_title(getattr(self.new, kind))
        for key in dict.fromkeys([*before, *after]):
            was, now = before.get(key), after.get(key)
            if _printed(was) == _printed(now) or any(self._is_withheld(line) for line in (was, now)):
                continue
            title = key[0]
            figures = [name for line in (was, now) if line for name in line.figures]
            paths: tuple[str, ...] = CLOCK if (was and was.at) != (now and now.at) else ()
            paths += ("race.pre_start_drink_ml",) if not figures else ()
            goal = ("race.goal_finish_s",) if kind == "recovery" and paths else ()
            why = dict.fromkeys([*reasons.of_paths(paths), *reasons.of_moved([*figures, *goal])])
            yield Effect(
                kind=kind, about=title, says=f"{title}: {_reworded(was, now, dated=kind == 'loading')}",
                plain=f"{title}: changed, read it on the new copy.", reasons=tuple(why),
            )  # fmt: skip

    def _menu(self, reasons: _Reasons) -> Iterator[Effect]:
        """Yield each meal that is eaten otherwise, in household portions; a whole menu is told as one."""
        why = reasons.of_paths(["menu"])
        if (self.old.menu is None) != (self.new.menu is None):
            says = "There is a menu now." if self.new.menu is not None else "There is no menu any more."
            yield Effect(kind="menu", about="menu", says=says, reasons=why)
            return
        before, after = _plates(self.old.menu), _plates(self.new.menu)
        for meal in dict.fromkeys([*after, *before]):
            was, now = before.get(meal, ""), after.get(meal, "")
            if was != now:
                says = f"{meal}: now {now or 'nothing'}. Before: {was or 'nothing'}."
                yield Effect(kind="menu", about=meal, says=says, before=was, after=now, reasons=why)

    def _is_withheld(self, line: Line | None) -> bool:
        if line is None:
            return False
        hidden = any(is_hidden(name, self.parts) for name in line.figures)
        return hidden or speaks_of(f"{line.title} {line.says}", self.parts)

    def _findings(self, reasons: _Reasons) -> list[Effect]:
        before, after = _remarks(self.old, self.parts), _remarks(self.new, self.parts)
        told: list[tuple[int, Effect]] = []
        for key in dict.fromkeys([*after, *before]):
            was, now = before.get(key, []), after.get(key, [])
            gone = [f for f in was if f.line() not in {g.line() for g in now}]
            came = [f for f in now if f.line() not in {g.line() for g in was}]
            why = dict.fromkeys([*reasons.of_moved([key[1]]), *reasons.of_paths([key[1]])])
            for heading, findings in (("Now noted", came), ("No longer noted", gone if not came else [])):
                for finding in findings:
                    effect = Effect(
                        kind="finding", about=finding.code,
                        says=f"{heading}: {finding.line()}", reasons=tuple(why),
                    )  # fmt: skip
                    told.append((-list(Level).index(finding.level), effect))
        return [effect for _, effect in sorted(told, key=lambda one: one[0])]

    def _figures(self, reasons: _Reasons) -> list[Effect]:
        before, after = ({f.id: f for f in plan.figures} for plan in (self.old, self.new))
        names = dict.fromkeys([*(n for n in FIRST if n in before or n in after), *before, *after])
        found = []
        for name in names:
            was, now = before.get(name), after.get(name)
            texts = [figure.says() if figure else "" for figure in (was, now)]
            shown = now or was
            assert shown is not None
            if texts[0] == texts[1] or is_hidden(name, self.parts) or shown.how == "given":
                continue
            called = FIRST.get(name, name)
            says = f"{called}: {texts[0] or 'not there'} -> {texts[1] or 'not there'}."
            effect = Effect(
                kind="figure", about=name, says=says, before=texts[0], after=texts[1],
                reasons=reasons.of_figures(name), small=name not in FIRST,
            )  # fmt: skip
            found.append(effect)
        return sorted(found, key=lambda effect: effect.small)


def _names(cause: Cause, called: Collection[str]) -> bool:
    """Return whether a list of the case names one of these things on one side alone, or pins one."""
    if cause.about in ("wishes.banned", "athlete.refused"):
        lists = [set(text.split(", ")) for text in (cause.before, cause.after)]
        return not (lists[0] ^ lists[1]).isdisjoint(called)
    pinned = cause.about.removeprefix("wishes.pinned.")
    return pinned != cause.about and any(name in pinned for name in called)


def _by_title(lines: Iterable[Line]) -> dict[tuple[str, int], Line]:
    """Return lines by their title and how often it came before."""
    counts: defaultdict[str, int] = defaultdict(int)
    found = {}
    for line in lines:
        found[line.title, counts[line.title]] = line
        counts[line.title] += 1
    return found


def _printed(line: Line | None) -> tuple[str, str] | None:
    return None if line is None else (_moment(line.at), line.says)


def _moment(at: datetime | None) -> str:
    return "" if at is None else at.strftime("%Y-%m-%d %H:%M")


def _reworded(was: Line | None, now: Line | None, *, dated: bool) -> str:
    """Return how one dated line differs from what it was."""
    if was is None or now is None:
        return "taken out." if now is None else f"new, {_moment(now.at)}: {now.says}".replace(", :", ":")
    told = []
    if was.at != now.at and was.at is not None and now.at is not None:
        bare = was.at.date() == now.at.date() and not dated
        told.append(" -> ".join(f"{at:%H:%M}" if bare else _moment(at) for at in (was.at, now.at)) + ".")
    if was.says != now.says:
        told.append(f'now "{now.says}", before "{was.says}".')
    return " ".join(told)


def _remarks(plan: Plan, parts: Collection[str]) -> dict[tuple[str, str], list[Finding]]:
    """Return what is noted beside a plan, by code and place; safety's own sentences are told apart."""
    found: defaultdict[tuple[str, str], list[Finding]] = defaultdict(list)
    least = list(Level).index(Level.NOTE)
    for finding in plan.findings:
        if finding.code.startswith("safety.") or list(Level).index(finding.level) < least:
            continue
        if not is_hidden(finding.about, parts) and not speaks_of(finding.line(), parts):
            found[finding.code, finding.about].append(finding)
    return dict(found)


def _plates(menu: MenuPlan | None) -> dict[str, str]:
    """Return what is eaten at each meal, in words."""
    meals = menu.meals if menu is not None else ()
    return {
        f"{meal.meal.capitalize()} of {meal.on.day} {meal.on:%B}": ", ".join(
            f"{food.says} {food.name}" for food in meal.foods
        )
        for meal in meals
    }
