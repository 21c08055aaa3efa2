"""When this athlete may finish: early, goal and slow, from a goal with its range or from results."""

from __future__ import annotations

from typing import NamedTuple

from provand.case.case import Case, Result
from provand.figure import Figure, Trace
from provand.finding import BadInput, Finding, find
from provand.physiology.pace import riegel_fatigue_ratio, riegel_time_s
from provand.physiology.pacing import prediction_spread_frac, spread_time_s
from provand.protocol.asks import typed
from provand.protocol.figures import from_rule
from provand.protocol.rules import assumption

Z_10_90 = 1.281552
"""Normal deviate of the 10th and 90th percentile."""


class Finish(NamedTuple):
    """The three finish times as figures, and what must be said about them."""

    early: Figure
    goal: Figure
    slow: Figure
    findings: tuple[Finding, ...]


def finish_times(trace: Trace, case: Case, *, slowdown: Figure, struck: bool) -> Finish:
    """Return early, goal and slow finish.

    A typed goal is what the athlete will try to run: the heat only makes the slow end slower, unless the
    heat strikes the goal (`struck`); a prediction comes from other days and is slowed as a whole.
    Raises BadInput without a goal and without a result.
    """
    race = case.race
    if race.goal_s is None and race.finish_s is None:
        low, mid, high, findings = _predicted(trace, case)
        slowed = (True, True, True)
    else:
        low, mid, high, findings = _typed(trace, case)
        slowed = (False, struck, True)
    named = zip(("early", "goal", "slow"), (low, mid, high), slowed, ("low", "mid", "high"), strict=True)
    early, goal, slow = (
        _slowed(trace, f"race.{name}_finish_s", figure, slowdown, end) if heat else _kept(trace, name, figure)
        for name, figure, heat, end in named
    )
    if race.cutoff_s is not None and slow.value.mid > race.cutoff_s:
        findings.append(
            find(
                "pace.cutoff",
                "race.cutoff",
                slow_min=round(slow.value.mid / 60),
                cutoff_min=round(race.cutoff_s / 60),
            )
        )
    return Finish(early, goal, slow, tuple(findings))


def _kept(trace: Trace, name: str, figure: Figure) -> Figure:
    return trace.add(f"race.{name}_finish_s", figure.value.mid, how="rule", by="as given", inputs=[figure])


def _slowed(trace: Trace, figure_id: str, figure: Figure, slowdown: Figure, end: str) -> Figure:
    share = getattr(slowdown.value, end)
    return trace.add(
        figure_id,
        figure.value.mid * (1 + share),
        how="rule",
        by=f"slowed by the {end} end of the heat's range",
        inputs=[figure, slowdown],
    )


def _spread(trace: Trace, goal: Figure, spread: Figure) -> tuple[Figure, Figure]:
    ends = []
    for name, deviate in (("early", -Z_10_90), ("slow", Z_10_90)):
        z = trace.add(
            f"pace.{name}_deviate_ratio",
            deviate,
            how="rule",
            by="10th and 90th percentile of a normal spread",
        )
        ends.append(
            trace.apply(
                spread_time_s,
                f"pace.{name}_cool_s",
                median_time_s=goal,
                spread_frac=spread,
                normal_deviate_ratio=z,
            )
        )
    return ends[0], ends[1]


def _typed(trace: Trace, case: Case) -> tuple[Figure, Figure, Figure, list[Finding]]:
    race = case.race
    middle = race.goal_s if race.goal_s is not None else race.finish_s.mid if race.finish_s else 0.0
    where = "race.goal_s" if race.goal_s is not None else "race.finish_s"
    goal = trace.given("pace.goal_typed_s", middle, typed(case, where))
    if race.finish_s is not None:
        early = trace.given("pace.early_typed_s", race.finish_s.low, typed(case, "race.finish_s"))
        slow = trace.given("pace.slow_typed_s", race.finish_s.high, typed(case, "race.finish_s"))
        return early, goal, slow, []
    spread = _race_spread(trace, case, 1, race.distance_m, "the goal counts as one result at this distance")
    early, slow = _spread(trace, goal, spread)
    return early, goal, slow, [find("pace.range_assumed", "race.finish")]


def _race_spread(trace: Trace, case: Case, count: int, prior_m: float, text: str) -> Figure:
    key = "pace.debut_cv" if case.athlete.first_race else "pace.race_cv"
    rule = assumption(key)
    cv = from_rule(trace, "pace.race_cv_frac", rule, rule.band.mid)
    return trace.apply(
        prediction_spread_frac,
        "pace.spread_frac",
        race_cv_frac=cv,
        prior_count=trace.given("pace.prior_count", count, text),
        prior_distance_m=trace.given("pace.prior_distance_m", prior_m, text),
        target_distance_m=trace["race.distance_m"],
    )


def _predicted(trace: Trace, case: Case) -> tuple[Figure, Figure, Figure, list[Finding]]:
    results = sorted(case.athlete.results, key=lambda r: (r.on, r.distance_m))
    if not results:
        raise BadInput(find("pace.no_time", "race.goal"))
    best = min(results, key=lambda r: abs(r.distance_m - case.race.distance_m))
    goal = trace.apply(
        riegel_time_s,
        "pace.predicted_s",
        known_time_s=_known(trace, case, best, "pace.known", "time_s"),
        known_distance_m=_known(trace, case, best, "pace.known", "distance_m"),
        target_distance_m=trace["race.distance_m"],
        fatigue_ratio=_fatigue(trace, case, best),
    )
    spread = _race_spread(
        trace, case, len(results), best.distance_m, "the results typed, and the nearest in distance"
    )
    early, slow = _spread(trace, goal, spread)
    return (
        early,
        goal,
        slow,
        [find("pace.predicted", "race.goal", distance_km=round(best.distance_m / 1000, 1))],
    )


KNOWN = {"time_s": "finish_s", "distance_m": "distance_m"}
"""What an equation calls the numbers of a result, and their fields."""


def _known(trace: Trace, case: Case, result: Result, name: str, what: str) -> Figure:
    field = KNOWN[what]
    text = typed(case, f"athlete.results.{case.athlete.results.index(result)}.{field}")
    return trace.given(f"{name}_{what}", getattr(result, field), text)


def _fatigue(trace: Trace, case: Case, best: Result) -> Figure:
    """Return the exponent: the athlete's own from two distances far enough apart, else the everyday one."""
    rule = assumption("pace.fatigue_exponent")
    other = next((r for r in case.athlete.results if not 0.67 < r.distance_m / best.distance_m < 1.5), None)
    if other is not None:
        first, second = sorted((other, best), key=lambda r: r.distance_m)
        own = riegel_fatigue_ratio(
            first_time_s=first.finish_s,
            first_distance_m=first.distance_m,
            second_time_s=second.finish_s,
            second_distance_m=second.distance_m,
        )
        if rule.band.low <= own <= rule.band.high:
            return trace.apply(
                riegel_fatigue_ratio,
                "pace.own_fatigue_ratio",
                **{
                    f"{name}_{field}": _known(trace, case, result, f"pace.{name}", field)
                    for name, result in (("first", first), ("second", second))
                    for field in KNOWN
                },
            )
    return from_rule(trace, "pace.fatigue_ratio", rule, rule.band.mid)
