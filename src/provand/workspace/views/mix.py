"""Drinks: a strength is typed, the recipe stands beside it; it may be kept on the shelf as an item."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.finding import Finding, ProvandError
from provand.larder.ingredient import Ingredient
from provand.workspace import labels, mixes
from provand.workspace.race_file import readings_of
from provand.workspace.views.seen import seen_by, user_of
from provand.workspace.web import ledger_of


class Reading(NamedTuple):
    """A text that would mend a field, and the address of the page with it."""

    text: str
    address: str


class FieldShown(NamedTuple):
    """A field as it is shown: what stands in it, what is to mend."""

    field: mixes.Field
    text: str
    faults: tuple[str, ...]
    readings: tuple[Reading, ...]


@require_GET
def mix(request: HttpRequest) -> HttpResponse:
    """Show the recipe of what is typed in the address."""
    texts = mixes.texts_of(dict(request.GET.lists()))
    return _page(request, texts, ())


@require_POST
def kept(request: HttpRequest) -> HttpResponse:
    """Keep the drink on the shelf, with a label worked out from the recipe."""
    texts = mixes.texts_of({key: request.POST.getlist(key) for key in mixes.FIRST})
    own = labels.on_shelf(seen_by(request))
    at_hand = mixes.at_hand(one.item for one in own)
    name = request.POST.get("name", "").strip()
    try:
        recipe = mixes.recipe_of(texts, at_hand)
        item = labels.new_id(name, [one.id for one in own])
        data = mixes.item_data(recipe, at_hand, name=name, item_id=item)
        labels.label_kept(ledger_of(request), data=data, by=user_of(request))
    except ProvandError as error:
        return _page(request, texts, error.findings, name=name)
    return redirect("label", item)


def _page(
    request: HttpRequest, texts: Mapping[str, str], refused: tuple[Finding, ...], *, name: str = ""
) -> HttpResponse:
    at_hand = mixes.at_hand(one.item for one in labels.on_shelf(seen_by(request)))
    shown, faults = None, tuple[Finding, ...]()
    try:
        shown = mixes.shown_recipe(mixes.recipe_of(texts, at_hand))
    except ProvandError as error:
        faults = error.findings
    left = [*faults] if faults else [*refused]
    fields = [_field(field, texts, left) for field in mixes.FIELDS]
    given = {
        "fields": fields,
        "texts": texts,
        "choices": _choices(texts, at_hand),
        "hows": mixes.HOWS,
        "faults": [mixes.sentence(one) for one in left],
        "shown": shown,
        "name": name,
    }
    bad = faults or refused
    return render(request, "provand/mix.html", given, status=BAD if bad else 200)


BAD = 422


def _field(field: mixes.Field, texts: Mapping[str, str], left: list[Finding]) -> FieldShown:
    mine = [one for one in left if one.about == field.key and one.code.startswith("entry.")]
    left[:] = [one for one in left if one not in mine]
    text = texts.get(field.key, "")
    meant = [reading for one in mine for reading in readings_of(one, text)]
    readings = tuple(Reading(one, f"?{urlencode({**texts, field.key: one})}") for one in meant)
    return FieldShown(field, text, tuple(mixes.sentence(one) for one in mine), readings)


class Choice(NamedTuple):
    """One thing of the cupboard, ticked or not."""

    one: Ingredient
    ticked: bool


def _choices(texts: Mapping[str, str], at_hand: Mapping[str, Ingredient]) -> list[Choice]:
    ticked = {word.strip() for word in texts["from"].split(",")}
    return [Choice(one, key in ticked) for key, one in at_hand.items()]
