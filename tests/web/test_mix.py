"""The page of drinks: typed beside its recipe, both volumes drawn, kept on the shelf as an item."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from django.test import Client
from practice import person
from race_pages import body

from provand.case.case import Pocket, Rehearsed
from provand.case.door import read_case, read_health
from provand.larder.ingredient import cupboard
from provand.larder.mixing import mixed
from provand.plan.draw_up import draw_up
from provand.safety.screening import screen
from provand.workspace import labels
from provand.workspace.access import Seen
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Label

DAY = date(2026, 11, 25)
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo" / "warm-hills" / "case.toml"
BOTTLE = {"carb": "60 g/l", "sodium": "500 mg/l", "volume": "750 ml", "from": ["sugar", "salt"]}


def test_the_page_begins_with_a_bottle_from_the_kitchen_and_its_recipe(alba: Client) -> None:
    page = body(alba.get("/mix"))
    assert 'value="60 g/l"' in page
    assert "Weigh 47 g of table sugar, 1.0 g of table salt." in page
    assert "it makes 779 ml" in page
    assert "that takes 721 ml of water" in page


def test_the_recipe_is_of_what_is_typed(alba: Client) -> None:
    page = body(
        alba.get("/mix", {**BOTTLE, "carb": "8 %", "from": ["maltodextrin", "fructose"], "sodium": ""})
    )
    assert "of maltodextrin" in page
    assert 'value="maltodextrin" checked' in page
    assert 'value="sugar" checked' not in page
    assert "80" in page


def test_both_volumes_are_drawn_and_told_in_words(alba: Client) -> None:
    page = body(alba.get("/mix", {**BOTTLE, "how": "made up to"}))
    picture = page.split("<figure", 1)[1].split("</figure>", 1)[0]
    assert (
        "made up to 750 ml: 722 ml of water, 750 ml of drink; added to 750 ml: 750 ml of water, 778 ml of"
        in picture
    )
    assert "water 722 ml" in picture
    assert 'value="made up to" checked' in page


def test_every_figure_shows_its_sum_and_osmolality_its_error(alba: Client) -> None:
    page = body(alba.get("/mix", BOTTLE))
    assert "47.0 g / 0.779 l = 60.3 g/l" in page
    assert "with the error of the method" in page
    assert "lifts no limit of fluid" in page


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"carb": "60 g"}, "60 g"),
        ({"volume": "750"}, "has more than one reading"),
        ({"volume": "-1 l"}, "outside what is allowed"),
        ({"sodium": "2"}, "has more than one reading"),
        ({"ratio": "some"}, "some"),
        ({"from": []}, "Nothing is named that goes into the drink."),
        ({"from": ["salt"]}, "Carbohydrate is wished, and none may go in"),
        ({"from": ["sand"]}, "Nothing is called 'sand' in the cupboard."),
        ({"carb": "", "sodium": ""}, "Nothing is wished of the drink."),
    ],
)
def test_what_cannot_be_mixed_says_why_and_keeps_what_was_typed(
    alba: Client, spoilt: dict[str, object], said: str
) -> None:
    answer = alba.get("/mix", {**BOTTLE, **spoilt})
    assert answer.status_code == 422
    assert said in body(answer)
    assert "No recipe yet" in body(answer)
    shown = [str(text) for key, text in {**BOTTLE, **spoilt}.items() if key != "from"]
    assert all(f'value="{text}"' in body(answer) for text in shown)


def test_a_reading_is_a_link_that_mends(alba: Client) -> None:
    page = body(alba.get("/mix", {**BOTTLE, "volume": "750"}))
    link = re.search(r'class="button small" href="(\?[^"]+)">750 ml<', page)
    assert link
    mended = alba.get("/mix" + link[1].replace("&amp;", "&"))
    assert mended.status_code == 200
    assert 'value="750 ml"' in body(mended)


def test_a_wish_that_gives_way_stands_above_the_nearest_recipe(alba: Client) -> None:
    page = body(alba.get("/mix", {**BOTTLE, "ratio": "2:1"}))
    assert page.index("Not as wished") < page.index("Weigh ")
    assert "maltodextrin or glucose powder beside it" in page


def test_a_drink_is_kept_on_the_shelf_with_the_label_that_its_recipe_makes(alba: Client) -> None:
    answer = alba.post("/mix/keep", {**BOTTLE, "from": "sugar, salt", "name": "House bottle"})
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/shelf/house-bottle"
    (kept,) = labels.on_shelf(Seen(person("Alba")))
    holds = kept.item.holds
    assert holds.carb_g is not None
    assert holds.fructose_g is not None
    assert holds.sodium_mg is not None
    assert holds.water_ml is not None
    assert holds.carb_g.mid == pytest.approx(47, abs=0.1)
    assert holds.fructose_g.mid == pytest.approx(23.5, abs=0.1)
    assert holds.sodium_mg.mid == pytest.approx(393, abs=2)
    assert holds.water_ml.mid == pytest.approx(750, abs=1)
    assert kept.item.contains == ("fructose",)
    assert "milk" in kept.item.free_from
    assert kept.item.diet == "vegetarian"
    assert "47 g of table sugar" in kept.item.ingredients_note
    audit = Audit.objects.order_by("id").last()
    assert audit is not None
    assert (audit.what, audit.by) == ("label", "Alba Inventada")


def test_the_bottle_on_the_shelf_knows_its_recipe_and_a_label_that_is_another_drink_is_refused(
    alba: Client,
) -> None:
    alba.post("/mix/keep", {**BOTTLE, "from": "sugar, salt", "name": "House bottle"})
    (kept,) = labels.on_shelf(Seen(person("Alba")))
    assert kept.item.recipe is not None
    assert kept.item.recipe.sources == ("sugar", "salt")
    assert mixed(kept.item.recipe, cupboard()).weighed.drink_ml == pytest.approx(
        kept.item.label.pack_ml, abs=1
    )
    texts = labels.texts_of(Seen(person("Alba")).labels().get().typed)
    again = alba.post("/shelf/house-bottle", {**texts, "name": "Our bottle"})
    assert again.status_code == 302
    (renamed,) = labels.on_shelf(Seen(person("Alba")))
    assert (renamed.item.name, renamed.item.recipe) == ("Our bottle", kept.item.recipe)
    answer = alba.post("/shelf/house-bottle", {**texts, "label.carb": "9 g"})
    assert answer.status_code == 422
    assert "these are two drinks" in body(answer)


def test_a_race_file_takes_a_bottle_with_the_products_it_is_mixed_from(alba: Client, ledger: Ledger) -> None:
    powder = {
        **{"id": "our-powder", "name": "our powder", "texture": "powder"},
        "label": {"convention": "EU", "basis": "100 g", "pack": "500 g", "carb": "94 g", "salt": "0 g"},
    }
    labels.label_kept(ledger, data=powder, by=person("Alba"))
    alba.post(
        "/mix/keep", {**BOTTLE, "ratio": "", "sodium": "", "from": "our-powder", "name": "House bottle"}
    )
    named = {"athlete": {"rehearsed": [{"item": "house-bottle"}]}}
    steps = labels.taken(named, Seen(person("Alba")).labels())
    assert len(steps) == 2


def test_a_bottle_is_free_only_from_what_all_of_it_is_free_from(alba: Client) -> None:
    wish = {**BOTTLE, "from": "sugar, maltodextrin, salt", "name": "House bottle"}
    alba.post("/mix/keep", wish)
    (kept,) = labels.on_shelf(Seen(person("Alba")))
    assert "gluten" not in kept.item.free_from
    assert "fructose" not in kept.item.free_from
    assert {"milk", "sorbitol"} <= set(kept.item.free_from)


def test_a_plan_can_use_the_bottle_in_sips(alba: Client) -> None:
    wish = {"carb": "80 g/l", "sodium": "500 mg/l", "volume": "500 ml", "how": "made up to"}
    alba.post("/mix/keep", {**wish, "from": "sugar, salt", "name": "House bottle"})
    (kept,) = labels.on_shelf(Seen(person("Alba")))
    case = read_case(DEMO, as_of=DAY)
    athlete = case.athlete.model_copy(
        update={
            "pockets": (Pocket(name="belt", room_ml=600),),
            "rehearsed": (Rehearsed(item=kept.id, rate_g_per_h=40),),
        }
    )
    case = case.model_copy(update={"athlete": athlete, "items": (*case.items, kept.item)})
    screening, _ = screen(case, read_health(DEMO), as_of=DAY)
    plan = draw_up(case, screening, as_of=DAY)
    sips = [one.portion_frac for one in plan.race.intakes if one.item == kept.id]
    assert sips
    carb = plan.figure("race.carb_g_per_race")
    assert carb is not None
    assert carb.value.mid == pytest.approx(40 * sum(sips), rel=0.01)


def test_a_powder_of_ones_own_goes_into_a_drink_and_its_unknowns_stay_unknown(alba: Client) -> None:
    alba.post(
        "/shelf/new",
        {"name": "House mix", "texture": "powder", "label.convention": "EU", "label.basis": "100 g",
         "label.pack": "500 g", "label.carb": "90 g"},
    )  # fmt: skip
    answer = alba.get("/mix", {"carb": "60 g/l", "volume": "500 ml", "from": ["house-mix"]})
    assert "of House mix" in body(answer)
    assert "unknown" in body(answer)
    alba.post("/mix/keep", {"carb": "60 g/l", "volume": "500 ml", "from": "house-mix", "name": "Mix bottle"})
    kept = next(one.item for one in labels.on_shelf(Seen(person("Alba"))) if one.id == "mix-bottle")
    assert kept.holds.sodium_mg is None
    assert kept.holds.caffeine_mg is None
    assert kept.holds.fructose_g is None
    assert kept.free_from == ()
    assert kept.label.ingredients == ""


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 41}, "at most 40 letters"),
        ({"carb": "300 g/l"}, "syrup"),
        ({"carb": "60"}, ""),
        ({"carb": "much"}, "much"),
        ({"volume": "20 l"}, "5000"),
    ],
)
def test_an_item_that_cannot_be_kept_says_why(alba: Client, spoilt: dict[str, str], said: str) -> None:
    answer = alba.post("/mix/keep", {**BOTTLE, "from": "sugar, salt", "name": "House bottle", **spoilt})
    if not said:
        assert answer.status_code == 302
        return
    assert answer.status_code == 422
    assert said in body(answer)
    assert not Label.objects.exists()


def test_everybody_of_the_practice_mixes_drinks(bo: Client, cai: Client, dana: Client) -> None:
    assert bo.get("/mix").status_code == 200
    assert cai.get("/mix").status_code == 200
    assert dana.post("/mix/keep", {**BOTTLE, "from": "sugar, salt", "name": "Dana's"}).status_code == 302
    assert "Dana's" in body(bo.get("/shelf"))


def test_nobody_unsigned_and_no_wrong_method(nobody: Client, alba: Client) -> None:
    assert nobody.get("/mix").headers["Location"].startswith("/enter")
    assert alba.post("/mix", BOTTLE).status_code == 405
    assert alba.get("/mix/keep").status_code == 405
    assert alba.get("/mix/nothing").status_code == 404


def test_the_shelf_leads_to_it_and_it_lies_in_the_part_of_the_shelf(alba: Client) -> None:
    assert 'href="/mix"' in body(alba.get("/shelf"))
    assert re.search(r'href="/shelf" aria-current="page"', body(alba.get("/mix")))


@pytest.mark.parametrize("text", ["<script>x</script>", "\x00", "\u202ex", "😀" * 30, "\"'\\", "9" * 100_000])
@pytest.mark.parametrize("key", ["carb", "ratio", "sodium", "volume", "from", "how", "name"])
def test_whatever_is_typed_is_no_error_of_ours_and_never_runs(alba: Client, key: str, text: str) -> None:
    answer = alba.post("/mix/keep", {**BOTTLE, "from": "sugar, salt", "name": "House bottle", key: text})
    assert answer.status_code in (302, 422)
    assert "<script>x" not in answer.content.decode()
    assert alba.get("/mix", {**BOTTLE, key: text}).status_code in (200, 422)
