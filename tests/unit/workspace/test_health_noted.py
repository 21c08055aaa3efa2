"""Health entries in the ledger: each kept once and apart, and a flag that comes late withdraws at once."""

from __future__ import annotations

import io
import sqlite3
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
from answered import answer, medicine
from ledgers import AS_OF, BY, CREW, TOVE, a_snapshot, answers, issued, later, pinned, rows
from paper import page_words
from plans import a_case
from pypdf import PdfReader

from provand.case.health import Answer, ClinicianReply, HandRelease, Health, Letter
from provand.finding import BadInput, OnHold
from provand.pack.write import HELD
from provand.safety.flags import flags
from provand.workspace import access, actions, asked
from provand.workspace.actions import health_noted, taken_back, withdraw
from provand.workspace.ledger import Ledger, open_ledger
from provand.workspace.records import Noted


def noted(ledger: Ledger, health: Health, *, as_of: date = AS_OF) -> Noted:
    return health_noted(ledger, case=a_case(), health=health, by=BY, as_of=as_of)


def test_each_entry_is_kept_once(ledger: Ledger) -> None:
    first = noted(ledger, answers())
    assert first.new == len(answers().answers)
    again = noted(ledger, answers(medicines=(medicine("levothyroxine sodium"),)))
    assert (noted(ledger, answers()).new, again.new) == (0, 2)
    with ledger.reading():
        kinds = [one.kind for one in access.health_of(access.athletes().get())]
    assert sorted(set(kinds)) == ["answers", "medicines"]


def test_an_answer_that_changes_nothing_withdraws_nothing(ledger: Ledger, tmp_path: Path) -> None:
    done = issued(ledger, tmp_path / "out")
    assert noted(ledger, answers()).withdrawn == ()
    assert asked.whose(ledger, done.code).issues[0].is_current


@pytest.mark.parametrize(
    "health",
    [
        answers(answer("heart", "yes")),
        answers(medicines=(medicine("lithium carbonate"),)),
        answers(medicines=(medicine("bisoprolol fumarate 2.5 mg"),)),
    ],
    ids=["refer", "withheld", "a sentence more"],
)
def test_a_flag_that_comes_after_the_issue_withdraws_it_at_once(
    ledger: Ledger, tmp_path: Path, health: Health
) -> None:
    done = issued(ledger, tmp_path / "out", to=(TOVE, CREW))
    (gone,) = noted(ledger, health).withdrawn
    assert (gone.n, gone.code, gone.why) == (1, done.code, actions.NEWS)
    assert {one.person for one in gone.tell} == {"Tove Askerby", "Odd Rask"}
    assert not asked.whose(ledger, done.code).issues[0].is_current
    assert noted(ledger, health).withdrawn == (), "it is withdrawn once"


def test_every_race_to_come_is_looked_at_and_none_that_is_over(ledger: Ledger, tmp_path: Path) -> None:
    case = a_case()
    race = case.race.model_copy(update={"name": "Kiln Ten"})
    other = a_snapshot("kiln").model_copy(update={"case": later(case.model_copy(update={"race": race}), 20)})
    codes = {issued(ledger, tmp_path / "a").code, issued(ledger, tmp_path / "b", snapshot=other).code}
    after_first = case.race.gun.date() + timedelta(days=1)
    gone = noted(ledger, answers(answer("heart", "yes")), as_of=after_first).withdrawn
    assert [one.race for one in gone] == ["Kiln Ten"]
    assert {one.code for one in gone} < codes


def test_only_the_issue_that_counts_is_withdrawn(ledger: Ledger, tmp_path: Path) -> None:
    issued(ledger, tmp_path / "out")
    issued(ledger, tmp_path / "out", snapshot=pinned(60))
    assert [one.n for one in noted(ledger, answers(answer("heart", "yes"))).withdrawn] == [2]


def test_a_flag_from_another_file_of_the_athlete_holds_an_issue(ledger: Ledger, tmp_path: Path) -> None:
    noted(ledger, answers(answer("heart", "yes")))
    with pytest.raises(OnHold) as held:
        issued(ledger, tmp_path / "out", health=answers())
    assert "ledger.not_in_file" in {finding.code for finding in held.value.findings}
    assert rows(ledger)["workspace_issue"] == 0


def test_issuing_notes_the_answers_and_withdraws_what_no_longer_stands(
    ledger: Ledger, tmp_path: Path
) -> None:
    first = issued(ledger, tmp_path / "out")
    careful = answers(medicines=(medicine("bisoprolol fumarate 2.5 mg"),))
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60), health=careful)
    assert [one.code for one in second.noted.withdrawn] == [first.code]
    assert (second.n, second.former_n) == (2, 1)


def test_answers_of_another_person_are_refused(ledger: Ledger) -> None:
    for update in ({"athlete": "Tore Askerby"}, {"born": date(1990, 1, 1)}, {"born": None}):
        with pytest.raises(BadInput, match="answers"):
            noted(ledger, answers().model_copy(update=update))
    assert rows(ledger)["workspace_healthentry"] == 0


CANARIES = ("marzipanquark", "bisoprolol", "sorrelfinch", "teasel clinic", "heart", "illness")


def told(data: bytes) -> str:
    """Return what a file says: a PDF as text and metadata, anything else as it is."""
    if not data.startswith(b"%PDF"):
        return data.decode("utf-8", "replace")
    reader = PdfReader(io.BytesIO(data))
    return " ".join([*page_words(data), str(reader.metadata)])


def test_nothing_of_health_stands_anywhere_but_in_its_own_table(ledger: Ledger, tmp_path: Path) -> None:
    entries = {
        "letters": (Letter(about=("heart",), to="Dr Sorrelfinch", by=BY, on=AS_OF),),
        "replies": (
            ClinicianReply(
                about=("heart",), says="cleared with limits", limits=("sodium",), by="Teasel Clinic",
                on=AS_OF, kept_by=BY,
            ),
        ),
        "releases": (
            HandRelease(about="illness_now", by=BY, role="practitioner", on=AS_OF, why="marzipanquark"),
        ),
    }  # fmt: skip
    spoken = Answer(
        question="injury", reply="no", by=TOVE.person, on=AS_OF, detail="marzipanquark in both ankles"
    )
    first = issued(ledger, tmp_path / "out", to=(TOVE, CREW), pieces=HELD)
    careful = answers(spoken, medicines=(medicine("bisoprolol fumarate 2.5 mg"),))
    second = issued(ledger, tmp_path / "out", snapshot=pinned(60), health=careful, pieces=HELD)
    noted(ledger, answers(answer("heart", "yes"), medicines=(), **entries))
    taken_back(ledger, code=second.code, out=tmp_path / "gone", by=BY)
    assert first.code != second.code
    with closing(sqlite3.connect(ledger.path)) as file:
        every = file.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        tables = {name for (name,) in every if name != "workspace_healthentry"}
        health = str(file.execute("SELECT * FROM workspace_healthentry").fetchall()).lower()
        cells = [
            (table, told(cell) if isinstance(cell, bytes) else str(cell))
            for table in tables
            for row in file.execute(f'SELECT * FROM "{table}"')
            for cell in row
        ]
    assert all(word in health for word in CANARIES), "the canaries are kept where they belong"
    ids = [flag.id for flag in flags() if "_" in flag.id]
    schema = {"django_content_type", "django_migrations", "auth_permission", "sqlite_sequence"}
    found = [
        (table, word)
        for table, text in cells
        if table not in schema
        for word in (*CANARIES, *ids)
        if word in text.lower()
    ]
    assert found == []


def test_kept_entries_are_read_again_by_a_later_program(ledger: Ledger, tmp_path: Path) -> None:
    noted(ledger, answers(answer("heart", "yes")))
    ledger.close()
    with open_ledger(ledger.path) as opened, pytest.raises(OnHold):
        issued(opened, tmp_path / "out")


def test_a_withdrawal_by_hand_stands_beside_one_by_screening(ledger: Ledger, tmp_path: Path) -> None:
    done = issued(ledger, tmp_path / "out")
    withdraw(ledger, code=done.code, why="moved", by=BY)
    assert noted(ledger, answers(answer("heart", "yes"))).withdrawn == ()
