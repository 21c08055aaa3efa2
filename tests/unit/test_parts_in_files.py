"""What screening withholds, or limits, read back from the files that people hold."""

from __future__ import annotations

import json
import re
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from paper import page_words
from pypdf import PdfReader

from provand.case.case import Case, Override
from provand.case.door import read_case
from provand.case.intake import Intake
from provand.finding import NoPlanFits, OnHold, find
from provand.pack.write import write_pack
from provand.plan.body_work import limits_of, work_out
from provand.plan.document import Plan
from provand.plan.draw_up import draw_up
from provand.plan.lines import USUAL_MEALS
from provand.plan.review import clear, review
from provand.plan.withheld import WEIGHTS
from provand.planner.if_then import THIRST
from provand.record import canonical, code
from provand.safety.page import safety_sentences
from provand.safety.screening import Screening

DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo" / "warm-hills" / "case.toml"
DAY = date(2026, 11, 25)
ALLOWED = (
    *(f"This plan says nothing about {part}." for part in ("caffeine", "sodium", "fluid", "loading")),
    "Keep your usual coffee and salt as your clinician says.",
    "Drink when you are thirsty. Do not drink more than that.",
    "Drink as thirst asks.",
    "They decide what you drink.",
    "Food and drink for sport; no medical advice.",
    THIRST,
    "More to drink than the runner asks for.",
    *(sentence for section in safety_sentences() for sentence in section.says),
)
"""What may be said of a part all the same: that it is withheld, thirst, and that nothing usual is changed."""
SAID = {
    "caffeine": r"caffein|coffee|cola\b",
    "sodium": r"sodium|salt",
    "fluid": r"\bml\b|litre|fluid|drink|water|\bcup|mouthful|\bsip\b|sweat test",
    "loading": r"\bload|g of carbohydrate in these|24 hours of",
}


def screening(*parts: Any, **changed: Any) -> Screening:
    """Return a screening that withholds parts, as `screen` words it."""
    told = [find("safety.withheld", part=part) for part in parts]
    return Screening(
        outcome="withheld" if parts else "note",
        withheld=parts,
        sodium_line_mmol_per_l=140.0,
        findings=(*told, find("safety.keep_usual"), find("safety.thirst_leads")),
    ).model_copy(update=changed)


@cache
def a_case() -> Case:
    return read_case(DEMO, as_of=DAY)


def with_wishes(**wishes: Any) -> Case:
    return a_case().model_copy(update={"wishes": a_case().wishes.model_copy(update=wishes)})


def overridden(what: str, value: str) -> Case:
    by_hand = Override(what=what, value=value, by="Sanna Vell", on=DAY, why="invented")
    return with_wishes(overrides=(by_hand,))


KNOWN: dict[str, Plan] = {}


def drawn(case: Case, found: Screening) -> Plan:
    """Return the plan of a case; each is drawn up once."""
    key = code(canonical(case)) + code(canonical(found))
    if key not in KNOWN:
        KNOWN[key] = draw_up(case, found, as_of=DAY)
    return KNOWN[key]


def written(case: Case, found: Screening, folder: Path) -> tuple[Plan, dict[str, str]]:
    """Return a plan, cleared, and the text of each file but the safety page: words, titles, alt texts."""
    plan = drawn(case, found)
    texts = {}
    for path in write_pack(clear(plan, case, found), folder):
        if path.suffix == ".pdf":
            reader = PdfReader(path)
            pages = "\n".join(page_words(path.read_bytes()))
            texts[path.name] = f"{pages}\n{reader.metadata}"
        elif path.suffix != ".png":
            texts[path.name] = path.read_text("utf-8")
    texts.pop("safety.pdf")
    return plan, texts


def words_of(texts: dict[str, str]) -> str:
    """Return what an athlete reads or hears of the files, less style, citations and what may be said."""
    told = " ".join(text.split("Why: figures")[0] for name, text in texts.items() if name != "plan.json")
    told = re.sub(r"<style.*?</style>|class=\"[^\"]*\"", " ", told, flags=re.DOTALL)
    told = " ".join(re.sub(r"\r?\n ", "", told).replace("\\,", ",").replace("\\;", ";").split())
    for sentence in ALLOWED:
        told = told.replace(sentence, "\n")
    return told


@pytest.mark.parametrize("part", ["caffeine", "fluid", "loading"])
def test_no_word_of_a_withheld_part_reaches_the_athlete(part: str, tmp_path: Path) -> None:
    free, held = (
        words_of(written(a_case(), found, tmp_path / name)[1])
        for name, found in (("free", screening()), ("held", screening(part)))
    )
    assert re.search(SAID[part], free, re.IGNORECASE)
    assert not [words for words in held.splitlines() if re.search(SAID[part], words, re.IGNORECASE)]


@pytest.mark.parametrize("part", ["caffeine", "sodium", "fluid", "fructose", "loading"])
def test_the_record_holds_no_target_dose_or_figure_of_a_withheld_part(part: str, tmp_path: Path) -> None:
    words = {"loading": r"^load\.", "fluid": r"fluid|sweat|drink|_ml"}.get(part, part)
    free = drawn(a_case(), screening())
    plan, texts = written(a_case(), screening(part), tmp_path / "held")
    record = json.loads(texts["plan.json"])
    if part != "fructose":
        assert [one.id for one in free.figures if re.search(words, one.id)]
    assert not [one["id"] for one in record["figures"] if re.search(words, one["id"])]
    assert not [one["of"] for one in record["series"] if re.search(words, one["of"])]
    assert not [one for one in record["rules"] if re.search(words, one["gives"])]
    assert not [i for one in record["figures"] for i in one["inputs"] if re.search(words, i)]
    assert plan.withheld == (part,)


class TestCaffeine:
    def test_no_item_with_caffeine_is_planned_and_no_wish_or_habit_stands_in_the_record(self) -> None:
        free, held = (drawn(a_case(), found) for found in (screening(), screening("caffeine")))
        assert any(take.with_caffeine for stop in free.race.stops for take in stop.takes)
        assert not any(take.with_caffeine for stop in held.race.stops for take in stop.takes)
        assert held.case.wishes.caffeine_mg is None
        assert held.case.athlete.breakfast_caffeine_mg == 0

    def test_what_is_usual_is_neither_planned_nor_taken_away(self, tmp_path: Path) -> None:
        _, texts = written(a_case(), screening("caffeine"), tmp_path / "held")
        assert "Keep your usual coffee and salt as your clinician says." in " ".join(
            texts["plan.pdf"].split()
        )


class TestSodium:
    def test_drinks_stay_and_no_tablet_or_salt_is_planned(self, tmp_path: Path) -> None:
        plan, texts = written(a_case(), screening("sodium"), tmp_path / "held")
        told = words_of({"strip.pdf": texts["strip.pdf"], "race.ics": texts["race.ics"]})
        assert not re.search(SAID["sodium"], told)
        assert not [one for one in plan.case.items if one.label.salt_g or one.label.sodium_mg]
        assert {one.texture for stop in plan.race.stops for one in stop.takes} <= {"gel", "water", "drink"}


class TestFluid:
    def test_thirst_is_all_that_is_said_and_no_amount_is_permitted(self, tmp_path: Path) -> None:
        plan, texts = written(a_case(), screening("fluid"), tmp_path / "held")
        line = plan.race.drinking
        assert (line.amount, line.poured_ml, line.first_station, line.sentence) == ("none", 0, "", THIRST)
        assert THIRST in " ".join(texts["plan.pdf"].split())
        assert THIRST in " ".join(texts["strip.pdf"].split())
        assert not [s for s in plan.race.stops for t in s.takes if t.texture in ("water", "drink")]
        assert not [stop for stop in plan.race.stops if stop.fluid_so_far_ml]
        assert not [goal for goal in plan.race.goals if "thirst" in goal.name]
        assert plan.case.athlete.sweat_tests == ()

    def test_the_ceiling_is_still_computed_and_still_binds(self) -> None:
        found = screening("fluid")
        case = a_case()
        limits = [limits_of(case, work_out(case, one), one).fluid_ceiling for one in (found, screening())]
        assert limits[0] == limits[1]
        many = tuple(Intake(item="hill-gel", portion_frac=20, at_m=at) for at in (3000.0, 4000.0))
        plan = drawn(case, found)
        drunk = plan.model_copy(update={"race": plan.race.model_copy(update={"intakes": many})})
        assert "gate.fluid" in {one.code for one in review(drunk, case, found)}

    def test_a_drink_before_the_start_is_not_told(self, tmp_path: Path) -> None:
        case = a_case()
        case = case.model_copy(update={"race": case.race.model_copy(update={"pre_start_drink_ml": 40.0})})
        free, held = (
            written(case, found, tmp_path / name)[1]["plan.pdf"]
            for name, found in (("free", screening()), ("held", screening("fluid")))
        )
        assert "40 ml at most" in free
        assert "40 ml" not in held


class TestLoading:
    def test_a_dose_set_by_hand_is_not_used_and_that_is_told(self, tmp_path: Path) -> None:
        case = overridden("load.dose_g_per_kg_per_day", "9 g/kg/day")
        plan, texts = written(case, screening("loading"), tmp_path / "held")
        assert plan.loading == ()
        assert plan.case.wishes.overrides == ()
        assert "9 g/kg" not in texts["plan.json"]
        assert "target.override_unused" in {one.code for one in plan.findings}
        assert "target.override_unused" not in {one.code for one in drawn(case, screening()).findings}

    def test_a_dose_that_is_not_in_the_plan_fills_no_store(self) -> None:
        case = overridden("load.dose_g_per_kg_per_day", "9 g/kg/day")
        plain, loaded, held, minor = (
            drawn(one, found).figure("store.muscle_g")
            for one, found in (
                (a_case(), screening("loading")),
                (case, screening()),
                (case, screening("loading")),
                (case, screening(minor=True)),
            )
        )
        assert plain is not None
        assert loaded is not None
        assert held is not None
        assert minor is not None
        assert held.value == plain.value == minor.value
        assert loaded.value.mid > plain.value.mid


class TestGrams:
    def test_the_race_is_fuelled_as_ever_in_portions(self) -> None:
        free, held = (drawn(a_case(), found).race for found in (screening(), screening("grams")))
        assert free.intakes
        assert held.intakes == free.intakes
        assert held.mode == free.mode

    def test_the_days_before_are_told_without_an_amount(self) -> None:
        assert drawn(a_case(), screening("grams")).loading == (USUAL_MEALS,)

    def test_no_weight_stands_in_any_file_but_the_record(self, tmp_path: Path) -> None:
        _, texts = written(a_case(), screening("grams"), tmp_path / "held")
        for name, text in texts.items():
            if name != "plan.json":
                assert not WEIGHTS.search(text), name
        assert "amounts" not in texts["race.ics"]


class TestCaffeineInADay:
    limited = screening(caffeine_day_most_mg=200.0)

    def test_it_lowers_the_ceiling_in_a_day_and_never_leaves_more_at_once(self) -> None:
        for most_mg, once_mg in ((200.0, 200.0), (150.0, 150.0), (500.0, 200.0)):
            found = screening(caffeine_day_most_mg=most_mg)
            limits = limits_of(a_case(), work_out(a_case(), found), found)
            assert (limits.caffeine_once_mg, limits.caffeine_day_mg) == (once_mg, min(most_mg, 400.0))

    def test_planner_gate_and_review_keep_it(self) -> None:
        athlete = a_case().athlete.model_copy(update={"breakfast_caffeine_mg": 100.0})
        case = a_case().model_copy(update={"athlete": athlete})
        limited = screening(caffeine_day_most_mg=150.0)
        late = Intake(item="gel-25-caffeine", at_elapsed_s=3600.0)
        usual = drawn(case, screening())
        assert any(take.with_caffeine for stop in usual.race.stops for take in stop.takes)
        careful = drawn(case, limited)
        assert not any(take.with_caffeine for stop in careful.race.stops for take in stop.takes)
        assert "gate.caffeine" in {one.code for one in review(usual, case, limited)}
        with pytest.raises(OnHold):
            clear(usual, case, limited)
        pinned = case.model_copy(update={"wishes": case.wishes.model_copy(update={"pinned": (late,)})})
        with pytest.raises(NoPlanFits):
            drawn(pinned, limited)

    def test_a_plan_that_it_does_not_bind_is_the_same_to_the_byte(self) -> None:
        plans = [drawn(a_case(), found) for found in (screening(), self.limited)]
        assert canonical(plans[0]) == canonical(plans[1])
        assert plans[0].figure("ceiling.caffeine_once_mg") is not None


class TestMinors:
    minor = screening(minor=True)

    def test_usual_meals_with_more_starch_stand_in_the_place_of_any_dose(self, tmp_path: Path) -> None:
        plan, texts = written(a_case(), self.minor, tmp_path / "held")
        assert plan.loading == (USUAL_MEALS,)
        assert "Your usual meals, with more starch" in " ".join(texts["plan.pdf"].split())
        dosed = r"^(load\.|caffeine\.(C1|target)|(breakfast|recovery)\..*(dose|carb|protein))"
        assert not [one.id for one in plan.figures if re.match(dosed, one.id)]
        assert not [
            one for one in plan.rules if one.gives.startswith(("load.", "caffeine.", "race.caffeine"))
        ]
        for words in ("g/kg", "g for each kg", "of protein"):
            assert words not in texts["plan.pdf"]

    def test_none_is_said_where_loading_is_withheld(self) -> None:
        both = screening("loading", minor=True)
        assert drawn(a_case(), both).loading == ()

    def test_caffeine_is_none_unless_wished_for_and_never_above_the_ceiling_by_mass(self) -> None:
        unasked = drawn(with_wishes(caffeine_mg=None), self.minor)
        assert not any(take.with_caffeine for stop in unasked.race.stops for take in stop.takes)
        limits = limits_of(a_case(), work_out(a_case(), self.minor), self.minor)
        mass_kg = a_case().athlete.body_mass_kg
        assert limits.caffeine_day_mg == pytest.approx(3 * mass_kg)
        assert limits.caffeine_once_mg == pytest.approx(min(3 * mass_kg, 200))

    def test_a_dose_set_by_hand_is_not_used_and_that_is_told(self) -> None:
        for what, value in (
            ("load.dose_g_per_kg_per_day", "9 g/kg/day"),
            ("breakfast.dose_g_per_kg", "2 g/kg"),
        ):
            plan = drawn(overridden(what, value), self.minor)
            assert "target.override_unused" in {one.code for one in plan.findings}
            assert plan.figure(what) is None


def test_the_code_of_the_case_is_that_of_the_whole_case_whatever_is_shown_of_it() -> None:
    plan = drawn(a_case(), screening("fluid"))
    assert plan.case_code == code(canonical(a_case()))
    assert plan.case != a_case()
