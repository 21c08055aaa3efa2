"""The trace: no figure without what it came from, no unit mistaken, doubt carried through."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from provand import card
from provand.card import equation
from provand.figure import Figure, Range, Series, Trace
from provand.finding import Level


@pytest.fixture(autouse=True)
def _registry_as_it_was(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Equations of these tests leave no card behind."""
    monkeypatch.setattr(card, "_registry", dict(card._registry))
    return


def product() -> Callable[..., float]:
    @equation(
        gives="load_g_per_day",
        source="none",
        at="a test",
        mark="computed",
        population="nobody",
        holds={"body_mass_kg": (40, 100)},
    )
    def a_product(*, dose_g_per_kg_per_day: float, body_mass_kg: float) -> float:
        """Return a product."""
        return dose_g_per_kg_per_day * body_mass_kg

    return a_product


def bowl() -> Callable[..., float]:
    @equation(
        gives="cost_j_per_m",
        source="none",
        at="a test",
        mark="memory",
        population="nobody",
        turns=("grade_frac",),
    )
    def a_bowl(*, grade_frac: float, offset_j_per_m: float) -> float:
        """Return a bowl."""
        return offset_j_per_m + grade_frac * grade_frac

    return a_bowl


DOSE, MASS, LOAD = "load.dose_g_per_kg_per_day", "athlete.body_mass_kg", "load.carb_g_per_day"


def test_a_figure_names_what_it_came_from_down_to_the_text_as_typed() -> None:
    trace, times = Trace(), product()
    mass = trace.given(MASS, 63.5029318, 'typed "140 lb"')
    dose = trace.add(DOSE, Range.of(7, 12, 8, means="band"), how="rule", by="a rule")
    load = trace.apply(times, LOAD, dose_g_per_kg_per_day=dose, body_mass_kg=mass)
    assert load.inputs == (DOSE, MASS)
    assert (load.how, load.by, load.mark, load.at) == ("equation", "a_product", "computed", "a test")
    assert (load.unit, load.denominator) == ("g/day", "per day")
    assert load.value == Range.of(444.520523, 762.035182, 508.023454, means="band")
    assert load.says() == "508 g/day (445 to 762)"
    assert trace[MASS].by == 'typed "140 lb"'
    assert [figure.id for figure in trace.figures] == [MASS, DOSE, LOAD]


def test_140_lb_at_8_g_per_kg_is_508_g_and_not_1120() -> None:
    trace = Trace()
    mass = trace.given(MASS, 140 * 0.45359237, "140 lb")
    dose = trace.given(DOSE, 8, "8")
    load = trace.apply(product(), LOAD, dose_g_per_kg_per_day=dose, body_mass_kg=mass)
    assert load.says() == "508 g/day"


def test_an_orphan_is_refused() -> None:
    other = Trace().given(MASS, 60, "60 kg")
    trace = Trace()
    with pytest.raises(ValueError, match="never made by this trace"):
        trace.add("a_kg", 1, how="sum", by="x", inputs=[other])
    with pytest.raises(ValueError, match="never made by this trace"):
        trace.sum("a_kg", [other])


def test_a_figure_of_another_trace_is_refused_though_its_name_is_known() -> None:
    other = Trace().given(MASS, 60, "60 kg")
    trace, times = Trace(), product()
    trace.given(MASS, 70, "70 kg")
    dose = trace.given(DOSE, 8, "8 g/kg/day")
    with pytest.raises(ValueError, match=r"athlete\.body_mass_kg = 60 was never made"):
        trace.apply(times, LOAD, dose_g_per_kg_per_day=dose, body_mass_kg=other)


def test_a_figure_made_again_is_the_same_or_refused() -> None:
    trace = Trace()
    assert trace.given(MASS, 60, "60 kg") is trace.given(MASS, 60, "60 kg")
    for mass_kg, text in ((61, "60 kg"), (60, "60.0 kg")):
        with pytest.raises(ValueError, match="made twice"):
            trace.given(MASS, mass_kg, text)
    assert [figure.value.mid for figure in trace.figures] == [60]


def test_a_figure_without_a_unit_in_its_name_is_refused() -> None:
    with pytest.raises(ValueError, match="no unit in its name"):
        Trace().given("athlete.mass", 60, "60 kg")


@pytest.mark.parametrize(
    ("given_id", "gives_id", "said"),
    [
        ("athlete.body_mass_g", LOAD, "wants body_mass_kg"),
        ("athlete.body_mass_lb_per_day", LOAD, "wants body_mass_kg"),
        (MASS, "load.carb_g_per_h", "has another unit"),
        (MASS, "load.carb_g", "has another unit"),
    ],
)
def test_a_wrong_unit_is_refused(given_id: str, gives_id: str, said: str) -> None:
    trace, times = Trace(), product()
    dose = trace.given(DOSE, 8, "8 g/kg/day")
    mass = trace.given(given_id, 60, "60")
    with pytest.raises(TypeError, match=said):
        trace.apply(times, gives_id, dose_g_per_kg_per_day=dose, body_mass_kg=mass)


def test_a_missing_or_misspelt_argument_is_refused() -> None:
    trace, times = Trace(), product()
    mass = trace.given(MASS, 60, "60 kg")
    with pytest.raises(TypeError, match="takes"):
        trace.apply(times, LOAD, body_mass_kg=mass)
    with pytest.raises(TypeError, match="takes"):
        trace.apply(times, LOAD, dose_g_per_kg=mass, body_mass_kg=mass)


def test_a_function_without_a_card_is_refused() -> None:
    with pytest.raises(KeyError):
        Trace().apply(lambda: 1.0, LOAD)


def test_a_range_is_refused_where_the_equation_turns_and_a_single_number_is_not() -> None:
    trace, curve = Trace(), bowl()
    slope = trace.given("slope_frac", Range.of(-0.1, 0.1), "-10 to 10 %")
    level = trace.given("level_frac", 0.1, "10 %")
    offset = trace.given("offset_j_per_m", Range.of(3, 4), "3 to 4")
    with pytest.raises(TypeError, match="turns in grade_frac"):
        trace.apply(curve, "slope_cost_j_per_m", grade_frac=slope, offset_j_per_m=offset)
    cost = trace.apply(curve, "cost_j_per_m", grade_frac=level, offset_j_per_m=offset)
    assert cost.value == Range.of(3.01, 4.01)


@given(
    dose=st.tuples(st.floats(0, 15), st.floats(0, 15)).map(sorted),
    mass=st.tuples(st.floats(30, 150), st.floats(30, 150)).map(sorted),
    at=st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_the_corners_hold_every_value_between(
    dose: list[float], mass: list[float], at: tuple[float, float]
) -> None:
    trace = Trace()
    name = "a_product"
    times = card.function_of(name) if name in card.cards() else product()
    first = trace.given(DOSE, Range.of(*dose), "x")
    second = trace.given(MASS, Range.of(*mass), "x")
    load = trace.apply(times, LOAD, dose_g_per_kg_per_day=first, body_mass_kg=second).value
    between = (dose[0] + at[0] * (dose[1] - dose[0])) * (mass[0] + at[1] * (mass[1] - mass[0]))
    assert load.low * (1 - 1e-8) <= between <= load.high * (1 + 1e-8) + 1e-12
    assert load.low <= load.mid <= load.high


@pytest.mark.parametrize(("mass", "outside"), [(60, None), (40, None), (100, None), (120, 120), (30, 30)])
def test_outside_the_published_range_it_computes_and_carries_a_caveat(
    mass: float, outside: float | None
) -> None:
    trace, times = Trace(), product()
    dose = trace.given(DOSE, 8, "8 g/kg/day")
    load = trace.apply(times, LOAD, dose_g_per_kg_per_day=dose, body_mass_kg=trace.given(MASS, mass, "x"))
    assert load.value.mid == 8 * mass
    if outside is None:
        assert load.caveats == ()
    else:
        (caveat,) = load.caveats
        assert caveat.level is Level.CAVEAT
        assert caveat.about == LOAD
        assert f"body_mass_kg from 40 to 100; here it is {outside}" in caveat.sentence.replace(".0", "")


def test_a_range_with_one_end_outside_carries_a_caveat() -> None:
    trace, times = Trace(), product()
    dose, mass = trace.given(DOSE, 8, "x"), trace.given(MASS, Range.of(90, 110), "x")
    assert len(trace.apply(times, LOAD, dose_g_per_kg_per_day=dose, body_mass_kg=mass).caveats) == 1


def test_a_sum_is_exact_in_its_unit_alone() -> None:
    trace = Trace()
    parts = [
        trace.given(f"gel_{n}.carb_g", Range.of(0.1 * n, 0.3 * n, 0.2 * n), "label") for n in range(1, 11)
    ]
    whole = trace.sum("race.carb_g", parts)
    assert whole.value == Range.of(5.5, 16.5, 11)
    assert len(whole.inputs) == 10
    with pytest.raises(TypeError, match="cannot add"):
        trace.sum("race.carb_mg", parts)


def test_numbers_are_kept_to_nine_digits() -> None:
    trace = Trace()
    assert trace.given("third_frac", 1 / 3, "1/3").value.mid == 0.333333333


@pytest.mark.parametrize(
    ("means", "result"),
    [
        ({"exact"}, "exact"), ({"exact", "band"}, "band"), ({"band", "bounds"}, "bounds"),
        ({"p5-p95", "band"}, "p5-p95"),
    ],
)  # fmt: skip
def test_what_is_not_known_outweighs_what_is_ours_to_choose(means: set[str], result: str) -> None:
    trace = Trace()
    parts = [
        trace.given(f"part_{at}_g", Range(low=1, mid=1, high=1, means=kind), "x")  # type: ignore[arg-type]
        for at, kind in enumerate(sorted(means))
    ]
    assert trace.sum("whole_g", parts).value.means == result


@pytest.mark.parametrize(
    ("figure_id", "denominator"),
    [
        ("race.carb_g_per_h", "per hour"),
        ("load.carb_g_per_day", "per day"),
        ("drink.sodium_mg_per_l", "per litre"),
        ("race.carb_g", "whole race"),
        ("race.carb_g_per_race", "whole race"),
        ("athlete.body_mass_kg", "one value"),
        ("load.dose_g_per_kg_per_day", "per kg of body mass per day"),
    ],
)
def test_every_figure_says_its_denominator(figure_id: str, denominator: str) -> None:
    assert Trace().given(figure_id, 1, "x").denominator == denominator


def test_a_time_is_said_by_the_clock() -> None:
    finish = Trace().given("race.finish_s", Range.of(6420, 7440, 6720), "typed")
    assert finish.says() == "1:52:00 (1:47:00 to 2:04:00)"


def test_a_figure_is_frozen() -> None:
    figure = Trace().given(MASS, 60, "60 kg")
    with pytest.raises(ValidationError, match="frozen"):
        figure.by = "another"  # type: ignore[misc]
    assert Figure.model_validate_json(figure.model_dump_json()) == figure


@pytest.mark.parametrize("ends", [(2, 1, 3), (1, 4, 3), (1, float("nan"), 3)])
def test_a_range_is_ordered_and_holds_no_nan(ends: tuple[float, float, float]) -> None:
    with pytest.raises(ValidationError):
        Range(low=ends[0], mid=ends[1], high=ends[2])


def test_a_series_is_as_long_as_its_places_and_never_goes_back() -> None:
    Series(of="x_ml", x_m=(0, 100, 100), low=(0, 1, 2), mid=(0, 1, 2), high=(0, 1, 2))
    with pytest.raises(ValidationError, match="as many values as places"):
        Series(of="x_ml", x_m=(0, 100), low=(0, 1, 2), mid=(0, 1), high=(0, 1))
    with pytest.raises(ValidationError, match="must not go back"):
        Series(of="x_ml", x_m=(0, 100, 50), low=(0, 1, 2), mid=(0, 1, 2), high=(0, 1, 2))


def test_a_card_refuses_defaults_unknown_names_and_a_second_registration() -> None:
    facts = {"source": "none", "at": "-", "mark": "computed", "population": "nobody"}

    def lazy(*, mass_kg: float = 1.0) -> float:
        return mass_kg

    def plain(*, mass_kg: float) -> float:
        return mass_kg

    with pytest.raises(TypeError, match="no default"):
        equation(gives="x_kg", **facts)(lazy)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="unknown parameters"):
        equation(gives="x_kg", turns=("height_m",), **facts)(plain)  # type: ignore[arg-type]
    assert equation(gives="x_kg", **facts)(plain) is plain  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="second registration"):
        equation(gives="x_kg", **facts)(plain)  # type: ignore[arg-type]
