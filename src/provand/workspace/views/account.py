"""The first start, signing in and out; and the colours, from the one list of them."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET, require_http_methods, require_POST

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
    "name": "Printed on everything handed out, and asked when you sign in.",
    "passphrase": "Twelve letters or more; a few words are best. Nobody can read it back to you.",
    "again": "So that a slip of the finger locks nobody out.",
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
    return render(request, "provand/start.html", {"rows": rows_of(form)}, status=422 if form.errors else 200)


def rows_of(form: forms.Form, why: Mapping[str, str] = WHY) -> list[dict[str, object]]:
    """Return the fields of a form, each with why it is asked."""
    return [{"field": field, "why": why.get(field.name, "")} for field in form]


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
        request, "provand/enter.html", {"rows": rows_of(form), "form": form, "next": onward}, status=status
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
