"""Changes from the page of a plan: each verb, limits passed, what is refused, two people, undo and redo."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from files import AS_OF, case_at, race_file
from held import Held
from practice import person

from provand.case.case import Case
from provand.case.typed import put
from provand.finding import NoPlanFits, find
from provand.plan.look import Looked
from provand.workspace import at_work, change_forms, jobs, plans, workers
from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.models import Audit, CaseVersion, Desk, Job
from provand.workspace.views import plan as view

HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROVAND_TODAY", AS_OF.isoformat())
    monkeypatch.setattr(view, "PATIENCE_S", 60.0)


@pytest.fixture
def desk(ledger: Ledger) -> Desk:
    """Return the starter's race file, its plan clear: gels with water at 5, 10 and 15 km."""
    return race_file(ledger)


def now(desk: Desk) -> Desk:
    return Desk.objects.select_related("standing", "athlete", "race", "owner").get(pk=desk.pk)


def case_now(desk: Desk) -> Case:
    return case_at(now(desk))


def looked_now(desk: Desk) -> Looked:
    looked = plans.looked_at(plans.basis_of(now(desk), case_now(desk), as_of=AS_OF))
    assert looked is not None
    return looked


def post(client: Client, desk: Desk, kind: str, revision: int | None = None, **sent: Any) -> HttpResponse:
    data = {"kind": kind, "revision": now(desk).revision if revision is None else revision} | sent
    answer = client.post(f"/files/{desk.pk}/plan/change", data, headers=HTMX)
    assert isinstance(answer, HttpResponse)
    return answer


def back(client: Client, desk: Desk, way: str = "undo") -> HttpResponse:
    sent = {"revision": now(desk).revision}
    answer = client.post(f"/files/{desk.pk}/plan/{way}", sent, headers=HTMX)
    assert isinstance(answer, HttpResponse)
    return answer


def text(answer: HttpResponse) -> str:
    return answer.content.decode()


def said(answer: HttpResponse) -> str:
    found = re.search(r'<div id="said" hx-swap-oob="innerHTML">([^<]*)</div>', text(answer))
    assert found, text(answer)[:400]
    return found[1].replace("&#x27;", "'")


def places(desk: Desk) -> list[tuple[str, float | None]]:
    wishes = case_now(desk).wishes
    return [(one.item, one.at_m) for one in wishes.given]


# Laid by hand.


def test_a_moved_intake_is_told_and_the_schedule_is_as_given(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "move", item="gel-25", at="5000 m", to="5200 m")
    assert answer.status_code == 200
    assert said(answer) == "Moved to 5.2 km, 0:27. Fluid now 150 ml, below its ceiling."
    assert 'data-chosen="stop-0"' in text(answer)
    assert "no solver has looked" in text(answer)
    assert ("gel-25", 5200.0) in places(desk)
    version = now(desk).standing
    assert version is not None
    assert version.sentence == "gel (gel-25) moves from Mill to km 5.2."
    assert Audit.objects.filter(what="case changed", by="Alba Inventada").count() == 1


def test_no_solver_runs_for_a_schedule_laid_by_hand(
    alba: Client, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_now(desk)
    monkeypatch.setattr(workers, "begin_for_page", lambda *_, **__: pytest.fail("solved"))
    assert post(alba, desk, "move", item="gel-25", at="5000 m", to="6000 m").status_code == 200


def test_pin_and_unpin(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "pin", item="gel-25", at="5000 m")
    assert "stays at Mill" in said(answer)
    assert "pinned" in text(answer)
    assert len(case_now(desk).wishes.pinned) == 1
    assert "need not stay" in said(post(alba, desk, "unpin", item="gel-25", at="5000 m"))
    assert not case_now(desk).wishes.pinned


def test_a_pinned_intake_stays_pinned_where_it_is_moved(alba: Client, desk: Desk) -> None:
    post(alba, desk, "pin", item="gel-25", at="5000 m")
    post(alba, desk, "move", item="gel-25", at="5000 m", to="5300 m")
    assert [one.at_m for one in case_now(desk).wishes.pinned] == [5300.0]


def test_swap_puts_another_item_in_its_place(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "swap", item="gel-25", at="10 km", other="house-gel")
    assert "House gel (house-gel) takes the place of gel (gel-25)" in said(answer)
    assert ("house-gel", 10_000.0) in places(desk)
    assert "not rehearsed" in text(answer)


def test_ban_and_allow_again_solve_the_schedule_anew(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "ban", item="gel-25")
    assert said(answer).endswith("The schedule is being solved.")
    assert case_now(desk).wishes.banned == ("gel-25",)
    assert "allow again" in text(answer)
    assert post(alba, desk, "unban", item="gel-25").status_code == 200
    assert case_now(desk).wishes.banned == ()


def test_solve_again_around_what_is_pinned(alba: Client, desk: Desk) -> None:
    post(alba, desk, "move", item="gel-25", at="5000 m", to="5600 m")
    post(alba, desk, "pin", item="gel-25", at="5600 m")
    answer = post(alba, desk, "solve")
    assert "solved again around the pinned intake" in said(answer)
    assert case_now(desk).wishes.schedule == "solve"
    assert any(one.item == "gel-25" and one.at_m == 5600 for one in looked_now(desk).schedule)


# Solved again beside the page.


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    monkeypatch.setattr(view, "PATIENCE_S", 0.0)
    made = Held(monkeypatch)
    yield made
    made.future.cancel()
    assert at_work.waited(most_s=300.0)


def solve_again(client: Client, desk: Desk) -> HttpResponse:
    """Lay the schedule by hand, and ask for a new one."""
    by_hand = [{"item": "gel-25", "at": "5600 m"}]
    steps = [put("wishes.schedule", "as given"), put("wishes.given", by_hand)]
    ledger = open_ledger()
    desks.typed_in(
        ledger, desk=now(desk), revision=now(desk).revision, steps=steps, says="", by=person("Alba")
    )
    return post(client, desk, "solve")


def solved(client: Client, desk: Desk) -> HttpResponse:
    answer = client.get(f"/files/{desk.pk}/plan/solved", headers=HTMX)
    assert isinstance(answer, HttpResponse)
    return answer


def test_while_it_is_solved_again_the_schedule_by_hand_stands(
    alba: Client, bo: Client, desk: Desk, held: Held
) -> None:
    answer = solve_again(alba, desk)
    before = now(desk).revision
    assert answer.status_code == 200
    assert said(answer) == "The schedule is being solved."
    assert "What stands stays until then" in text(answer)
    assert "no solver has looked" in text(answer)
    assert ">Solve again" not in text(answer)
    assert held.begun.wait(60.0)
    assert text(solved(alba, desk)).startswith('<div id="waits"')
    assert "plan/halt" not in text(solved(bo, desk)), "who asked may stop it"
    assert "for Alba Inventada" in text(solved(bo, desk))
    assert bo.post(f"/files/{desk.pk}/plan/halt", headers=HTMX).status_code == 422
    post(alba, desk, "solve")
    assert Job.objects.count() == 1, "asked for twice it is solved once"
    held.done()
    assert at_work.waited(most_s=300.0)
    assert case_now(desk).wishes.schedule == "solve"
    assert now(desk).revision == before + 1
    came = solved(alba, desk)
    assert came.headers["HX-Retarget"] == "#plan"
    assert "solved again" in said(came)
    assert "no solver has looked" not in text(came)


def test_a_solve_that_is_stopped_leaves_everything_as_it_was(alba: Client, desk: Desk, held: Held) -> None:
    solve_again(alba, desk)
    before = now(desk)
    assert held.begun.wait(60.0)
    stopped = alba.post(f"/files/{desk.pk}/plan/halt", headers=HTMX)
    assert at_work.waited(most_s=300.0)
    assert held.future.cancelled()
    assert "everything is as it was" in text(stopped)
    assert "no solver has looked" in text(stopped)
    assert (now(desk).typed, now(desk).revision) == (before.typed, before.revision)
    assert now(desk).standing == before.standing


@pytest.mark.parametrize("comes_to_its_end", [True, False])
def test_a_schedule_is_not_put_over_what_was_changed_meanwhile(
    alba: Client, bo: Client, desk: Desk, held: Held, comes_to_its_end: bool
) -> None:
    held.patch.setattr(at_work, "LOOK_S", 60.0 if comes_to_its_end else 0.01)
    solve_again(alba, desk)
    assert held.begun.wait(60.0)
    post(bo, desk, "move", item="gel-25", at="5600 m", to="6 km")
    if comes_to_its_end:
        held.done()
    assert at_work.waited(most_s=300.0)
    shown = text(solved(alba, desk))
    assert "No new schedule; the one that stood stands." in shown
    assert "Bo changed this race file" in shown
    assert places(desk) == [("gel-25", 6000.0)]


def test_where_no_schedule_fits_the_one_by_hand_stays(alba: Client, desk: Desk, held: Held) -> None:
    solve_again(alba, desk)
    assert held.begun.wait(60.0)
    fault = find("planner.pins_conflict", "wishes.pinned", reason="Two at one place.")
    held.future.set_result(NoPlanFits(fault))
    assert at_work.waited(most_s=300.0)
    shown = text(solved(alba, desk))
    assert "Two at one place." in shown
    assert places(desk) == [("gel-25", 5600.0)]


def test_a_program_that_was_closed_while_it_solved_says_so(ledger: Ledger, alba: Client, desk: Desk) -> None:
    given = {"revision": desk.revision, "afresh": False}
    job = jobs.begun(ledger, kind="solve", desks=[desk], given=given, by=person("Alba"), on=AS_OF)
    assert "The program was closed" in text(alba.get(f"/files/{desk.pk}/plan"))  # type: ignore[arg-type]
    assert alba.get(f"/jobs/{job.key}").headers["Location"] == f"/files/{desk.pk}/plan"


# A limit passed.


def test_a_limit_passed_is_drawn_kept_and_never_cleared(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "move", item="gel-25", at="5000 m", to="20300 m")
    assert answer.status_code == 200
    assert "A limit is passed: gel at 20.3 km" in said(answer)
    assert "This cannot be issued until it is mended or taken back." in text(answer)
    assert "too late to help" in text(answer)
    assert "button main" not in text(answer)
    looked = looked_now(desk)
    assert looked.plan is not None
    assert looked.cleared is None
    assert back(alba, desk).status_code == 200
    assert looked_now(desk).cleared is not None


def test_a_pin_that_passes_a_limit_is_refused(alba: Client, desk: Desk) -> None:
    answer = post(alba, desk, "pin", item="gel-40", at="20.5 km")
    assert answer.status_code == 422
    assert "a slow race passes here" in text(answer)
    assert now(desk).revision == desk.revision


# What cannot be.


@pytest.mark.parametrize(
    ("kind", "sent", "told"),
    [
        ("move", {"item": "gel-25", "at": "5000 m", "to": "30 km"}, "is outside what is allowed"),
        ("move", {"item": "gel-25", "at": "5000 m", "to": "over there"}, "over there"),
        ("move", {"item": "gel-25", "at": "7 km", "to": "8 km"}, "It is taken at"),
        ("move", {"item": "gel-25", "at": "5000 m"}, "move.to"),
        ("swap", {"item": "gel-25", "at": "5000 m", "other": "nonsense"}, "nonsense"),
        ("nonsense", {}, "nonsense"),
        ("", {}, "kind"),
        ("override", {"what": "race.target_carb_g_per_h", "value": "900 g/h", "why": "x"}, "900"),
        ("override", {"what": "ceiling.fluid_so_far_ml", "value": "900 ml", "why": "x"}, "ceiling"),
        ("override", {"what": "race.target_carb_g_per_h", "value": "40 g/h"}, "why"),
        ("goal", {}, "a goal time"),
        ("delay", {"delay": "40 min"}, "asks first what was eaten"),
        ("forecast", {"seen_on": "2026-11-01"}, "older"),
    ],
)
def test_what_cannot_be_says_why_and_changes_nothing(
    alba: Client, desk: Desk, kind: str, sent: dict[str, str], told: str
) -> None:
    answer = post(alba, desk, kind, **sent)
    assert answer.status_code == 422
    assert told in text(answer)
    assert "Along the course" in text(answer)
    assert now(desk).revision == desk.revision
    assert now(desk).typed == desk.typed


def test_what_was_typed_stays_in_the_form_that_was_refused(alba: Client, desk: Desk) -> None:
    shown = text(post(alba, desk, "delay", delay="40 min", at="08:10"))
    form = shown.split('data-form="delay"')[1].split("</form>")[0]
    assert form.lstrip().startswith("open")
    assert 'value="40 min"' in form
    assert 'value="08:10"' in form


# What happened.


@pytest.mark.parametrize(
    ("kind", "sent", "told"),
    [
        ("forecast", {"air_temp": "12 to 16 C", "seen_on": "2026-11-25"}, "12 to 16"),
        ("goal", {"goal": "1:55"}, "1:55"),
        ("wave", {"own_offset": "10 to 14 min"}, "after the gun"),
        ("missing", {"item": "gel-25", "packs": "1"}, "gel"),
        ("delay", {"delay": "40 min", "eaten": "nothing", "caffeine": "none"}, "40 min later"),
        ("station serves", {"station": "Bridge", "serves": ["water"]}, "Bridge serves"),
        ("station serves", {"station": "Gate"}, "Gate serves"),
    ],
)
def test_what_happened_is_told_and_the_plan_is_made_again(
    alba: Client, desk: Desk, kind: str, sent: dict[str, Any], told: str
) -> None:
    answer = post(alba, desk, kind, **sent)
    assert answer.status_code == 200, text(answer)
    assert told in said(answer)
    assert now(desk).revision == desk.revision + 1


def test_every_change_is_asked_somewhere_with_its_fields(alba: Client, desk: Desk) -> None:
    shown = text(alba.get(f"/files/{desk.pk}/plan"))
    for kind, change in change_forms.kinds().items():
        if kind in (*change_forms.ELSEWHERE, change_forms.OF_A_CREW):
            continue
        form = shown.split(f'data-form="{kind}"')[1].split("</form>")[0]
        for name in change.model_fields:
            assert f'name="{name}"' in form, (kind, name)
    assert set(change_forms.kinds()) >= {*change_forms.ELSEWHERE, change_forms.OF_A_CREW}
    assert f'data-form="{change_forms.OF_A_CREW}"' not in shown, "this case names no crew"


# Set by hand.


def test_an_override_stands_with_name_day_and_reason_and_can_be_lifted(alba: Client, desk: Desk) -> None:
    sent = {"what": "race.target_carb_g_per_h", "value": "40 g/h", "why": "kept down in June", "by": "Cai"}
    shown = text(post(alba, desk, "override", **sent))
    assert "† set to 40 g/h by Alba Inventada, Wed 25 Nov 2026: kept down in June" in shown
    chain = alba.get(f"/files/{desk.pk}/figure/race.target_carb_g_per_h").content.decode()
    assert "† set to 40 g/h by Alba Inventada" in chain
    assert "Go back to the rule" in chain
    shown = text(post(alba, desk, "lift", what="race.target_carb_g_per_h"))
    assert "† set to" not in shown
    assert "race.target_carb_g_per_h is set by hand to 40 g/h, by Alba Inventada" in shown


def test_an_assistant_lays_by_hand_and_sets_no_target(dana: Client, desk: Desk) -> None:
    assert post(dana, desk, "move", item="gel-25", at="5000 m", to="5200 m").status_code == 200
    answer = post(dana, desk, "override", what="race.target_carb_g_per_h", value="40 g/h", why="x")
    assert answer.status_code == 422
    assert "a target is set by a practitioner" in text(answer)
    assert "Set with this reason" not in (
        dana.get(f"/files/{desk.pk}/figure/race.target_carb_g_per_h").content.decode()
    )


# Undo and redo.


def test_undo_and_redo_go_step_by_step(alba: Client, desk: Desk) -> None:
    post(alba, desk, "move", item="gel-25", at="5000 m", to="5200 m")
    answer = back(alba, desk)
    assert said(answer) == "Taken back: gel (gel-25) moves from Mill to km 5.2."
    assert case_now(desk).wishes.schedule == "solve"
    assert "Redo" in text(answer)
    assert ("gel-25", 5200.0) in places(desk) or "Made again" in said(back(alba, desk, "redo"))
    assert ("gel-25", 5200.0) in places(desk)
    assert back(alba, desk, "redo").status_code == 422


def test_undo_with_nothing_before_says_so(alba: Client, desk: Desk) -> None:
    answer = back(alba, desk)
    assert answer.status_code == 422
    assert "nothing stands before this" in text(answer)


def test_undo_takes_back_what_was_typed_since_as_one_step(ledger: Ledger, alba: Client, desk: Desk) -> None:
    step = [desks.put("race.goal", "1:55")]
    desks.typed_in(ledger, desk=desk, revision=desk.revision, steps=step, says="goal", by=person("Alba"))
    assert back(alba, desk).status_code == 200
    assert now(desk).typed == desk.typed
    assert "1:55" in CaseVersion.objects.order_by("id").last().typed  # type: ignore[union-attr]  # there is one


# Two people, and who may not.


def test_the_second_of_two_is_told_what_stands_and_loses_nothing(
    alba: Client, bo: Client, desk: Desk
) -> None:
    seen = now(desk).revision
    post(bo, desk, "move", item="gel-25", at="5000 m", to="5200 m")
    answer = post(alba, desk, "goal", revision=seen, goal="1:56")
    assert answer.status_code == 409
    assert "Bo changed this race file" in text(answer)
    assert 'data-at="5200.0"' in text(answer)
    assert 'value="1:56"' in text(answer)
    assert case_now(desk).race.goal_s == 6720


def test_a_page_without_a_revision_changes_nothing(alba: Client, desk: Desk) -> None:
    answer = alba.post(f"/files/{desk.pk}/plan/change", {"kind": "solve"}, headers=HTMX)
    assert answer.status_code == 409
    assert now(desk).revision == desk.revision


@pytest.mark.parametrize("path", ["plan/change", "plan/undo", "plan/redo"])
def test_a_stranger_gets_404_and_nobody_reads_by_writing(
    cai: Client, alba: Client, desk: Desk, path: str
) -> None:
    sent = {"kind": "solve", "revision": desk.revision}
    assert cai.post(f"/files/{desk.pk}/{path}", sent).status_code == 404
    assert alba.get(f"/files/{desk.pk}/{path}").status_code == 405


def test_nobody_changes_a_plan_unsigned(nobody: Client, desk: Desk) -> None:
    assert nobody.post(f"/files/{desk.pk}/plan/change", {"kind": "solve"}).status_code == 302
    assert now(desk).revision == desk.revision


def test_without_the_token_of_the_form_nothing_changes(desk: Desk) -> None:
    strict = Client(HTTP_HOST="localhost", enforce_csrf_checks=True)
    strict.force_login(person("Alba"), backend="django.contrib.auth.backends.ModelBackend")
    answer = strict.post(f"/files/{desk.pk}/plan/change", {"kind": "solve", "revision": desk.revision})
    assert answer.status_code == 403


def test_on_hold_no_schedule_is_laid_unseen(ledger: Ledger, alba: Client, dana: Client) -> None:
    held = race_file(ledger, health="")
    for client in (alba, dana):
        answer = post(client, held, "move", item="gel-25", at="5000 m", to="5200 m")
        assert answer.status_code == 409
        assert "On hold" in text(answer)
        assert "Along the course" not in text(answer)
    assert "no health answers" not in text(post(dana, held, "pin", item="gel-25", at="5000 m"))
    assert now(held).revision == held.revision


def test_a_plain_form_is_answered_by_the_page(alba: Client, desk: Desk) -> None:
    sent = {"kind": "move", "revision": desk.revision, "item": "gel-25", "at": "5000 m", "to": "5200 m"}
    answer = alba.post(f"/files/{desk.pk}/plan/change", sent)
    assert answer.headers["Location"] == f"/files/{desk.pk}/plan"


# One stop, and the room of the strip.


def test_a_stop_opens_with_its_reasons_and_every_verb(alba: Client, cai: Client, desk: Desk) -> None:
    path = f"/files/{desk.pk}/plan/stop/0"
    shown = alba.get(path).content.decode()
    for part in (
        'value="move"',
        'value="swap"',
        'value="pin"',
        'value="ban"',
        "This is no call to drink more.",
    ):
        assert part in shown
    assert f"/files/{desk.pk}/figure/intake.1.carb_g_per_race" in shown
    assert "<h1>At 5.0 km</h1>" in shown
    assert "<h1>" not in alba.get(path, headers={"HX-Request": "true"}).content.decode()
    assert cai.get(path).status_code == 404
    assert alba.get(f"/files/{desk.pk}/plan/stop/99").status_code == 404
    assert alba.post(path).status_code == 405


def test_the_strip_keeps_its_height_while_lanes_suffice(alba: Client, desk: Desk) -> None:
    def heights(shown: str) -> list[str]:
        return re.findall(r'<div class="strip-level"><svg[^>]*viewBox="0 0 \d+ ([\d.]+)"', shown)

    before = text(alba.get(f"/files/{desk.pk}/plan"))
    lanes = re.search(r'name="lanes" id="lanes" value="(\d+)"', before)
    assert lanes
    after = text(post(alba, desk, "move", item="gel-25", at="5000 m", to="9600 m", lanes=lanes[1]))
    assert heights(before) == heights(after)
