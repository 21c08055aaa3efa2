"""The first start, signing in and out, who works here; and the colours, from the one list of them."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provand.finding import ProvandError
from provand.pack.svg import DARK, LIGHT, PRINT, style_sheet
from provand.workspace import access, people
from provand.workspace.demo_practice import demo_loaded
from provand.workspace.models import User
from provand.workspace.views.clock import today
from provand.workspace.views.seen import user_of
from provand.workspace.web import ledger_of

ON_ACT = {"on-act": ("#ffffff", "#15181b")}


@require_GET
@cache_control(max_age=86_400, private=True)
def tokens_css(request: HttpRequest) -> HttpResponse:
    """Return the colours as custom properties, light and dark in one list, and the looks of the strip."""
    pairs = {name: (LIGHT[name], DARK[name]) for name in LIGHT} | ON_ACT
    both = "".join(f"--{name}:light-dark({light},{dark});" for name, (light, dark) in pairs.items())
    printed = "".join(f"--{name}:{colour};" for name, colour in (PRINT | {"on-act": "#ffffff"}).items())
    css = f":root{{{both}}}\n@media print{{:root{{{printed}}}}}\n{style_sheet()}"
    return HttpResponse(css, content_type="text/css; charset=utf-8")


class Start(forms.Form):
    """The first start: what the practice is called, and who signs in."""

    practice = forms.CharField(max_length=120, label="Name of the practice")
    contact = forms.CharField(max_length=120, required=False, label="How you are reached")
    name = forms.CharField(max_length=120, label="Your name")
    passphrase = forms.CharField(widget=forms.PasswordInput, max_length=400, label="A passphrase")
    again = forms.CharField(widget=forms.PasswordInput, max_length=400, label="The same again")

    def clean(self) -> dict[str, str]:
        """Refuse two passphrases that differ."""
        typed = self.cleaned_data
        if "passphrase" in typed and "again" in typed and typed["passphrase"] != typed["again"]:
            self.add_error("again", "The two differ. Type the same passphrase twice.")
        return typed


WHY = {
    "practice": "Stands on your pages; your own name stands on what you hand out.",
    "contact": "Printed where an athlete may want to ask.",
    "letterhead": "Up to three lines under your name: practice, address, register. Empty: no head.",
    "colour": "As #97164e; dark enough to be read on white.",
    "says": "Printed apart from what is computed. No amounts, no word of drinking: both are the plan's.",
    "name": "Printed on everything handed out, and asked when you sign in.",
    "passphrase": "Twelve letters or more; a few words are best. Nobody can read it back to you.",
    "again": "So that a slip of the finger locks nobody out.",
    "role": "An assistant sees no health answer, and releases and issues nothing.",
}


@require_http_methods(["GET", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Ask what the practice is called and who signs in; only while nobody can."""
    if access.has_people():
        return redirect("day")
    form = Start(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            user = people.first_start(
                ledger_of(request),
                practice=typed["practice"],
                contact=typed["contact"],
                name=typed["name"],
                passphrase=typed["passphrase"],
            )
        except ValidationError as error:
            form.add_error("passphrase", " ".join(error.messages))
        else:
            login(request, user, backend="django.contrib.auth.backends.ModelBackend")
            return redirect("day")
    return render(request, "provand/start.html", {"rows": _rows(form)}, status=422 if form.errors else 200)


def _rows(form: forms.Form) -> list[dict[str, object]]:
    return [{"field": field, "why": WHY.get(field.name, "")} for field in form]


class Enter(forms.Form):
    """Signing in."""

    name = forms.CharField(max_length=120, label="Your name")
    passphrase = forms.CharField(widget=forms.PasswordInput, max_length=400, label="Passphrase")


@require_http_methods(["GET", "POST"])
def enter(request: HttpRequest) -> HttpResponse:
    """Let somebody sign in; a name is locked for a while after several wrong passphrases."""
    onward = request.POST.get("next") or request.GET.get("next") or "/"
    if not url_has_allowed_host_and_scheme(onward, allowed_hosts={request.get_host()}):
        onward = "/"
    if not access.has_people():
        return redirect("start")
    form = Enter(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        user = authenticate(request, username=access.key_of(typed["name"]), password=typed["passphrase"])
        if isinstance(user, User):
            login(request, user)
            return redirect(onward)
        if getattr(request, "axes_locked_out", False):
            return locked_out(request, None)
        form.add_error(None, "Name and passphrase do not go together. Nothing else is told.")
    status = 422 if form.errors else 200
    return render(
        request, "provand/enter.html", {"rows": _rows(form), "form": form, "next": onward}, status=status
    )


def locked_out(request: HttpRequest, response: object, *_: object, **__: object) -> HttpResponse:
    """Say that a name is locked for a while."""
    return render(request, "provand/locked.html", status=429)


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that a form was refused because the session behind it has gone; what was typed is still there."""
    return render(request, "provand/form_too_old.html", status=403)


@require_http_methods(["GET", "POST"])
def leave(request: HttpRequest) -> HttpResponse:
    """Ask, then sign out."""
    if request.method == "POST":
        logout(request)
        return redirect("enter")
    return render(request, "provand/leave.html")


@require_POST
def demo(request: HttpRequest) -> HttpResponse:
    """Load the invented cases, so that somebody can look round first."""
    made = demo_loaded(ledger_of(request), by=user_of(request), today=today())
    messages.success(
        request, f"{len(made)} invented athletes are here; each of their races says that it is invented."
    )
    return redirect("day")


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
        return _practice_page(request, Person(), named=form, status=422)
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
        return _practice_page(request, Person(), named=form, status=422)
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
    return _practice_page(request, form, named=_named(), status=422 if form.errors else 200)


def _practice_page(request: HttpRequest, form: Person, *, named: Named, status: int) -> HttpResponse:
    shown = {
        "practice": access.practice(),
        "people": access.people_here(),
        "rows": _rows(form),
        "named": _rows(named),
    }
    return render(request, "provand/practice.html", shown, status=status)
