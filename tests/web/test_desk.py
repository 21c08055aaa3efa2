"""A race file as it is typed: everything is kept at once, two people lose nothing, undo and redo."""

from __future__ import annotations

from datetime import date
from importlib.resources import files

import pytest
from practice import person

from provand.case.case import Case
from provand.case.change import Ban, apply
from provand.case.door import case_of, in_folder
from provand.case.typed import document_of, put, text_of
from provand.finding import BadInput
from provand.workspace import desk as desks
from provand.workspace.access import Seen
from provand.workspace.entry import sections, shown_value, typed_value
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Desk

AS_OF = date(2026, 11, 25)
STARTER = files("provand.case").joinpath("starter.toml").read_text("utf-8")


@pytest.fixture
def starter(ledger: Ledger) -> Desk:
    """Return Alba's race file with the starter case in it."""
    return desks.opened(ledger, by=person("Alba"), typed=STARTER)


def case_at(desk: Desk) -> Case:
    read = desks.read(desk, as_of=AS_OF)
    assert read.case, read.faults
    return read.case


def banned(desk: Desk, item: str) -> tuple[str, Case, str]:
    """Return text, case and sentence of a race file with an item banned."""
    made = apply(Ban(item=item), document_of(desk.typed, "x"), case_at(desk))
    text = text_of(made.typed)
    folder = in_folder(files("provand.case"))  # type: ignore[arg-type]  # a folder on disk
    return text, case_of(document_of(text, "x").unwrap(), beside=folder, as_of=AS_OF), made.sentence


def test_a_new_race_file_knows_who_makes_the_plan_and_says_what_is_missing(ledger: Ledger) -> None:
    desk = desks.opened(ledger, by=person("Alba"))
    read = desks.read(desk, as_of=AS_OF)
    assert read.case is None
    assert "Alba Inventada" in desk.typed
    assert {"athlete", "race", "weather", "course"} <= {fault.about for fault in read.faults}


def test_what_is_typed_is_kept_though_it_cannot_be_read(ledger: Ledger, starter: Desk) -> None:
    kept = desks.typed_in(
        ledger, desk=starter, revision=1, steps=[put("athlete.body_mass", "140")], says="x", by=person("Alba")
    )
    read = desks.read(Desk.objects.get(pk=kept.pk), as_of=AS_OF)
    assert [fault.code for fault in read.faults] == ["entry.ambiguous"]
    assert read.faults[0].about == "athlete.body_mass"
    assert "kg" in str(read.faults[0].facts["readings"])


def test_each_entry_leaves_who_when_before_and_after(ledger: Ledger, starter: Desk) -> None:
    step = put("athlete.body_mass", "64 kg")
    desks.typed_in(ledger, desk=starter, revision=1, steps=[step], says="body mass", by=person("Bo"))
    audit = Audit.objects.order_by("id").last()
    assert audit is not None
    assert (audit.by, audit.what) == ("Bo", "typed")
    assert "63.5 kg" in audit.before
    assert "64 kg" in audit.after


def test_the_second_of_two_is_told_and_nothing_is_lost(ledger: Ledger, starter: Desk) -> None:
    desks.typed_in(
        ledger, desk=starter, revision=1, steps=[put("race.goal", "1:55")], says="goal", by=person("Bo")
    )
    with pytest.raises(desks.Stale) as caught:
        desks.typed_in(
            ledger, desk=starter, revision=1, steps=[put("race.goal", "1:50")], says="goal", by=person("Alba")
        )
    assert "Bo changed this race file at" in str(caught.value)
    assert "1:55" in caught.value.desk.typed
    assert "1:55" in Desk.objects.get(pk=starter.pk).typed


def test_a_settled_race_file_makes_the_athlete_its_owners(ledger: Ledger, starter: Desk) -> None:
    version = desks.settled(
        ledger, desk=starter, case=case_at(starter), sentence=desks.TYPED, by=person("Alba")
    )
    assert version.n == 1
    assert [one.name for one in Seen(person("Alba")).athletes()] == ["Alex Sample"]
    assert not Seen(person("Cai")).athletes().exists()
    assert not Seen(person("Dana")).athletes().exists()
    again = desks.settled(
        ledger, desk=starter, case=case_at(starter), sentence=desks.TYPED, by=person("Alba")
    )
    assert again.pk == version.pk


def test_a_stranger_does_not_take_over_an_athlete(ledger: Ledger, starter: Desk) -> None:
    desks.settled(ledger, desk=starter, case=case_at(starter), sentence=desks.TYPED, by=person("Alba"))
    theirs = desks.opened(ledger, by=person("Cai"), typed=STARTER)
    with pytest.raises(BadInput, match="with another practitioner"):
        desks.settled(ledger, desk=theirs, case=case_at(theirs), sentence=desks.TYPED, by=person("Cai"))


def test_undo_and_redo_go_along_the_changes(ledger: Ledger, starter: Desk) -> None:
    alba = person("Alba")
    desks.settled(ledger, desk=starter, case=case_at(starter), sentence=desks.TYPED, by=alba)
    text, case, sentence = banned(starter, "gel-25")
    after = desks.changed(ledger, desk=starter, revision=1, typed=text, case=case, sentence=sentence, by=alba)
    assert "gel-25" in case_at(after).wishes.banned
    back = desks.undone(ledger, desk=after, revision=2, by=alba)
    assert back.typed == STARTER
    with pytest.raises(BadInput, match="nothing stands before"):
        desks.undone(ledger, desk=back, revision=3, by=alba)
    forth = desks.redone(ledger, desk=back, revision=3, by=alba)
    assert forth.typed == text
    with pytest.raises(BadInput, match="nothing was taken back"):
        desks.redone(ledger, desk=forth, revision=4, by=alba)


def test_a_file_is_kept_beside_and_the_last_of_a_name_counts(ledger: Ledger, starter: Desk) -> None:
    kept = {"key": "course.gpx", "name": "a.gpx", "by": person("Alba")}
    for revision, data in ((1, b"one"), (2, b"two")):
        desk = desks.attached(ledger, desk=starter, revision=revision, data=data, **kept)
    assert desks.file_of(desk, "a.gpx") == b"two"
    with pytest.raises(BadInput, match="no such file"):
        desks.file_of(desk, "b.gpx")


def test_another_race_begins_with_what_is_known_of_the_athlete(ledger: Ledger, starter: Desk) -> None:
    alba = person("Alba")
    version = desks.settled(ledger, desk=starter, case=case_at(starter), sentence=desks.TYPED, by=alba)
    second = desks.opened(ledger, by=alba, athlete=version.race.athlete)
    assert "Alex Sample" in second.typed
    assert "[race]" not in second.typed


def test_every_field_of_the_page_shows_what_the_starter_types_and_types_it_back() -> None:
    data = document_of(STARTER, "x").unwrap()
    fields = [asked for section in sections() for asked in section.fields]
    for asked in fields:
        text = shown_value(data, asked.key)
        if text and asked.kind not in ("day", "moment"):
            value = typed_value(asked, text)
            assert shown_value({"x": value}, "x") == text, asked.key
    assert shown_value(data, "race.gun") == "2026-12-06 09:00"
    assert typed_value(fields[0], "  ") is None
