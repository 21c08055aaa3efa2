"""Every page of the workspace in the states that people meet, over one invented practice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import NamedTuple

from files import STARTER
from practice import PASSPHRASE, person

from provand.case.typed import put
from provand.workspace import actions, jobs, labels, people
from provand.workspace import desk as desks
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.healths import health_of
from provand.workspace.languages import approve
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.models import Desk, Issue, Job
from provand.workspace.notes import noted
from provand.workspace.plans import basis_of, looked_at
from provand.workspace.records import Recipient, Snapshot

NO_PAGES = {
    "tokens": "the colours",
    "demo": "an act alone",
    "practice_named": "an act alone",
    "language_approved": "an act alone",
    "language_draft": "a file",
    "language_texts": "a file",
    "language_withdrawn": "an act alone",
    "issue_under_way": "leads on, or is a part that a page asks for",
    "issue_draft": "a file",
    "issue_picture": "a picture",
    "issue_look": "a part that a page asks for",
    "issue_file": "a file",
    "issue_withdrawn": "an act alone",
    "note_added": "an act alone",
    "plan_change": "an act alone",
    "plan_solve": "an act alone",
    "plan_solved": "a part that a page asks for",
    "plan_halt": "an act alone",
    "plan_undo": "an act alone",
    "plan_redo": "an act alone",
    "athlete_new": "an act alone",
    "athlete_shared": "an act alone",
    "athlete_race": "an act alone",
    "label_ended": "an act alone",
    "mix_kept": "an act alone",
    "file_mix_kept": "an act alone",
    "menu_change": "an act alone",
    "menu_lay": "an act alone",
    "menu_laid": "a part that a page asks for",
    "menu_stop": "an act alone",
    "menu_instead": "a part that a page asks for",
    "menu_undo": "an act alone",
    "menu_redo": "an act alone",
    "screening_letter": "a file",
    "job_stop": "an act alone",
    "job_again": "an act alone",
    "job_files": "a file",
}
"""What has an address and is no page, and why."""

FIRST = {"start"}
"""Seen before there is anybody: the journey of the first start looks at it."""


class Place(NamedTuple):
    """One page in one state: its name among the addresses, where it is, who looks."""

    name: str
    state: str
    at: Callable[[Mapping[str, Desk]], str]
    who: str = "Alba"
    status: int = 200


def _file(first: str, rest: str = "") -> Callable[[Mapping[str, Desk]], str]:
    return lambda files: f"/files/{files[first].pk}{rest}"


def _athlete(first: str, rest: str = "") -> Callable[[Mapping[str, Desk]], str]:
    return lambda files: f"/athletes/{files[first].athlete_id}{rest}"


def _code(n: int, rest: str = "") -> Callable[[Mapping[str, Desk]], str]:
    def at(files: Mapping[str, Desk]) -> str:
        return f"/issues/{Issue.objects.get(race=files['Imke'].race_id, n=n).plan.code}{rest}"

    return at


def _job(kind: str) -> Callable[[Mapping[str, Desk]], str]:
    return lambda _: f"/jobs/{jobs.of_many(Job.objects.filter(kind=kind)).get().key}"


def _plain(address: str) -> Callable[[Mapping[str, Desk]], str]:
    return lambda _: address


PLACES = (
    Place("day", "the week", _plain("/")),
    Place("day", "as an assistant sees it", _plain("/"), "Dana"),
    Place("find", "something found", _plain("/find?q=in")),
    Place("find", "nothing found", _plain("/find?q=zzz")),
    Place("enter", "signed out", _plain("/enter"), ""),
    Place("leave", "asked", _plain("/leave")),
    Place("practice", "who works here, a language approved", _plain("/practice")),
    Place("practice", "as an assistant sees it", _plain("/practice"), "Dana"),
    Place("athletes", "everybody", _plain("/athletes")),
    Place("athlete", "one", _athlete("Imke")),
    Place("notes", "with an incident", _athlete("Odd", "/notes")),
    Place("file", "whole", _file("Imke")),
    Place("file", "empty", _file("Nobody")),
    Place("file", "with an entry to mend", _file("Faulty")),
    Place("screening", "answered", _file("Imke", "/screening")),
    Place("screening", "on hold", _file("Per", "/screening")),
    Place("screening", "before the race file stands", _file("Nobody", "/screening")),
    Place("plan", "cleared", _file("Imke", "/plan")),
    Place("plan", "on hold", _file("Per", "/plan")),
    Place("plan", "not readable yet", _file("Nobody", "/plan")),
    Place("plan", "on hold, as an assistant sees it", _file("Per", "/plan"), "Dana"),
    Place("otherwise", "planned beforehand", _file("Imke", "/plan/otherwise")),
    Place("menu", "laid", _file("Odd", "/menu")),
    Place("menu", "nothing laid", _file("Imke", "/menu")),
    Place("menu", "on hold", _file("Per", "/menu")),
    Place("menu", "not readable yet", _file("Nobody", "/menu")),
    Place("file_mix", "for an athlete", _file("Odd", "/mix")),
    Place("file_mix", "on hold", _file("Per", "/mix")),
    Place("file_mix", "not readable yet", _file("Nobody", "/mix")),
    Place("plan_stop", "opened without scripts", _file("Imke", "/plan/stop/0")),
    Place("plan_figure", "opened without scripts", _file("Imke", "/figure/race.carb_g_per_h")),
    Place("plan_call", "on the telephone", _file("Imke", "/call")),
    Place("between", "two versions", _file("Imke", "/between/1/2")),
    Place("between", "no version of its own", _file("Imke", "/between/1/1"), status=422),
    Place("issue", "cleared", _file("Imke", "/issue")),
    Place("issue", "on hold", _file("Per", "/issue")),
    Place("issue", "after an incident", _file("Odd", "/issue")),
    Place("issue", "in a language that nobody approved", _file("Maud", "/issue")),
    Place("issue", "in such a language, as an assistant sees it", _file("Maud", "/issue"), "Dana"),
    Place("issue", "broken off", _file("Greta", "/issue")),
    Place("packs", "races to choose from", _plain("/packs")),
    Place("packs", "as an assistant sees it", _plain("/packs"), "Dana"),
    Place("job", "ended, with somebody on hold", _job("drafts")),
    Place("job", "broken off", _job("issue")),
    Place("issued", "no longer counts", _code(1)),
    Place("issued", "counts", _code(2)),
    Place("shelf", "with a label", _plain("/shelf")),
    Place("mix", "empty", _plain("/mix")),
    Place("label_new", "empty", _plain("/shelf/new")),
    Place("label", "as printed", _plain("/shelf/house-gel")),
    Place("mix", "from a kitchen", _plain("/mix")),
    Place("mix", "not as wished", _plain("/mix?carb=60+g/l&ratio=2:1&volume=1+l&from=sugar")),
    Place("mix", "with an entry to mend", _plain("/mix?carb=60&volume=750&from=sugar"), status=422),
    Place("none", "not there", _plain("/athletes/9999999"), status=404),
)
LABEL = {
    "id": "house-gel",
    "name": "House gel",
    "texture": "gel",
    "with_water": "yes",
    "label.convention": "EU",
    "label.basis": "100 g",
    "label.pack": "60 g",
    "label.carb": "40 g",
    "label.sugars": "18 g",
    "label.salt": "0.2 g",
    "label.caffeine": "0 mg",
}


def practice_made(day: date) -> Mapping[str, Desk]:
    """Fill the ledger that the environment names, and return its race files by first name."""
    ledger = open_ledger()
    alba = people.first_start(
        ledger, practice="Invented practice", contact="", name="Alba Inventada", passphrase=PASSPHRASE
    )
    people.person_added(ledger, name="Dana", passphrase=PASSPHRASE, role="assistant", by=alba)
    made = [Desk.objects.get(pk=desk.pk) for desk in demo_loaded(ledger, by=alba, today=day)]
    files = {desk.title.split()[0]: desk for desk in made}
    for desk in made:
        assert desk.athlete is not None
        people.shared(ledger, athlete=desk.athlete, user=person("Dana"), by=alba)
    files["Nobody"] = desks.opened(ledger, by=alba)
    files["Faulty"] = desks.opened(ledger, by=alba, typed=STARTER.replace('"63.5 kg"', '"140"'))
    _issued(ledger, files["Imke"], day)
    steps = [put("race.goal", "1:58")]
    imke = Desk.objects.get(pk=files["Imke"].pk)
    desks.typed_in(ledger, desk=imke, revision=imke.revision, steps=steps, says="goal", by=alba)
    _issued(ledger, files["Imke"], day)
    maud = Desk.objects.get(pk=files["Maud"].pk)
    spoken = [put("athlete.language", "es")]
    desks.typed_in(ledger, desk=maud, revision=maud.revision, steps=spoken, says="language", by=alba)
    for name in ("Imke", "Odd", "Maud", "Greta"):
        _solved(files[name], day)
    odd = files["Odd"]
    assert odd.athlete is not None
    for kind, text in (("call", "Asks for another drink."), ("incident", "Collapsed after a long run.")):
        noted(
            ledger, athlete=odd.athlete, race=odd.race, kind=kind, on=day, text=f"{text} (invented)",
            by=alba, today=day,
        )  # fmt: skip
    approve(ledger, tag="de", speaker="Ana Native (invented)", on=day, as_of=day, by=alba.name)
    _jobs(ledger, files, day)
    texts = {key: LABEL.get(key, "") for key in labels.asked()}
    labels.label_kept(ledger, data=labels.data_of(texts, LABEL["id"]), by=alba)
    return files


def _jobs(ledger: Ledger, files: Mapping[str, Desk], day: date) -> None:
    """Leave one job ended, with one done, one on hold and one that failed; and one that broke off."""
    given, by = {"pieces": ["safety"]}, person("Alba")
    three = [files[name] for name in ("Imke", "Per", "Odd")]
    ended = jobs.begun(ledger, kind="drafts", desks=three, given=given, by=by, on=day)
    for piece, kind in zip(jobs.pieces_of(ended), ("done", "held", "failed"), strict=True):
        with jobs.ending(ledger, piece.row):
            says = "race: an invented reason why nothing was made." if kind == "failed" else ""
            jobs.ended(piece.row, kind, says=says)
    jobs.begun(ledger, kind="issue", desks=three, given=given, by=by, on=day)
    of_one = given | {"to": [["Greta Hollin", "athlete"]]}
    jobs.begun(ledger, kind="issue", desks=[files["Greta"]], given=of_one, by=by, on=day)


def _issued(ledger: Ledger, desk: Desk, day: date) -> None:
    now = Desk.objects.get(pk=desk.pk)
    read = desks.read(now, as_of=day)
    assert read.case is not None
    assert now.athlete is not None
    desks.settled(ledger, desk=now, case=read.case, sentence=desks.TYPED, by=person("Alba"))
    actions.issue(
        ledger,
        snapshot=Snapshot(typed=now.typed, case=read.case),
        health=health_of(now.athlete),
        protocols=basis_of(now, read.case, as_of=day).protocols,
        to=[Recipient(person=read.case.athlete.name, role="athlete")],
        out=None,
        by="Alba Inventada",
        as_of=day,
        pieces=("plan", "strip", "calendar", "safety"),
    )


def _solved(desk: Desk, day: date) -> None:
    """Let a schedule be solved before its page is looked at: the page does not wait."""
    now = Desk.objects.get(pk=desk.pk)
    case = desks.read(now, as_of=day).case
    assert case is not None
    assert looked_at(basis_of(now, case, as_of=day)) is not None
