"""Languages on the page of the practice: who may approve one, what is refused, drafts and texts to read."""

from __future__ import annotations

import io
from datetime import date

import pytest
from django.test import Client
from files import STARTER, race_file, spoilt
from openpyxl import load_workbook
from pypdf import PdfReader

from provand.pack.tongue import texts_of
from provand.workspace import access
from provand.workspace.languages import approve
from provand.workspace.ledger import Ledger
from provand.workspace.models import Approval, Audit

TYPED = {"tag": "es", "speaker": "Ana Native", "on": "20 Nov 2026"}


def text(client: Client) -> str:
    return client.get("/practice").content.decode()


def row_of(page: str, name: str) -> str:
    """Return the row of a language in the table."""
    return next(row for row in page.split("<tr>") if f'<th scope="row">{name}' in row)


def approved(ledger: Ledger) -> None:
    approve(ledger, tag="es", speaker="Ana Native", on=date(2026, 11, 20), as_of=date(2026, 11, 25))


def test_each_language_says_how_far_it_is_translated_and_that_drafts_alone_are_made(alba: Client) -> None:
    page = text(alba)
    texts = texts_of("es")
    assert f"{sum(bool(one.own) for one in texts)} of {len(texts)} texts" in row_of(page, "Spanish")
    assert "drafts only" in row_of(page, "Spanish")
    assert "needs no approval" in row_of(page, "English (UK)")
    assert "differ from English (UK)" in row_of(page, "English (US)")
    assert 'lang="ar" dir="auto"' in row_of(page, "Arabic")


def test_a_link_chooses_the_language_that_is_to_be_approved(ledger: Ledger, alba: Client) -> None:
    race_file(ledger)
    page = alba.get("/practice", {"language": "fr"}).content.decode()
    assert page.count('<option value="fr" selected>French</option>') == 2, "in both forms"
    assert alba.get("/practice", {"language": "nonsense"}).status_code == 200


def test_a_native_speakers_word_is_recorded_by_who_types_it_and_taken_back(alba: Client) -> None:
    assert alba.post("/practice/languages", TYPED).headers["Location"] == "/practice#languages"
    kept = access.approval("es")
    assert kept is not None
    assert (kept.speaker, kept.on, kept.audit.by) == ("Ana Native", date(2026, 11, 20), "Alba Inventada")
    assert "<strong>approved</strong>: read by Ana Native on 20 Nov 2026" in row_of(text(alba), "Spanish")
    assert alba.post("/practice/languages/es/withdraw").status_code == 302
    assert "drafts only" in row_of(text(alba), "Spanish")
    assert Audit.objects.filter(what="language withdrawn", by="Alba Inventada").exists()
    alba.post("/practice/languages/es/withdraw")
    assert Approval.objects.count() == 2, "what nobody has approved is not taken back"


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"on": "26 Nov 2026"}, "on", "2026-11-26 is after 2026-11-25"),
        ({"on": "3/4/2026"}, "on", "More than one day may be meant"),
        ({"on": "soon"}, "on", "cannot be read as a day"),
        ({"on": ""}, "on", "required"),
        ({"speaker": " "}, "speaker", "required"),
        ({"speaker": "x" * 201}, "speaker", "200"),
        ({"tag": "en-GB"}, "tag", "not one of the available choices"),
        ({"tag": "sp"}, "tag", "not one of the available choices"),
    ],
)
def test_an_approval_that_cannot_be_is_refused_beside_its_field_and_what_was_typed_stays(
    alba: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = alba.post("/practice/languages", TYPED | wrong)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page.split(f'id="approval_{field}_error"')[1].split("</p>")[0]
    assert '<a href="#approve">' in page.split("<table")[0], "the head leads to what is to mend"
    if field != "speaker":
        assert 'value="Ana Native"' in page
    assert not Approval.objects.exists()


def test_an_assistant_looks_and_approves_nothing(ledger: Ledger, dana: Client) -> None:
    page = text(dana)
    assert "A practitioner records approvals" in page
    assert "Record the approval" not in page
    refused = dana.post("/practice/languages", TYPED)
    assert refused.status_code == 422
    assert not Approval.objects.exists()
    approved(ledger)
    assert "Take the approval" not in text(dana)
    dana.post("/practice/languages/es/withdraw")
    assert access.approval("es").stands  # type: ignore[union-attr]


def test_all_texts_can_be_read_beside_the_english(alba: Client) -> None:
    answer = alba.get("/practice/languages/ar/texts")
    assert 'filename="texts-ar.xlsx"' in answer.headers["Content-Disposition"]
    sheet = load_workbook(io.BytesIO(answer.content)).active
    assert sheet is not None
    assert sheet.sheet_view.rightToLeft
    assert [[cell.value or "" for cell in row[:2]] for row in sheet.iter_rows(min_row=2)] == [
        list(one) for one in texts_of("ar")
    ]
    assert alba.get("/practice/languages/en-GB/texts").status_code == 404
    assert alba.get("/practice/languages/sp/texts").status_code == 404


def test_a_draft_in_a_language_is_seen_of_what_is_ones_own_alone(
    ledger: Ledger, alba: Client, cai: Client
) -> None:
    desk = race_file(ledger)
    asked = {"language": "es", "race": str(desk.pk), "sheet": "safety.pdf"}
    assert f'value="{desk.pk}"' in text(alba)
    answer = alba.get("/practice/languages/draft", asked)
    words = PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()
    assert "Spanish: no native speaker has approved these words" in words
    assert "Que mande la sed" in words
    assert f'value="{desk.pk}"' not in text(cai)
    assert cai.get("/practice/languages/draft", asked).status_code == 404
    for wrong in ({"language": "sp"}, {"race": "x"}, {"sheet": "plan.pdf"}, {"sheet": ""}):
        assert alba.get("/practice/languages/draft", asked | wrong).status_code == 404


def test_no_draft_is_shown_of_who_is_on_hold(ledger: Ledger, alba: Client) -> None:
    held = race_file(ledger, health="")
    asked = {"language": "es", "race": str(held.pk), "sheet": "strip.pdf"}
    assert f'value="{held.pk}"' not in text(alba)
    assert alba.get("/practice/languages/draft", asked).status_code == 404


def test_wrong_methods_and_languages_that_there_are_not(alba: Client) -> None:
    assert alba.get("/practice/languages").status_code == 405
    assert alba.get("/practice/languages/es/withdraw").status_code == 405
    assert alba.post("/practice/languages/draft").status_code == 405
    for tag in ("sp", "en-GB"):
        assert alba.post(f"/practice/languages/{tag}/withdraw").status_code == 404


def test_a_race_file_asks_for_the_language_by_its_name(ledger: Ledger, alba: Client) -> None:
    desk = race_file(ledger, typed=spoilt(STARTER, ("[athlete]\n", '[athlete]\nlanguage = "de"\n')))
    assert '<option value="de" selected>German</option>' in alba.get(f"/files/{desk.pk}").content.decode()
