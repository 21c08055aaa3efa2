"""What must hold of every drawn case, as named checks: each yields what is wrong, and else nothing.

None of them asks the gate, the planner or the words that withhold: they count and read for themselves.
"""

from __future__ import annotations

import io
import json
import math
import re
import zipfile
from collections.abc import Callable, Iterator
from functools import cache
from typing import NamedTuple

from through import Outcome

from provand.case.case import Case
from provand.case.intake import Intake
from provand.estimate.pace import PaceCase
from provand.larder.food import foods
from provand.larder.item import Item
from provand.pack.hotel import ALLERGENS
from provand.plan.body_work import work_out
from provand.plan.document import MenuMeal
from provand.safety.flags import flags
from provand.safety.medicines import medicine_classes

EVERYDAY = {"medicines", "other", "injury", "heart", "kidney", "pregnancy"}
"""Ids of questions that are plain words: their titles are looked for, they themselves are not."""
PER_CENT = r"(?:%|per ?cent\b|percent\b)"
MASS_OR_ENERGY = (
    r"(?:kg|mg|mcg|[µμ]g|g|kj|kcal|cal|lbs?|oz|st|grams?|kilo(?:gram)?s?|pounds?|calories|ounces?)\b"
)
WEIGHED = re.compile(rf"\d\s*(?:{PER_CENT}|{MASS_OR_ENERGY})", re.IGNORECASE)
WORD_OF_WEIGHT = re.compile(r"body mass|body weight|(?<!font-)\bweigh|sweat test|\bscales\b", re.IGNORECASE)
FOR_PRACTITIONER = {"plan.json", "difference.json"}
"""The practitioner's record, and the difference in full; nobody else is given them."""
FOR_EVERYONE = {"safety.pdf"}
FOR_WHO_FEEDS = {"hotel.pdf", "crew.pdf"}
"""What the athlete leaves out is theirs, and a kitchen and a crew must read it, whatever is withheld."""
SUMS_TO = 1e-6

Check = Callable[[Outcome], Iterator[str]]


def texts(outcome: Outcome, *, but: set[str] = frozenset()) -> Iterator[tuple[str, str]]:  # type: ignore[assignment]
    """Yield the name and the text of every file, but some."""
    for name, data in outcome.files.items():
        if name not in but:
            yield name, text_of(name, data)


def text_of(name: str, data: bytes) -> str:
    """Return all that can be read in a file: of a spreadsheet its parts, of a picture all but its pixels."""
    if name.endswith(".xlsx"):
        return cells_of(data)
    return beside_pixels(data) if data.startswith(b"\x89PNG") else data.decode("utf-8")


def beside_pixels(data: bytes) -> str:
    """Return what a PNG holds beside its pixels, such as a title."""
    told, at = [], 8
    while at < len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        told += [body.decode("latin-1")] if kind not in (b"IDAT", b"IHDR", b"PLTE") else []
        at += size + 12
    return "\n".join(told)


def cells_of(data: bytes) -> str:
    """Return every part of a spreadsheet as text: cells, hidden ones too, names, properties."""
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        return "\n".join(parts.read(name).decode("utf-8") for name in parts.namelist())


def no_crash(outcome: Outcome) -> Iterator[str]:
    """Whatever is typed ends in a plan, a hold or a finding."""
    if outcome.end == "crash":
        yield outcome.codes[0]


def numbers_mean_what_was_typed(outcome: Outcome) -> Iterator[str]:
    """Every unit is read for what it is."""
    for path, means in outcome.drawn.truth.items() if outcome.case else ():
        part, name = path.split(".")
        read = getattr(getattr(outcome.case, part), name)
        read = getattr(read, "low", read)
        if not math.isclose(read, means, rel_tol=1e-6, abs_tol=1e-6):
            yield f"{path}: {read} was read, {means} was typed"


def flags_hold(outcome: Outcome) -> Iterator[str]:
    """What is spoilt, missing or not lifted comes to a hold, and a flag that comes in late is stricter."""
    screening, late, health = outcome.screening, outcome.late, outcome.health
    if screening is None:
        return
    if health.held and screening.may_issue:
        yield f"spoilt {health.spoilt or 'nothing'}, raised {health.raised}, {health.lifts}: it may be issued"
    if late is not None and (late.may_issue or not late.stricter_than(screening)):
        yield "a flag that came in late changes nothing"


def parts_are_withheld(outcome: Outcome) -> Iterator[str]:
    """What a row withholds, a clinician limits or the athlete chooses stays withheld after a hold."""
    screening = outcome.screening
    if screening is not None and outcome.health.typed is not None and screening.may_issue:
        for part in sorted(set(outcome.health.parts) - set(screening.withheld)):
            yield f"{part} is not withheld"


def nothing_leaves_on_hold(outcome: Outcome) -> Iterator[str]:
    """On hold or refer the safety page is all, and it knows nobody."""
    if outcome.screening is not None and not outcome.screening.may_issue:
        if outcome.end != "held":
            yield f"it ended as {outcome.end}"
        if outcome.forced == "cleared":
            yield "a plan drawn up on hold was cleared"
    if outcome.end != "issued" and set(outcome.files) - FOR_EVERYONE:
        yield f"{outcome.end}, and yet there are {sorted(outcome.files)}"
    if outcome.end == "held" and set(outcome.files) != FOR_EVERYONE:
        yield "the safety page is missing"
    for name in FOR_EVERYONE & set(outcome.files):
        told = outcome.files[name].decode("utf-8")
        if str(outcome.drawn.typed["athlete"]["name"]) in told:
            yield "the safety page names the athlete"


WORDS = {
    "caffeine": r"caffein",
    "sodium": r"sodium|\bsalt",
    "fluid": r"\d\s*ml\b|litre|sweat (?:rate|loss|test)",
    "fructose": r"fructose|sorbitol",
}
"""Words, or numbers in units, that belong to a part alone."""
ALLOWED = re.compile(
    r"this plan (?:says nothing about [a-z]+|leaves [a-z ]+ out)\.|keep your usual coffee and salt as your "
    r"clinician says\.|what is carried takes \d+ ml; the pockets hold \d+ ml|"
    r'"gives": "race.rinse", "band": "[^"]*"'
)
"""What may name a part: that it is left out; the habit that stays; room in pockets; what is spat out."""


def nothing_of_a_withheld_part(outcome: Outcome) -> Iterator[str]:
    """Nothing of a withheld part is shown, and nothing is added for it."""
    plan = outcome.plan
    if plan is None or outcome.case is None or outcome.screening is None:
        return
    names = {item.name.casefold() for item in outcome.case.items}
    names |= {food.name.casefold() for meal in meals_of(outcome) for food in meal.foods}
    athlete = outcome.case.athlete
    left_out = [w.casefold() for w in (*athlete.excluded, *(ALLERGENS[one] for one in athlete.allergens))]
    for part in set(outcome.screening.withheld) & set(WORDS):
        words = re.compile(WORDS[part])
        for figure in plan.figures:
            if words.search(" ".join((figure.id, *figure.inputs)).casefold()):
                yield f"{part}: figure {figure.id}"
        for intake in plan.race.intakes:
            item = outcome.case.item(intake.item)
            if item is None or adds(part, item, intake):
                yield f"{part}: {intake.item} is planned"
        for name, told in texts(outcome, but=FOR_PRACTITIONER | FOR_EVERYONE):
            kept = ALLOWED.sub("", told.casefold())
            for item_name in names:
                kept = kept.replace(item_name, "")
            if name in FOR_WHO_FEEDS:
                for word in left_out:
                    kept = kept.replace(word, "")
            found = words.search(kept)
            if found:
                yield f"{part}: {name} tells {around(kept, found)}"


def adds(part: str, item: Item, intake: Intake) -> bool:
    """Say whether an intake adds to a part, by its label alone; what no label tells counts as added."""
    label = item.label
    if part == "caffeine":
        return label.caffeine_mg is None or label.caffeine_mg > 0
    if part == "fructose":
        sweet = item.holds.fructose_g
        return sweet is None or sweet.high > 0 or "fructose" in item.contains
    if part == "sodium":
        return item.texture == "capsule"
    return item.texture == "water" and intake.amount != "rinse"


def around(text: str, found: re.Match[str]) -> str:
    return repr(text[max(0, found.start() - 40) : found.end() + 20])


def no_weight_for_portions_only(outcome: Outcome) -> Iterator[str]:
    """With grams withheld no byte holds a number with a unit of mass, energy or per cent, or a scale."""
    if outcome.end != "issued" or outcome.screening is None or not outcome.screening.portions_only:
        return
    for name, told in texts(outcome, but=FOR_PRACTITIONER):
        for found in (WEIGHED.search(told), WEIGHED.search(name), WORD_OF_WEIGHT.search(told)):
            if found:
                yield f"{name} tells {around(told, found)}"


@cache
def telling_words() -> frozenset[str]:
    """Return the words that tell of health by themselves: ids of questions, and substances."""
    words = {flag.id for flag in flags()} - EVERYDAY
    words |= {step.id for flag in flags() for step in flag.follow_up}
    words |= {name for group in medicine_classes() for name in group.substances if len(name) > 6}
    return frozenset(word for word in words if " " not in word)


@cache
def telling_phrases() -> frozenset[str]:
    """Return what tells of health in more than a word: titles of questions and of medicines' classes."""
    titles = {flag.title for flag in flags()} | {group.title for group in medicine_classes()}
    return frozenset(title.casefold() for title in titles if " " in title)


def no_answer_in_any_byte(outcome: Outcome) -> Iterator[str]:
    """No flag, no medicine, no word of an answer is in any file or any file's name."""
    phrases = {*telling_phrases(), *(secret.casefold() for secret in outcome.health.secrets)}
    for name, told in texts(outcome):
        low = f"{name} {told}".casefold()
        for found in (telling_words() & set(re.findall(r"\w+", low))) | {p for p in phrases if p in low}:
            yield f"{name} tells {found}"


class Taken(NamedTuple):
    """What is taken at a moment of one pace case, counted as little as it can be."""

    at_s: float
    at_m: float
    fluid_ml: float
    caffeine_mg: float
    glucose_g: float


def no_ceiling_is_broken(outcome: Outcome) -> Iterator[str]:
    """No pace case passes a ceiling: fluid, caffeine, one sugar, the last part of the race."""
    plan, case, screening = outcome.plan, outcome.case, outcome.screening
    if plan is None or case is None or screening is None:
        return
    work = work_out(case, screening)
    ceilings = work.ceilings
    last_s = work.pace.cases[2].finish_s - 15 * 60
    for pace in work.pace.cases:
        taken = sorted(counted(intake, case, pace) for intake in plan.race.intakes)
        drunk = [Taken(0.0, 0.0, case.race.pre_start_drink_ml, 0, 0), *taken, *from_line(outcome, pace)]
        drunk_ml = 0.0
        for one in sorted(drunk):
            drunk_ml += one.fluid_ml
            ceiling_ml = below(ceilings.fluid.x_m, ceilings.fluid.low, one.at_m)
            if one.fluid_ml > 0 and drunk_ml > ceiling_ml + SUMS_TO:
                yield f"{pace.name}: {drunk_ml:.1f} ml by {one.at_m:.0f} m, of {ceiling_ml:.1f} at most"
        yield from too_much_caffeine(outcome, taken, pace.name)
        for first, begun in enumerate(taken):
            for last in range(first, len(taken)):
                glucose_g = math.fsum(one.glucose_g for one in taken[first : last + 1])
                room_g = 30 + 60 * (taken[last].at_s - begun.at_s) / 3600
                if glucose_g > room_g + SUMS_TO:
                    yield f"{pace.name}: {glucose_g:.1f} g of one sugar, of {room_g:.1f} at most"
        for intake, one in ((i, counted(i, case, pace)) for i in plan.race.intakes if i.amount != "rinse"):
            if one.at_s > last_s + SUMS_TO:
                yield f"{pace.name}: {intake.item} after the last moment"


def too_much_caffeine(outcome: Outcome, taken: list[Taken], pace: str) -> Iterator[str]:
    """Yield each dose with which two hours, or the day, hold too much."""
    case = outcome.case
    assert case is not None
    born, race_day = case.athlete.born, case.race.gun.date()
    grown = born is not None and (race_day.year - born.year, race_day.month, race_day.day) >= (
        18, born.month, born.day,
    )  # fmt: skip
    once_mg, day_mg = (200.0, 400.0) if grown else (3 * case.athlete.body_mass_kg,) * 2
    if "pregnancy" in outcome.health.raised:
        day_mg = min(day_mg, 200.0)
    for dose in (one for one in taken if one.caffeine_mg > 0):
        morning_mg = case.athlete.breakfast_caffeine_mg
        lately_mg = math.fsum(o.caffeine_mg for o in taken if dose.at_s - 7200 <= o.at_s <= dose.at_s)
        lately_mg += morning_mg if dose.at_s <= 7200 else 0
        all_mg = morning_mg + math.fsum(o.caffeine_mg for o in taken if o.at_s <= dose.at_s)
        if lately_mg > once_mg + SUMS_TO or all_mg > day_mg + SUMS_TO:
            yield f"{pace}: {lately_mg:.0f} mg of caffeine in two hours, {all_mg:.0f} in all"


def below(x_m: tuple[float, ...], values: tuple[float, ...], at_m: float) -> float:
    """Return the lower of the two values around a place."""
    before = max(index for index, x in enumerate(x_m) if x <= at_m + SUMS_TO)
    if x_m[before] >= at_m - SUMS_TO:
        return values[before]
    return min(values[before], values[before + 1])


def counted(intake: Intake, case: Case, pace: PaceCase) -> Taken:
    """Count one intake: a pack by the low end of its water, a cup as it is poured at the most."""
    item = case.item(intake.item)
    assert item is not None
    at_s = intake.at_elapsed_s if intake.at_m is None else pace.time_at_s(intake.at_m)
    assert at_s is not None
    at_m = pace.place_at_m(at_s) if intake.at_m is None else intake.at_m
    holds, packs = item.holds, intake.portion_frac
    water_ml = holds.water_ml.low if holds.water_ml else 0.0
    fluid_ml = packs * (item.label.pack_ml or water_ml)
    sugar = holds.glucose_g or holds.carb_g
    glucose_g = packs * (sugar.mid if sugar else math.inf)
    caffeine_mg = packs * (holds.caffeine_mg.high if holds.caffeine_mg else math.inf)
    if intake.amount != "whole":
        fluid_ml = poured_ml(intake, case)
        share = fluid_ml / (item.label.pack_ml or math.inf)
        caffeine_mg = share * holds.caffeine_mg.high if holds.caffeine_mg else math.inf
        glucose_g = share * (sugar.high if sugar else math.inf)
    return Taken(at_s, at_m, fluid_ml, caffeine_mg, glucose_g)


def poured_ml(intake: Intake, case: Case) -> float:
    """Return what is poured of a cup at the most; a mouthful is 40 ml."""
    if intake.amount in ("mouthful", "rinse"):
        return 40.0 * intake.portion_frac
    here = [s for s in case.course.stations if intake.at_m is not None and abs(s.at_m - intake.at_m) < 1]
    served = [cup for station in here for cup in station.serves]
    meant = [cup for cup in served if cup.item == intake.item]
    if intake.item == "water" and not meant:
        meant = [cup for cup in served if case.item(cup.item) is None]  # it counts as water, and that is told
    cups = [cup.cup_ml * cup.fill_frac.high for cup in meant]
    return {"cup": 1.0, "half": 0.5}[intake.amount] * intake.portion_frac * max(cups, default=math.inf)


def from_line(outcome: Outcome, pace: PaceCase) -> Iterator[Taken]:
    """Yield what the drinking line pours beyond the cups of water that are planned at its stations."""
    plan, case = outcome.plan, outcome.case
    assert plan is not None
    assert case is not None
    drinking, begun = plan.race.drinking, not plan.race.drinking.first_station
    for station in case.course.stations:
        begun = begun or station.name == drinking.first_station
        cups = [cup.cup_ml * cup.fill_frac.high for cup in station.serves if cup.item == "water"]
        if not begun or not cups or drinking.amount == "none":
            continue
        line_ml = {"mouthful": 40.0, "half": 0.5 * max(cups), "cup": max(cups)}[drinking.amount]
        planned = (i for i in plan.race.intakes if i.item == "water" and i.at_m == station.at_m)
        more_ml = max(0.0, line_ml - math.fsum(poured_ml(i, case) for i in planned if i.amount != "whole"))
        yield Taken(pace.time_at_s(station.at_m), station.at_m, more_ml, 0, 0)


def nothing_excluded_is_planned(outcome: Outcome) -> Iterator[str]:
    """An allergen that is not stated to be absent, or a word that is excluded, is in nothing planned."""
    plan, case = outcome.plan, outcome.case
    for intake in plan.race.intakes if plan else ():
        item = case.item(intake.item) if case else None
        if item is None:
            yield f"nobody knows {intake.item}"
            continue
        for allergen in case.athlete.allergens if case else ():
            if allergen not in item.free_from:
                yield f"{item.id} is not free from {allergen}"
        for word in case.athlete.excluded if case else ():
            if word in item.label.ingredients or not item.label.ingredients:
                yield f"{item.id} may hold {word}"


def a_crew_gives_only_what_is_planned(outcome: Outcome) -> Iterator[str]:
    """What comes from a crew comes from where one may help and has it; its sheet hands over no more."""
    plan, case = outcome.plan, outcome.case
    if plan is None or case is None or case.crew is None:
        return
    from_crew = [intake for intake in plan.race.intakes if intake.got_from == "crew"]
    for intake in from_crew:
        here = [one for one in case.crew.points if abs(one.at_m - (intake.at_m or 0.0)) < 61]
        if not any(o.allowed and not o.out_of_reach and intake.item in o.hands for o in here):
            yield f"{intake.item} from a crew at {intake.at_m}"
    sheet = outcome.files.get("crew.pdf", b"")
    if sheet.startswith(b"["):  # told, not set: what a typesetter would be given
        _, data, _ = json.loads(sheet)
        *points, _ = data["points"]
        handed = [entry["text"] for point in points for entry in point["hand"]]
        if len(handed) != len(from_crew):
            yield f"the sheet hands over {handed}, {len(from_crew)} are planned"


def meals_of(outcome: Outcome) -> tuple[MenuMeal, ...]:
    """Return the meals of a plan's menu."""
    return outcome.plan.menu.meals if outcome.plan is not None and outcome.plan.menu is not None else ()


def nothing_excluded_is_on_the_menu(outcome: Outcome) -> Iterator[str]:
    """No food of a menu may hold what the athlete leaves out, or caffeine, or what is withheld."""
    case, screening = outcome.case, outcome.screening
    if outcome.end != "issued" or case is None or screening is None:
        return
    own = {food.id: food for food in case.menu.own_foods} if case.menu is not None else {}
    known = {food.id: food for food in foods()} | own
    for food in (known[one.food] for meal in meals_of(outcome) for one in meal.foods):
        athlete = case.athlete
        sugars = ("fructose", "sorbitol") if "fructose" in screening.withheld else ()
        left_out = (*athlete.allergens, *sugars)
        for allergen in left_out:
            if allergen not in food.free_from:
                yield f"{food.id} is not free from {allergen}"
        for word in athlete.excluded:
            if not food.ingredients or word in food.ingredients:
                yield f"{food.id} may hold {word}"
        if food.per_100g.caffeine_mg is None or food.per_100g.caffeine_mg.high > 0:
            yield f"{food.id} may hold caffeine"
        if case.menu is not None and food.id in case.menu.refused:
            yield f"{food.id} is refused"
        if "fluid" in screening.withheld and (food.state == "drunk" or "drink" in food.roles):
            yield f"{food.id} is drunk"
    if "loading" in screening.withheld and meals_of(outcome):
        yield "a menu stands where loading is withheld"


def the_menu_adds_up(outcome: Outcome) -> Iterator[str]:
    """The carbohydrate of each 24 hours is that of its foods, and what is laid on a meal stands on it."""
    plan, case = outcome.plan, outcome.case
    if plan is None or plan.menu is None or case is None or case.menu is None:
        return
    known = {food.id: food for food in (*foods(), *case.menu.own_foods)}
    for number in range(len(plan.menu.blocks)):
        laid = [one for meal in plan.menu.meals if meal.block == number for one in meal.foods]
        held_g = [
            one.portions_count * known[one.food].portion.unit_g * carb.mid / 100
            for one in laid
            if (carb := known[one.food].per_100g.carb_g) is not None
        ]
        told = plan.figure(f"menu.block_{number + 1}_carb_g")
        if told is not None and abs(told.value.mid - math.fsum(held_g)) > SUMS_TO * max(1.0, told.value.mid):
            yield f"24 hours {number + 1}: {told.value.mid} g are told, {math.fsum(held_g)} g are laid"


def code_on_each_page(outcome: Outcome) -> Iterator[str]:
    """The code stands on every sheet, and on the safety page, which is of no plan, never."""
    if outcome.plan is None:
        return
    code = outcome.plan.code
    for name, told in texts(outcome):
        if name.endswith(".pdf") and (code in told) == (name in FOR_EVERYONE):
            yield f"{name} and the code {code}"


NO_FOOD = {"Your tablet", "Wake up", "Leave", "Bag drop", "Warm-up", "Into your pen", "Last toilet"}
"""The rungs of race morning at which nothing is eaten."""


def morning_goes_round_what_is_fixed(outcome: Outcome) -> Iterator[str]:
    """Nothing is eaten in the time without food round a tablet, or in a forbidden window."""
    case = outcome.case
    if outcome.plan is None or case is None:
        return
    fixed = case.dated_morning
    windows = [(one.start, one.end) for one in (*case.race.forbidden, *(fixed.tablets if fixed else ()))]
    for line in outcome.plan.morning:
        for start, end in windows:
            eaten = line.at is not None and line.title not in NO_FOOD
            if eaten and line.at is not None and start <= line.at < end:
                yield f"{line.title} at {line.at}, in {start} to {end}"


def minors_are_not_dosed(outcome: Outcome) -> Iterator[str]:
    """No meal and no drink of a minor has an amount by body mass."""
    plan, screening = outcome.plan, outcome.screening
    if plan is None or screening is None or not screening.minor:
        return
    for figure in plan.figures:
        if figure.id.startswith(("load.", "breakfast.", "drink_before.", "recovery.")) and "_kg" in figure.id:
            yield figure.id


CHECKS: dict[str, Check] = {
    check.__name__: check
    for check in (
        no_crash, numbers_mean_what_was_typed, flags_hold, parts_are_withheld, nothing_leaves_on_hold,
        nothing_of_a_withheld_part,
        no_ceiling_is_broken, nothing_excluded_is_planned, a_crew_gives_only_what_is_planned,
        nothing_excluded_is_on_the_menu, the_menu_adds_up,
        no_weight_for_portions_only, no_answer_in_any_byte,
        code_on_each_page, morning_goes_round_what_is_fixed, minors_are_not_dosed,
    )
}  # fmt: skip


def breaches(outcome: Outcome) -> list[str]:
    """Return everything that does not hold of an outcome, each with its check and its seed."""
    found = [
        f"seed {outcome.seed}, {name}: {wrong}" for name, check in CHECKS.items() for wrong in check(outcome)
    ]
    return found + (
        [f"after a change, {wrong}" for wrong in breaches(outcome.after)] if outcome.after else []
    )
