"""Languages on the page of the practice: a native speaker's word, drafts and texts to read before it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from provand.finding import BadInput, find
from provand.language import ENGLISH, LANGUAGES
from provand.pack.pieces import PDF, PIECES, XLSX
from provand.workspace.daylist import lines_ahead
from provand.workspace.days import day_readings
from provand.workspace.language_page import rows_of, texts_to_read
from provand.workspace.languages import Word, approve, take_back, tongue_in, words
from provand.workspace.ledger import Ledger
from provand.workspace.models import User
from provand.workspace.views.clock import today
from provand.workspace.views.draft import cleared_of, draft_of
from provand.workspace.views.seen import desk_of, file_shown, seen_by
from provand.workspace.web import ledger_of

APPROVAL_ID = "approval_%s"
WHY = {
    "tag": "The whole text, as this version of the program has it; a text that changes is unapproved again.",
    "speaker": "A native speaker who has read all of it and vouches for it; kept on record by name.",
    "on": "The day on which the text as it is now was read, such as 20 Nov 2026.",
}
FIELDS = {"--by": "speaker", "--on": "on"}
"""Which field of the form a finding of the action is about."""
DRAFTS = tuple(
    (sheet.name, sheet.says)
    for kind in PIECES
    for sheet in kind.sheets
    if sheet.in_drafts and sheet.media_type == PDF and not sheet.ours and "letter" not in sheet.name
)
"""The sheets of which a draft can be looked at in another language, with what each is."""


class Approved(forms.Form):
    """A native speaker's word for the text of a language as it is now."""

    tag = forms.ChoiceField(
        label="Language", choices=[(one.tag, one.english) for one in LANGUAGES.values() if one.tag != ENGLISH]
    )
    speaker = forms.CharField(max_length=200, label="Read by")
    on = forms.CharField(max_length=40, label="Read on")

    def clean_on(self) -> str:
        """Return the day as it stands in a ledger; one with two readings is asked about."""
        meant = day_readings(self.cleaned_data["on"])
        if len(meant) > 1:
            raise ValidationError(f"More than one day may be meant: {' or '.join(meant)}? Type it so.")
        if not meant:
            raise ValidationError("This cannot be read as a day. Allowed: a day, as 20 Nov 2026.")
        return meant[0]


def approved_by(ledger: Ledger, typed: Mapping[str, str], *, by: User) -> Word:
    """Keep a word as a form gives it; BadInput where an assistant asks, or for a day to come."""
    _refuse_assistant(by)
    on = date.fromisoformat(typed["on"])
    return approve(ledger, tag=typed["tag"], speaker=typed["speaker"], on=on, as_of=today(), by=by.name)


def taken_back_by(ledger: Ledger, tag: str, *, by: User) -> Word:
    """Take the word back that stands for a language; BadInput where an assistant asks, or where none does."""
    _refuse_assistant(by)
    return take_back(ledger, tag=tag, by=by.name, on=today())


def _refuse_assistant(user: User) -> None:
    if not user.is_practitioner:
        raise BadInput(find("workspace.not_yours", "languages", what="an assistant approves no language"))


def languages_shown(request: HttpRequest, form: Approved | None) -> dict[str, Any]:
    """Return what the page of the practice shows of the languages."""
    ahead = lines_ahead(seen_by(request), today=today())
    chosen = request.GET.get("language", "")
    asked = form or Approved(initial={"tag": chosen}, auto_id=APPROVAL_ID)
    return {
        "chosen": chosen,
        "languages": rows_of(words(ledger_of(request))),
        "approval": [{"field": field, "why": WHY[field.name]} for field in asked],
        "races": [one for one in ahead if one.desk.standing_id and not one.line.held],
        "sheets": DRAFTS,
    }


@require_GET
def texts(request: HttpRequest, tag: str) -> HttpResponse:
    """Return all texts of a language beside the English, for a native speaker to read."""
    if tag not in LANGUAGES or tag == ENGLISH:
        raise Http404
    return file_shown(texts_to_read(LANGUAGES[tag]), XLSX, f"texts-{tag}.xlsx")


@require_GET
def draft(request: HttpRequest) -> HttpResponse:
    """Show a sheet of somebody's race in a language, as a draft; 404 where there is no plan to show."""
    asked = request.GET
    try:
        key = UUID(asked.get("race", ""))
    except ValueError:
        raise Http404 from None
    desk, _ = desk_of(request, key)
    tag, name = asked.get("language", ""), asked.get("sheet", "")
    if tag not in LANGUAGES or name not in dict(DRAFTS):
        raise Http404
    file = draft_of(cleared_of(desk), name, tongue_in(tag))
    return file_shown(file.data, file.media_type, f"draft-{tag}-{name}")
