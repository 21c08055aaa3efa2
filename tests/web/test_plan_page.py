"""The page of a plan: what it shows to whom, on hold, in portions, with parts withheld; how heavy it is."""

from __future__ import annotations

import re
import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from files import HEALTH, STARTER, case_at, race_file, spoilt
from held import Held
from practice import person

from provand.case.case import Case
from provand.case.health import Health
from provand.case.typed import put
from provand.finding import Finding
from provand.planner.progress import Stage
from provand.safety.screening import Screening, screen
from provand.workspace import desk as desks
from provand.workspace import plans
from provand.workspace.how_far import how_far
from provand.workspace.ledger import Ledger
from provand.workspace.models import Desk
from provand.workspace.views import plan as view

PAGE_BYTES = 150_000
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", "2026-11-25")
    monkeypatch.setattr(view, "PATIENCE_S", 60.0)


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    """Return the starter's race file, its plan clear."""
    return race_file(ledger)


def address(desk: Desk) -> str:
    return f"/files/{desk.pk}/plan"


def page(client: Client, desk: Desk, query: str = "") -> str:
    answer = client.get(address(desk) + query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_owner_sees_strip_table_cautions_and_figures(alba: Client, desk: Desk) -> None:
    shown = page(alba, desk)
    for part in ("Alex Sample", "Sample Half", "version 1, draft", "Own start, Sun 6 Dec 2026", "1:47–2:04"):
        assert part.lower() in shown.lower()
    assert shown.count('class="strip"') == 3
    assert " style=" not in shown
    assert "<caption>Along the course</caption>" in shown
    assert "Carbohydrate, target" in shown


def test_table_and_both_strips_hold_the_same_stops(alba: Client, desk: Desk) -> None:
    shown = page(alba, desk)
    stops = {int(n) for n in re.findall(r'data-key="stop-(\d+)"', shown)}
    assert stops
    assert all(shown.count(f'data-key="stop-{n}"') == 4 for n in stops)
    sliders = re.findall(r'role="slider" tabindex="0" aria-label="([^"]*)" aria-valuetext="([^"]*)"', shown)
    assert len(sliders) == 3 * len(stops)
    assert all(re.search(r", (\d h )?\d+ min, \d+\.\d km, ", says) for _, says in sliders)


def test_a_colleague_with_whom_it_is_shared_sees_it(bo: Client, desk: Desk) -> None:
    assert "Along the course" in page(bo, desk)


def test_an_assistant_sees_the_plan(dana: Client, desk: Desk) -> None:
    assert "Along the course" in page(dana, desk)


def test_a_stranger_gets_404(cai: Client, desk: Desk) -> None:
    for path in (address(desk), f"/files/{desk.pk}/figure/race.finish_s"):
        assert cai.get(path).status_code == 404


def test_a_file_that_is_not_there_is_404(alba: Client, desk: Desk) -> None:
    assert alba.get(f"/files/{uuid.uuid4()}/plan").status_code == 404
    assert alba.get("/files/nonsense/plan").status_code == 404


def test_the_page_is_only_read(alba: Client, desk: Desk) -> None:
    assert alba.post(address(desk)).status_code == 405
    assert alba.post(f"/files/{desk.pk}/figure/race.finish_s").status_code == 405
    before = Desk.objects.get(pk=desk.pk).revision
    page(alba, desk)
    assert Desk.objects.get(pk=desk.pk).revision == before


def test_the_page_weighs_less_than_it_may(alba: Client, desk: Desk) -> None:
    assert len(page(alba, desk).encode()) < PAGE_BYTES


def test_on_hold_nothing_of_a_plan_is_shown_and_the_reasons_are_told(ledger: Ledger, alba: Client) -> None:
    desk = race_file(ledger, health="")
    shown = page(alba, desk)
    assert "On hold" in shown
    assert "There are no health answers." in shown
    for part in ("Along the course", "strip-level", "Figures", "Issue"):
        assert part not in shown
    assert alba.get(f"/files/{desk.pk}/figure/race.finish_s").status_code == 404


def test_of_a_hold_an_assistant_learns_that_it_is_one(ledger: Ledger, dana: Client) -> None:
    shown = page(dana, race_file(ledger, health=""))
    assert "On hold: ask the practitioner." in shown
    assert "no health answers" not in shown


def test_answers_of_a_namesake_open_no_new_file(ledger: Ledger, desk: Desk, cai: Client) -> None:
    theirs = desks.opened(ledger, by=person("Cai"), typed=STARTER)
    assert "On hold" in page(cai, theirs)


def test_a_file_with_faults_says_which(ledger: Ledger, alba: Client) -> None:
    faulty = desks.opened(ledger, by=person("Alba"), typed=STARTER.replace('"63.5 kg"', '"140"'))
    shown = page(alba, faulty)
    assert "cannot be read yet" in shown
    assert "140 kg" in shown


def test_in_portions_figures_wait_behind_one_step(
    desk: Desk, alba: Client, dana: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def portions(case: Case, health: Health | None, *, as_of: date) -> tuple[Screening, tuple[Finding, ...]]:
        found, reasons = screen(case, health, as_of=as_of)
        return found.model_copy(update={"withheld": ("grams",)}), reasons

    monkeypatch.setattr(plans, "screen", portions)
    shown = page(alba, desk)
    assert "Carbohydrate, use" not in shown
    assert "carbohydrate" not in shown.split("<caption>Along the course")[1].split("</table>")[0]
    assert "Carbohydrate, use" in page(alba, desk, "?figures=shown")
    assert "Carbohydrate, use" not in page(dana, desk, "?figures=shown")


def test_a_figure_opens_to_the_text_as_typed(alba: Client, desk: Desk) -> None:
    answer = alba.get(f"/files/{desk.pk}/figure/race.target_carb_g_per_h")
    assert answer.status_code == 200
    shown = answer.content.decode()
    for part in ("rule", "limits met", "one sugar", "nobody has set this by hand"):
        assert part in shown
    assert "38 g/h" in shown
    assert "Back to the plan" in shown, "without scripts it is a page of its own"
    assert alba.get(f"/files/{desk.pk}/figure/race.nothing_g").status_code == 404


def test_a_figure_of_a_withheld_part_has_no_chain(ledger: Ledger, alba: Client) -> None:
    pressure = spoilt(
        HEALTH, ('question = "blood_pressure"\nreply = "no"', 'question = "blood_pressure"\nreply = "yes"')
    )
    steady = "".join(
        f'\n[[answers]]\nquestion = "{q}"\nreply = "{r}"\nby = "Alex Sample"\non = 2026-11-20\n'
        for q, r in (
            ("blood_pressure_treated", "yes"),
            ("blood_pressure_steady", "yes"),
            ("blood_pressure_symptoms", "no"),
        )
    )
    desk = race_file(ledger, health=pressure + steady)
    shown = page(alba, desk)
    assert "Sodium, planned" not in shown
    assert "This plan says nothing about" in shown
    for hidden in ("race.sodium_mg_per_race", "ceiling.caffeine_once_mg"):
        assert alba.get(f"/files/{desk.pk}/figure/{hidden}").status_code == 404


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    monkeypatch.setattr(view, "PATIENCE_S", 0.0)
    return Held(monkeypatch)


def waits(client: Client, desk: Desk) -> str:
    return client.get(f"{address(desk)}/solved", headers=HTMX).content.decode()


def test_while_a_schedule_is_solved_the_page_says_how_far_it_is_and_asks_again(
    ledger: Ledger, alba: Client, held: Held
) -> None:
    desk = race_file(ledger)
    shown = page(alba, desk)
    assert "being solved" in shown
    assert f'hx-get="{address(desk)}/solved"' in shown
    assert 'http-equiv="refresh"' in shown
    part = waits(alba, desk)
    assert part.startswith('<div id="waits"')
    assert "It is about to begin" in part
    assert re.search(r"since \d\d:\d\d:\d\d, <span[^>]*>\d+ s</span> so far", part)
    held.stage = Stage("wider gaps", "handling", nth=6, of=9, best=14, bound=11)
    part = waits(alba, desk)
    assert "now with wider ones. Goal 6 of 9, little to handle: 14 points so far, and it cannot be" in part
    assert 'value="5.0" max="9"' in part
    page(alba, desk)
    assert held.count == 1, "a reload joins what is being solved"
    held.done()
    came = alba.get(f"{address(desk)}/solved", headers=HTMX)
    assert came.headers["HX-Retarget"] == "#plan"
    assert "Along the course" in came.content.decode()


def test_a_first_solve_that_is_stopped_stays_so_until_somebody_asks(
    ledger: Ledger, alba: Client, bo: Client, held: Held
) -> None:
    desk = race_file(ledger)
    page(alba, desk)
    stopped = alba.post(f"{address(desk)}/halt", headers=HTMX).content.decode()
    assert held.future.cancelled()
    assert "Alba Inventada stopped the solving" in stopped
    assert "Alba Inventada stopped the solving" in page(bo, desk)
    assert alba.post(f"{address(desk)}/halt", headers=HTMX).status_code == 422
    assert held.count == 1, "a look begins nothing anew"
    assert "being solved" in alba.post(f"{address(desk)}/solve", headers=HTMX).content.decode()
    held.done()
    assert "Along the course" in page(bo, desk)


def test_what_was_waited_for_is_let_go_when_the_race_file_is_changed(
    ledger: Ledger, alba: Client, held: Held
) -> None:
    desk = race_file(ledger)
    page(alba, desk)
    first = held.future
    wish = [put("race.goal", "1:55")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=wish, says="", by=person("Alba"))
    page(alba, desk)
    assert first.cancelled()
    assert not held.future.cancelled()


def test_where_a_part_is_withheld_goals_are_counted_and_not_named() -> None:
    stage = Stage("even gaps", "caffeine wish", nth=4, of=9, best=75, bound=0)
    since = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    now = since + timedelta(seconds=134)
    assert how_far(stage, since, in_words=True, now=now) == ("2 min 14 s", ("Goal 4 of 9.",), 3.0, 9)
    assert "75 mg missing so far" in how_far(stage, since, in_words=False, now=now).says[0]


def test_the_same_basis_is_solved_once(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    basis = plans.basis_of(desk, case_at(desk), as_of=view.today())
    first = plans.looked_at(basis)
    monkeypatch.setattr(plans, "drawn", lambda *_, **__: pytest.fail("solved twice"))
    assert plans.looked_at(basis) is first


def test_the_page_asks_the_ledger_the_same_number_of_times_whatever_it_holds(
    ledger: Ledger, alba: Client, desk: Desk
) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as counted:
            page(alba, desk)
        return len(counted)

    page(alba, desk)
    alone = queries()
    for n in range(4):
        race_file(ledger, typed=STARTER.replace("Alex Sample", f"Alex Sample {n}"), health="")
    assert queries() == alone
    assert alone <= 16
