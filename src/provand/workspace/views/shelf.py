"""The shelf: the practice's own items and the generic ones, with what one holds; a label as it is printed."""

from __future__ import annotations

from typing import NamedTuple

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provand.figure import Range
from provand.finding import BadInput, Finding
from provand.larder.item import Item
from provand.larder.shelf import shelf as generic
from provand.units import shown
from provand.workspace import labels
from provand.workspace.entry import Asked, label_sections
from provand.workspace.models import Label
from provand.workspace.race_file import Told, Unit, readings_of
from provand.workspace.views.seen import seen_by, user_of
from provand.workspace.web import ledger_of

HOLDS = (
    ("carbohydrate", "carb_g", "g"),
    ("fructose", "fructose_g", "g"),
    ("sodium", "sodium_mg", "mg"),
    ("caffeine", "caffeine_mg", "mg"),
    ("water", "water_ml", "ml"),
)


class Line(NamedTuple):
    """One item in the list: what one pack of it holds, unknown where the label does not tell."""

    item: Item
    own: bool
    holds: tuple[str, ...]


class Part(NamedTuple):
    """A part of the label's form."""

    n: int
    title: str
    fields: tuple[Unit, ...]


@require_GET
def shelf(request: HttpRequest) -> HttpResponse:
    """List the items with what one holds."""
    own = [Line(one.item, True, _holds(one.item)) for one in labels.on_shelf(seen_by(request))]
    starter = [Line(item, False, _holds(item)) for item in generic()]
    heads = [head for head, _, _ in HOLDS]
    return render(request, "provand/shelf.html", {"own": own, "generic": starter, "heads": heads})


def _holds(item: Item) -> tuple[str, ...]:
    return tuple(_amount(getattr(item.holds, name), unit) for _, name, unit in HOLDS)


def _amount(value: Range | None, unit: str) -> str:
    return "unknown" if value is None else f"{shown(value.mid, unit)} {unit}"


@require_http_methods(["GET", "POST"])
def label_new(request: HttpRequest) -> HttpResponse:
    """Ask for a new label, and keep it once it can be."""
    if request.method == "GET":
        return _form(request, {}, ())
    known = [one.id for one in labels.on_shelf(seen_by(request))]
    return _posted(request, labels.new_id(request.POST.get("name", ""), known))


@require_http_methods(["GET", "POST"])
def label(request: HttpRequest, item: str) -> HttpResponse:
    """Show a label of the practice's shelf; keep it as typed anew, beside what it was."""
    kept = _own(request, item)
    if request.method == "GET":
        return _form(request, labels.texts_of(kept.typed), (), item=item)
    return _posted(request, item)


@require_POST
def label_ended(request: HttpRequest, item: str) -> HttpResponse:
    """Take an item off the shelf."""
    _own(request, item)
    labels.label_ended(ledger_of(request), item=item, by=user_of(request))
    return redirect("shelf")


def _own(request: HttpRequest, item: str) -> Label:
    found = seen_by(request).labels().filter(item=item).first()
    if found is None:
        raise Http404
    return found


def _posted(request: HttpRequest, item: str) -> HttpResponse:
    texts = {key: ", ".join(one for one in request.POST.getlist(key) if one) for key in labels.asked()}
    path, equals, reading = request.POST.get("take", "").partition("=")
    if equals and path in texts:
        texts[path] = reading
    try:
        kept = seen_by(request).labels().filter(item=item).first()
        data = labels.data_of(texts, item, kept.typed if kept is not None else "")
        if equals:
            labels.read(data)
            return _form(request, texts, (), item=item if _is_kept(request, item) else "")
        labels.label_kept(ledger_of(request), data=data, by=user_of(request))
    except BadInput as error:
        known = item if _is_kept(request, item) else ""
        return _form(request, texts, error.findings, item=known, status=422)
    if request.headers.get("HX-Request"):
        return HttpResponse(headers={"HX-Redirect": "/shelf"})
    return redirect("shelf")


def _is_kept(request: HttpRequest, item: str) -> bool:
    return seen_by(request).labels().filter(item=item).exists()


def _form(
    request: HttpRequest,
    texts: dict[str, str],
    faults: tuple[Finding, ...],
    *,
    item: str = "",
    status: int = 200,
) -> HttpResponse:
    """Return the form of a label with the faults beside their fields; the rest of them at its head."""
    left = list(faults)
    parts = [
        Part(n, section.title, tuple(_unit(field, texts, left) for field in section.fields))
        for n, section in enumerate(label_sections(), 1)
    ]
    told = [f"{one.sentence[:1].upper()}{one.sentence[1:]} {one.next_step}".strip() for one in left]
    shown_form = {"asked_parts": parts, "faults": told, "item": item, "texts": texts}
    return render(request, "provand/label.html", shown_form, status=status)


def _unit(field: Asked, texts: dict[str, str], left: list[Finding]) -> Unit:
    key = field.key.removeprefix(labels.PREFIX)
    mine = [one for one in left if one.about == key or one.about.startswith(f"{key}[")]
    left[:] = [one for one in left if one not in mine]
    text = texts.get(key, "")
    told = tuple(_told(field, one, text) for one in mine)
    return Unit(path=key, name=field.label, asked=field, text=text, faults=told)


def _told(field: Asked, fault: Finding, text: str) -> Told:
    if fault.code == "entry.missing":
        return Told(says=f"{field.label} is still empty.")
    readings = readings_of(fault, text)
    says = f"{fault.sentence[:1].upper()}{fault.sentence[1:]}"
    return Told(says=says if readings else f"{says} {fault.next_step}".strip(), readings=readings)
