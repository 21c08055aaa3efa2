"""A drink for the athlete of a race file: what is left out, what is withheld, and who sees it."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from files import AS_OF, HEALTH, STARTER, race_file, spoilt
from practice import signed_in
from race_pages import body

from provand.safety.weights import WEIGHTS
from provand.workspace import labels
from provand.workspace.access import Seen
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk, User

BOTTLE = {"carb": "60 g/l", "sodium": "500 mg/l", "volume": "750 ml", "from": ["sugar", "salt"]}
BY = 'by = "Alex Sample"\non = 2026-11-20\n'
NO_WEIGHTS = f"[[portions]]\nportions_only = true\n{BY}"


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())


def page(client: Client, desk: Desk, **asked: Any) -> str:
    answer = client.get(f"/files/{desk.pk}/mix", asked)
    assert answer.status_code == 200, body(answer)[:2000]
    return body(answer)


def recipe(shown: str) -> str:
    """Return the part of the page that tells the recipe."""
    return shown.partition('<section id="recipe"')[2].partition("</section>")[0]


def answered(*pairs: tuple[str, str], more: str = "") -> str:
    return spoilt(HEALTH, *pairs) + "\n" + more


def test_menu_and_plan_lead_to_a_drink_for_the_athlete(ledger: Ledger) -> None:
    desk = race_file(ledger)
    alba = signed_in("Alba")
    assert f'href="/files/{desk.pk}/mix"' in body(alba.get(f"/files/{desk.pk}/menu"))
    shown = page(alba, desk)
    assert "<h1>A drink for Alex Sample</h1>" in shown
    assert "Weigh 47 g of table sugar, 1.0 g of table salt." in shown


def test_what_the_athlete_leaves_out_is_not_in_the_cupboard_nor_in_the_drink(ledger: Ledger) -> None:
    desk = race_file(ledger, typed=spoilt(STARTER, ("allergens = []", 'allergens = ["gluten"]')))
    shown = page(signed_in("Alba"), desk)
    assert 'value="sugar" checked' in shown
    assert 'value="maltodextrin"' not in shown
    assert "What this athlete leaves out stays out: maltodextrin" in shown
    wish = {**BOTTLE, "carb": "80 g/l", "from": ["sugar", "maltodextrin"], "sodium": ""}
    assert "of maltodextrin" not in recipe(page(signed_in("Alba"), desk, **wish))
    answer = signed_in("Alba").get(f"/files/{desk.pk}/mix", {**BOTTLE, "from": ["maltodextrin"]})
    assert answer.status_code == 422
    assert "none may go in" in body(answer)


def test_the_rules_for_the_drink_of_the_race_stand_below_the_recipe_with_their_source(
    ledger: Ledger,
) -> None:
    told = recipe(page(signed_in("Alba"), race_file(ledger)))
    rules = told.partition("Rules for the drink of this race")[2]
    assert (
        "Sodium: <b>20 to 30 mmol/l</b> <small>position-stands/N1, sawka2007, memory; not used: sho" in rules
    )


def test_rules_of_what_is_withheld_or_for_who_reads_no_weights_are_not_there(ledger: Ledger) -> None:
    in_words = race_file(ledger, health=answered(more=NO_WEIGHTS))
    assert "Rules for the drink" not in recipe(page(signed_in("Alba"), in_words))


def test_who_reads_no_weights_gets_spoons_and_water_alone(ledger: Ledger) -> None:
    desk = race_file(ledger, health=answered(more=NO_WEIGHTS))
    told = recipe(page(signed_in("Alba"), desk))
    assert "Level spoons: 3 tablespoons and 2¼ teaspoons of table sugar." in told
    assert not WEIGHTS.search(told)


def test_withheld_sodium_asks_for_none_adds_none_and_tells_none(ledger: Ledger) -> None:
    treated = ('question = "blood_pressure"\nreply = "no"', 'question = "blood_pressure"\nreply = "yes"')
    rest = {"treated": "yes", "steady": "yes", "symptoms": "no"}
    more = "".join(
        f'[[answers]]\nquestion = "blood_pressure_{key}"\nreply = "{reply}"\n{BY}'
        for key, reply in rest.items()
    )
    desk = race_file(ledger, health=answered(treated, more=more))
    shown = page(signed_in("Alba"), desk)
    form = shown.partition("<form")[2].partition("</form>")[0]
    assert 'name="sodium"' not in form and 'value="salt"' not in form
    assert "Weigh 47 g of table sugar." in shown
    for word in ("salt", "odium", "mOsm"):
        assert word not in recipe(shown).partition("<form")[0]
    asked = recipe(page(signed_in("Alba"), desk, **BOTTLE)).partition("<form")[0]
    assert "table salt" not in asked and "mg/l" not in asked


def test_on_hold_there_is_no_recipe_and_only_a_practitioner_reads_why(ledger: Ledger) -> None:
    desk = race_file(ledger, health="")
    for name, told in (("Alba", True), ("Dana", False)):
        shown = page(signed_in(name), desk)
        assert "Weigh" not in shown and "No drink is mixed for this athlete" in shown
        assert ("There are no health answers" in shown) is told
    kept = signed_in("Alba").post(f"/files/{desk.pk}/mix/keep", {**BOTTLE, "name": "House bottle"})
    assert kept.status_code == 302
    assert not labels.on_shelf(Seen(User.objects.get(name__startswith="Alba")))


def test_an_entry_that_cannot_be_read_is_told(ledger: Ledger) -> None:
    desk = race_file(ledger)
    shown = signed_in("Alba").get(f"/files/{desk.pk}/mix", {"carb": "lots"})
    assert shown.status_code == 422


def test_a_stranger_finds_nothing(ledger: Ledger) -> None:
    desk = race_file(ledger, seen_by=())
    assert signed_in("Bo").get(f"/files/{desk.pk}/mix").status_code == 404
    assert signed_in("Alba").get(f"/files/{uuid4()}/mix").status_code == 404


def test_an_athletes_drink_is_kept_without_what_they_leave_out(ledger: Ledger) -> None:
    desk = race_file(ledger, typed=spoilt(STARTER, ("allergens = []", 'allergens = ["gluten"]')))
    wish = {**BOTTLE, "from": "sugar, maltodextrin, salt", "name": "House bottle"}
    assert signed_in("Alba").post(f"/files/{desk.pk}/mix/keep", wish).status_code == 302
    (kept,) = labels.on_shelf(Seen(User.objects.get(name__startswith="Alba")))
    assert "gluten" in kept.item.free_from
