"""The page of the menu: works, colleague, stranger, assistant, bad id, and what cannot be done says why."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
import tomlkit
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from files import AS_OF, HEALTH, STARTER, case_at, race_file
from held import Held
from practice import person, signed_in
from race_pages import body
from race_pages import post as post_file

from provand.finding import NoPlanFits, find
from provand.plan.menu_laid import MenuMade
from provand.plan.withheld import WEIGHTS
from provand.planner.menu.problem import MenuSolution
from provand.planner.progress import Stage
from provand.workspace import at_work, jobs, people
from provand.workspace.change_forms import what_happened
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Desk, Job

SLOW_S = 300
HTMX = {"HX-Request": "true"}
LAID = """
[[wishes.overrides]]
what = "load.dose_g_per_kg_per_day"
value = "7 g/kg/day"
by = "Alba Inventada"
on = 2026-11-20
why = "as before"

[menu]
blocks = 1
laid = [
    { on = 2026-12-05, meal = "lunch", food = "white-rice", portions = 2 },
    { on = 2026-12-05, meal = "dinner", food = "pasta", portions = 2 },
]
"""


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    return race_file(ledger, typed=STARTER + LAID)


@pytest.fixture
def client(desk: Desk) -> Client:
    return signed_in("Alba")


def now(desk: Desk) -> Desk:
    return Desk.objects.get(pk=desk.pk)


def text(answer: Any) -> str:
    assert isinstance(answer, HttpResponse)
    return answer.content.decode()


def post(client: Client, desk: Desk, revision: int | None = None, **sent: str) -> HttpResponse:
    data = {"revision": now(desk).revision if revision is None else revision}
    on = {"on": "2026-12-05", "meal": "lunch", "food": "white-rice"}
    answer = client.post(f"/files/{desk.pk}/menu/change", data | on | sent, headers=HTMX)
    assert isinstance(answer, HttpResponse)
    return answer


def test_the_page_shows_each_meal_with_its_running_total_and_the_shopping(client: Client, desk: Desk) -> None:
    shown = text(client.get(f"/files/{desk.pk}/menu"))
    for words in ("Saturday 5 December 2026", "2 cups", "white rice", "so far", "Shopping", "What it misses"):
        assert words in shown


def test_more_of_a_food_is_one_press_and_can_be_taken_back(client: Client, desk: Desk) -> None:
    answer = post(client, desk, kind="portions", portions="3")
    assert answer.status_code == 200
    assert "3 cups" in text(answer)
    case = case_at(now(desk))
    assert case.menu is not None and case.menu.laid[0].portions_count == 3
    undone = client.post(f"/files/{desk.pk}/menu/undo", {"revision": now(desk).revision}, headers=HTMX)
    assert "2 cups" in text(undone)


def test_another_food_is_found_by_its_name(client: Client, desk: Desk) -> None:
    shown = text(post(client, desk, kind="swap food", other="Couscous"))
    assert "couscous takes the place of white rice" in shown
    menu = case_at(now(desk)).menu
    assert menu is not None and menu.laid[0].food == "couscous"


OWN = (Path(__file__).resolve().parents[2] / "docs" / "foods.md").read_text("utf-8")
OWN = OWN.partition("```toml\n")[2].partition("```")[0]
"""The own foods that the docs show."""


def own_file(data: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("our-foods.toml", data.encode("utf-8"))


def test_own_foods_are_dropped_on_the_race_file_laid_and_swapped(client: Client, desk: Desk) -> None:
    assert post_file(client, desk, own_foods_file=own_file(OWN)).status_code == 200
    assert "<strong>our-foods.toml</strong>" in body(client.get(f"/files/{desk.pk}"))
    shown = text(client.get(f"/files/{desk.pk}/menu"))
    assert '<option value="our oat bar">' in shown
    assert "our rice pudding, a food of your own, is laid on no menu: it has no role on a plate" in shown
    shown = text(post(client, desk, kind="swap food", other="Our oat bar"))
    assert "our oat bar takes the place of white rice" in shown
    assert client.get(
        f"/files/{desk.pk}/menu/instead", {"on": "2026-12-05", "meal": "dinner", "food": "pasta"}
    )
    menu = case_at(now(desk)).menu
    assert menu is not None and menu.laid[0].food == "our-oat-bar"


def test_a_file_of_own_foods_with_faults_is_told_by_place_and_not_kept(client: Client, desk: Desk) -> None:
    shown = body(post_file(client, desk, own_foods_file=own_file(OWN.replace("1680 kJ", "1680 kcal"))))
    assert "our-foods.toml, foods[1].label: " in shown and "it reads like kJ" in shown
    shown = body(post_file(client, desk, own_foods_file=own_file("no toml")))
    assert "our-foods.toml: the file is not valid TOML" in shown
    assert "own_foods" not in tomlkit.parse(now(desk).typed)["menu"]  # type: ignore[operator]


def test_an_own_food_on_the_menu_is_told_when_its_file_is_taken_away(client: Client, desk: Desk) -> None:
    post_file(client, desk, own_foods_file=own_file(OWN))
    post(client, desk, kind="swap food", other="our-oat-bar")
    shown = body(post_file(client, desk, drop="menu.own_foods", go="yes"))
    assert "o food has the id 'our-oat-bar'" in shown


def test_what_could_be_eaten_instead_keeps_the_limits_and_is_one_press(client: Client, desk: Desk) -> None:
    asked = {"on": "2026-12-05", "meal": "lunch", "food": "white-rice"}
    shown = text(client.get(f"/files/{desk.pk}/menu/instead", asked))
    (other, portions), *_ = re.findall(
        r'name="other" value="([^"]+)">.*?name="portions" value="([^"]+)"', shown
    )
    assert other != "white-rice"
    post(client, desk, kind="swap food", other=other, portions=portions)
    menu = case_at(now(desk)).menu
    assert menu is not None
    assert (menu.laid[0].food, menu.laid[0].portions_count) == (other, float(portions))


def test_of_a_food_that_is_not_on_the_menu_nothing_is_told(client: Client, desk: Desk) -> None:
    asked = {"on": "2026-12-05", "meal": "lunch", "food": "couscous"}
    assert client.get(f"/files/{desk.pk}/menu/instead", asked).status_code == 404
    assert client.get(f"/files/{desk.pk}/menu/instead").status_code == 404


def test_a_food_can_stay_and_then_need_not(client: Client, desk: Desk) -> None:
    assert "stays" in text(post(client, desk, kind="stay food", stays="yes"))
    assert case_at(now(desk)).menu.laid[0].pinned  # type: ignore[union-attr]
    post(client, desk, kind="stay food", stays="no")
    assert not case_at(now(desk)).menu.laid[0].pinned  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"kind": "swap food", "other": "moon cheese"}, "moon cheese"),
        ({"kind": "portions", "portions": "99"}, "0 to 20"),
        ({"kind": "portions", "portions": "1", "meal": "brunch"}, "meal"),
        ({"kind": "portions", "portions": "1", "on": "yesterday"}, "on"),
        ({"kind": "stay food", "food": "couscous"}, "white-rice"),
    ],
)
def test_what_cannot_be_done_says_why_and_changes_nothing(
    client: Client, desk: Desk, sent: dict[str, str], told: str
) -> None:
    before = now(desk).typed
    answer = post(client, desk, **sent)
    assert answer.status_code == 422
    assert told in text(answer)
    assert now(desk).typed == before


def test_the_second_of_two_is_told_and_loses_nothing(client: Client, desk: Desk) -> None:
    was = now(desk).revision
    post(client, desk, kind="portions", portions="3")
    answer = post(client, desk, revision=was, kind="portions", portions="1")
    assert answer.status_code == 409
    assert "Alba" in text(answer)
    assert case_at(now(desk)).menu.laid[0].portions_count == 3  # type: ignore[union-attr]


def test_a_menu_is_laid_on_demand_and_comes_to_the_ticked_load(ledger: Ledger) -> None:
    """One block with three meals, so that it is quick; 7 g for each kg of the body mass, to 2 %."""
    meals = "\n".join(
        f'[[menu.meals]]\nmeal = "{meal}"\nat = "{at}"'
        for meal, at in (("lunch", "12:00"), ("dinner", "18:00"))
    )
    desk = race_file(ledger, typed=STARTER + LAID.split("laid = [", 1)[0] + meals + "\n")
    client = signed_in("Alba")
    answer = client.post(f"/files/{desk.pk}/menu/lay", {"revision": desk.revision}, headers=HTMX)
    assert answer.status_code == 200, text(answer)[:600]
    assert "The menu is being laid" in text(answer)
    assert at_work.waited(most_s=SLOW_S)
    menu = case_at(now(desk)).menu
    assert menu is not None and menu.laid
    came = client.get(f"/files/{desk.pk}/menu/laid", headers=HTMX)
    assert came.headers["HX-Retarget"] == "#menu"
    assert "so far" in text(came)
    assert Audit.objects.filter(what="case changed").last().by == "Alba Inventada"  # type: ignore[union-attr]


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    made = Held(monkeypatch)
    yield made
    made.future.cancel()
    assert at_work.waited(most_s=SLOW_S)


def lay(client: Client, desk: Desk, held: Held) -> str:
    answer = text(client.post(f"/files/{desk.pk}/menu/lay", {"revision": now(desk).revision}, headers=HTMX))
    assert held.begun.wait(SLOW_S)
    return answer


def other_menu(desk: Desk) -> MenuMade:
    """Return a menu as a solver would: the one that stands, of another portion."""
    rows = case_at(now(desk)).menu.laid  # type: ignore[union-attr]
    return MenuMade((rows[0].model_copy(update={"portions_count": 4.0}),), MenuSolution(laid=(), goals=()))


def test_while_it_is_laid_the_page_stays_says_so_and_asks_again(
    client: Client, desk: Desk, held: Held
) -> None:
    shown = lay(client, desk, held)
    assert "The menu is being laid" in shown
    assert "2 cups" in shown
    assert f'hx-get="/files/{desk.pk}/menu/laid"' in shown
    assert "Lay again" not in shown
    part = text(client.get(f"/files/{desk.pk}/menu/laid", headers=HTMX))
    assert part.startswith('<div id="waits"')
    assert "It is about to begin" in part
    held.stage = Stage("menu", "liking", nth=2, of=4, best=18, bound=3, nodes=75, max_nodes=150)
    part = text(client.get(f"/files/{desk.pk}/menu/laid", headers=HTMX))
    assert "Goal 2 of 4, what is liked: 18 points of dislike so far, and it cannot be under 3." in part
    assert 'value="1.5" max="4"' in part
    assert 'http-equiv="refresh"' in text(client.get(f"/files/{desk.pk}/menu"))
    lay(client, desk, held)
    assert Job.objects.count() == 1, "asked for twice it is laid once"
    colleague = text(signed_in("Bo").get(f"/files/{desk.pk}/menu"))
    assert "for Alba Inventada" in colleague
    assert "/menu/stop" not in colleague
    held.future.set_result(other_menu(desk))
    assert at_work.waited(most_s=SLOW_S)
    assert "4 cups" in text(client.get(f"/files/{desk.pk}/menu"))


def test_a_stop_leaves_the_menu_as_it_was(client: Client, desk: Desk, held: Held) -> None:
    before = now(desk)
    lay(client, desk, held)
    assert client.get(f"/files/{desk.pk}/menu/stop").status_code == 405
    assert signed_in("Bo").post(f"/files/{desk.pk}/menu/stop", headers=HTMX).status_code == 422
    stopped = text(client.post(f"/files/{desk.pk}/menu/stop", headers=HTMX))
    assert at_work.waited(most_s=SLOW_S)
    assert held.future.cancelled()
    assert "2 cups" in stopped
    assert "being laid</strong>" not in stopped
    assert (now(desk).typed, now(desk).revision) == (before.typed, before.revision)
    assert client.post(f"/files/{desk.pk}/menu/stop", headers=HTMX).status_code == 422


@pytest.mark.parametrize("comes_to_its_end", [True, False])
def test_what_was_changed_meanwhile_stays_and_who_asked_is_told(
    client: Client, desk: Desk, held: Held, comes_to_its_end: bool
) -> None:
    """What nobody wants any more need not come to its end: it is let go at the next look."""
    held.patch.setattr(at_work, "LOOK_S", 60.0 if comes_to_its_end else 0.01)
    lay(client, desk, held)
    revision = now(desk).revision
    post(signed_in("Bo"), desk, revision=revision, kind="portions", portions="3")
    if comes_to_its_end:
        held.future.set_result(other_menu(desk))
    assert at_work.waited(most_s=SLOW_S)
    shown = text(client.get(f"/files/{desk.pk}/menu/laid", headers=HTMX))
    assert "No menu was laid" in shown
    assert "Bo changed this race file" in shown
    assert "nothing was put over it" in shown
    assert case_at(now(desk)).menu.laid[0].portions_count == 3  # type: ignore[union-attr]


def test_a_menu_that_none_fits_is_told_until_the_race_file_is_changed(
    client: Client, desk: Desk, held: Held
) -> None:
    lay(client, desk, held)
    held.future.set_exception(NoPlanFits(find("menu.none")))
    assert at_work.waited(most_s=SLOW_S)
    assert "No menu was laid" in text(client.get(f"/files/{desk.pk}/menu"))
    post(client, desk, kind="portions", portions="3")
    assert "No menu was laid" not in text(client.get(f"/files/{desk.pk}/menu"))


def test_a_program_that_was_closed_meanwhile_says_so(ledger: Ledger, client: Client, desk: Desk) -> None:
    given = {"revision": desk.revision, "another": False}
    job = jobs.begun(ledger, kind="menu", desks=[desk], given=given, by=person("Alba"), on=AS_OF)
    assert "The program was closed" in text(client.get(f"/files/{desk.pk}/menu"))
    assert client.get(f"/jobs/{job.key}").headers["Location"] == f"/files/{desk.pk}/menu"
    assert client.get(f"/jobs/{job.key}/all.zip").status_code == 404


def test_without_a_tick_the_page_says_what_is_missing(ledger: Ledger) -> None:
    desk = race_file(ledger)
    shown = text(signed_in("Alba").get(f"/files/{desk.pk}/menu"))
    assert "Nothing is laid yet" in shown
    answer = signed_in("Alba").post(f"/files/{desk.pk}/menu/lay", {"revision": desk.revision}, headers=HTMX)
    assert answer.status_code == 422
    assert "no loading dose is ticked" in text(answer)


def test_on_hold_nothing_of_a_menu_is_shown(ledger: Ledger) -> None:
    desk = race_file(ledger, typed=STARTER + LAID, health="")
    shown = text(signed_in("Alba").get(f"/files/{desk.pk}/menu"))
    assert "On hold" in shown
    assert "white rice" not in shown


def test_a_food_that_may_not_be_given_is_told_on_the_page(ledger: Ledger) -> None:
    document = tomlkit.parse(STARTER + LAID)
    document["athlete"]["allergens"] = ["gluten"]  # type: ignore[index]
    desk = race_file(ledger, typed=tomlkit.dumps(document))
    assert "contains gluten" in text(signed_in("Alba").get(f"/files/{desk.pk}/menu"))


def test_who_reads_no_weights_has_a_page_of_cups_and_slices(ledger: Ledger) -> None:
    """The athlete chose portions: no gram stands on the page, in remarks neither."""
    chosen = HEALTH + '\n[[portions]]\nportions_only = true\nby = "Alex Sample"\non = 2026-11-20\n'
    desk = race_file(ledger, typed=STARTER + LAID, health=chosen)
    shown = text(signed_in("Alba").get(f"/files/{desk.pk}/menu"))
    assert "2 cups" in shown
    menu = shown[shown.index('id="menu"') : shown.index("Shopping")]
    assert not WEIGHTS.search(re.sub(r"<[^>]+>", " ", menu))


def test_what_happened_to_a_race_asks_for_no_change_of_the_menu(desk: Desk) -> None:
    titles = {form.title for form in what_happened(case_at(desk), today=AS_OF)}
    assert "Forecast" in titles
    assert not titles & {"Lay menu", "Portions", "Swap food", "Stay food"}


def test_a_colleague_and_an_assistant_see_what_is_shared_with_them(desk: Desk) -> None:
    for name in ("Bo", "Dana"):
        assert "white rice" in text(signed_in(name).get(f"/files/{desk.pk}/menu"))


def test_a_stranger_finds_nothing(ledger: Ledger, desk: Desk) -> None:
    people.person_added(
        ledger,
        name="Xenia Fremd",
        passphrase="four invented words more",
        role="practitioner",
        by=person("Alba"),
    )
    stranger = signed_in("Xenia")
    assert stranger.get(f"/files/{desk.pk}/menu").status_code == 404
    assert stranger.get(f"/files/{desk.pk}/menu/laid").status_code == 404
    for act in ("change", "lay", "stop", "undo", "redo"):
        assert stranger.post(f"/files/{desk.pk}/menu/{act}", {"revision": 1}).status_code == 404


def test_a_bad_id_and_a_wrong_method_are_refused(client: Client, desk: Desk) -> None:
    assert client.get(f"/files/{uuid4()}/menu").status_code == 404
    assert client.post(f"/files/{desk.pk}/menu").status_code == 405
    assert client.get(f"/files/{desk.pk}/menu/lay").status_code == 405
