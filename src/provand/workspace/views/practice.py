"""The page of the practice: who works here, what stands on its paper, in which languages it hands out."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from provand.finding import ProvandError
from provand.language import ENGLISH, LANGUAGES
from provand.workspace import access, people
from provand.workspace.models import User
from provand.workspace.views.account import rows_of
from provand.workspace.views.language import (
    APPROVAL_ID,
    FIELDS,
    Approved,
    approved_by,
    languages_shown,
    taken_back_by,
)
from provand.workspace.views.seen import user_of
from provand.workspace.web import ledger_of

WHY = {
    "practice": "Stands on your pages; your own name stands on what you hand out.",
    "contact": "Printed where an athlete may want to ask.",
    "letterhead": "Up to three lines under your name: practice, address, register. Empty: no head.",
    "colour": "As #97164e; dark enough to be read on white.",
    "says": "Printed apart from what is computed. No amounts, no word of drinking: both are the plan's.",
    "name": "Printed on everything handed out, and asked when you sign in.",
    "role": "An assistant sees no health answer, and releases and issues nothing.",
    "passphrase": "Twelve letters or more; a few words are best. Nobody can read it back to you.",
}


class Named(forms.Form):
    """What the practice is called, how it is reached and what stands on its sheets."""

    practice = forms.CharField(max_length=120, label="Name of the practice")
    contact = forms.CharField(max_length=120, required=False, label="How you are reached")
    letterhead = forms.CharField(
        max_length=400,
        required=False,
        label="Head of your sheets",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    colour = forms.CharField(max_length=7, required=False, label="Its colour")
    says = forms.CharField(
        max_length=300, required=False, label="In your own words", widget=forms.Textarea(attrs={"rows": 3})
    )


def _named(typed: QueryDict | None = None) -> Named:
    now = access.practice()
    fields = ("contact", "letterhead", "colour", "says")
    stands = {"practice": now.name, **{field: getattr(now, field) for field in fields}} if now else {}
    return Named(typed, initial=stands, auto_id="named_%s")


@require_POST
def practice_named(request: HttpRequest) -> HttpResponse:
    """Keep another name or contact of the practice; race files opened from now on carry the contact."""
    form = _named(request.POST)
    if not form.is_valid():
        return _page(request, named=form, status=422)
    typed = form.cleaned_data
    try:
        people.practice_kept(
            ledger_of(request),
            name=typed["practice"],
            contact=typed["contact"],
            by=user_of(request),
            paper=people.Paper(typed["letterhead"], typed["colour"], typed["says"]),
        )
    except ProvandError as error:
        for finding in error.findings:
            field = finding.about.removeprefix("practitioner.").split("[")[0]
            form.add_error(
                field if field in form.fields else "practice", f"{finding.sentence} {finding.next_step}"
            )
        return _page(request, named=form, status=422)
    messages.success(request, "Kept.")
    return redirect("practice")


class Person(forms.Form):
    """Somebody else who may sign in."""

    name = forms.CharField(max_length=120, label="Name")
    role = forms.ChoiceField(choices=User.ROLES, label="Role")
    passphrase = forms.CharField(
        widget=forms.PasswordInput, max_length=400, label="A passphrase for the first time"
    )


@require_http_methods(["GET", "POST"])
def practice(request: HttpRequest) -> HttpResponse:
    """Show who works here; let a practitioner add somebody."""
    user = user_of(request)
    form = Person(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            added = people.person_added(
                ledger_of(request),
                name=typed["name"],
                passphrase=typed["passphrase"],
                role=typed["role"],
                by=user,
            )
        except ValidationError as error:
            form.add_error("passphrase", " ".join(error.messages))
        except ProvandError as error:
            form.add_error("name", str(error))
        else:
            messages.success(request, f"{added.name} may sign in.")
            return redirect("practice")
    return _page(request, person=form, status=422 if form.errors else 200)


def _page(
    request: HttpRequest,
    *,
    person: Person | None = None,
    named: Named | None = None,
    approved: Approved | None = None,
    status: int = 200,
) -> HttpResponse:
    """Return the page; of its forms the one that was sent as it was filled in, with what is wrong."""
    forms_here = (("added", person), ("named", named), ("approve", approved))
    shown = {
        "practice": access.practice(),
        "people": access.people_here(),
        "rows": rows_of(person or Person(), WHY),
        "named": rows_of(named or _named(), WHY),
        "mend": next((place for place, form in forms_here if form is not None and form.errors), ""),
    }
    return render(request, "provand/practice.html", shown | languages_shown(request, approved), status=status)


@require_POST
def language_approved(request: HttpRequest) -> HttpResponse:
    """Keep that a native speaker read a language as it is now."""
    form = Approved(request.POST, auto_id=APPROVAL_ID)
    if not form.is_valid():
        return _page(request, approved=form, status=422)
    try:
        kept = approved_by(ledger_of(request), form.cleaned_data, by=user_of(request))
    except ProvandError as error:
        for finding in error.findings:
            field = FIELDS.get(finding.about, "tag")
            form.add_error(field, f"{finding.sentence} {finding.next_step}".strip())
        return _page(request, approved=form, status=422)
    messages.success(request, f"{kept.language.english} is approved: its packs are handed out from now on.")
    return redirect(f"{reverse('practice')}#languages")


@require_POST
def language_withdrawn(request: HttpRequest, tag: str) -> HttpResponse:
    """Take the approval of a language back; 404 for one that cannot be approved."""
    if tag not in LANGUAGES or tag == ENGLISH:
        raise Http404
    try:
        kept = taken_back_by(ledger_of(request), tag, by=user_of(request))
    except ProvandError as error:
        for finding in error.findings:
            messages.error(request, finding.line())
    else:
        messages.success(request, f"{kept.language.english} gives drafts alone from now on.")
    return redirect(f"{reverse('practice')}#languages")
