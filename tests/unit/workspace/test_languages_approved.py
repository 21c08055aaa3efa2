"""A language is handed out while a native speaker's word for its very text stands, not before or after."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from ledgers import contents, issued, rows
from paper import said
from plans import a_case

from provand.cli import languages as by_command
from provand.finding import BadInput, OnHold
from provand.pack.tongue import tongue_of
from provand.workspace import access, languages
from provand.workspace.languages import approve, take_back, words
from provand.workspace.ledger import Ledger
from provand.workspace.records import Snapshot

READ = date(2026, 11, 20)
NOW = date(2026, 11, 25)


def in_spanish(ledger: Ledger, out: Path) -> dict[str, bytes]:
    case = a_case()
    spoken = case.model_copy(update={"athlete": case.athlete.model_copy(update={"language": "es"})})
    issued(ledger, out, snapshot=Snapshot(typed="language", case=spoken), pieces=("strip", "safety"))
    return contents(out)


def approved(ledger: Ledger, tag: str = "es") -> None:
    approve(ledger, tag=tag, speaker="Ana Native", on=READ, as_of=NOW)


def test_nothing_is_issued_in_a_language_that_nobody_has_approved(ledger: Ledger, tmp_path: Path) -> None:
    before = rows(ledger)
    with pytest.raises(OnHold, match="no native speaker has approved the words in Spanish"):
        in_spanish(ledger, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    assert rows(ledger) == before


def test_an_approved_language_is_issued_with_its_code_and_its_own_words(
    ledger: Ledger, tmp_path: Path
) -> None:
    approved(ledger)
    made = in_spanish(ledger, tmp_path / "out")
    assert "Para. Llama ya al equipo médico." in said(made["strip.pdf"])
    assert "no native speaker" not in said(made["strip.pdf"])
    assert "Que mande la sed" in said(made["safety.pdf"])


def test_a_word_for_one_language_holds_for_no_other(ledger: Ledger, tmp_path: Path) -> None:
    approved(ledger, "de")
    with pytest.raises(OnHold, match="Spanish"):
        in_spanish(ledger, tmp_path / "out")


def test_who_read_it_and_when_stands_in_the_trail_and_can_be_taken_back(ledger: Ledger) -> None:
    approved(ledger)
    with ledger.reading():
        kept = access.approval("es")
    assert kept is not None
    assert (kept.speaker, kept.on, kept.digest) == ("Ana Native", READ, tongue_of("es").digest)
    assert (kept.audit.what, kept.audit.by) == ("language approved", "Ana Native")
    take_back(ledger, tag="es", by="Robin Example", on=NOW)
    assert not next(one for one in words(ledger) if one.language.tag == "es").is_approved
    with pytest.raises(BadInput, match="nobody has approved Spanish"):
        take_back(ledger, tag="es", by="Robin Example", on=NOW)


def test_a_changed_catalogue_is_unapproved_again(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    approved(ledger)
    changed = replace(tongue_of("es"), digest="another text")
    monkeypatch.setattr(languages, "tongue_of", lambda tag: changed if tag == "es" else tongue_of(tag))
    word = next(one for one in words(ledger) if one.language.tag == "es")
    assert (word.is_approved, word.is_changed, word.speaker) == (False, True, "Ana Native")
    with pytest.raises(OnHold, match="Spanish"):
        in_spanish(ledger, tmp_path / "out")


@pytest.mark.parametrize(
    ("tag", "speaker", "on", "says"),
    [
        ("sp", "Ana", READ, "There are en-US, es, de, fr, ar"),
        ("en-GB", "Ana", READ, "waits for approval"),
        ("es", " ", READ, "--by"),
        ("es", "Ana", date(2026, 11, 26), "after 2026-11-25"),
    ],
)
def test_a_word_that_cannot_be_is_refused(
    ledger: Ledger, tag: str, speaker: str, on: date, says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        approve(ledger, tag=tag, speaker=speaker, on=on, as_of=NOW)
    assert rows(ledger)["workspace_approval"] == 0


def test_the_command_lists_approves_and_takes_back(
    ledger: Ledger, capsys: pytest.CaptureFixture[str]
) -> None:
    def told(*args: str | None, by: str | None = None) -> str:
        by_command.languages(*args, by=by, on=READ, ledger=ledger.path, as_json=False)  # type: ignore[arg-type]
        return capsys.readouterr().out

    assert "es     Spanish       not approved: drafts alone" in told(None, None)
    assert "approved, read by Ana Native on 2026-11-20" in told("approve", "es", by="Ana Native")
    assert "es     Spanish       not approved" in told("withdraw", "es", by="Robin Example")
    with pytest.raises(BadInput, match="--by"):
        told("approve", "es")
    with pytest.raises(BadInput, match="approve, withdraw"):
        told("bless", "es")
