"""Drinks: a strength is typed, the recipe stands beside it; it may be kept on the shelf as an item."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from provand.finding import BadInput, Finding, OnHold, ProvandError, find
from provand.larder.ingredient import Ingredient
from provand.plan.drinker import DRINK_RULES, Drinker, drink_rules, drinker_of
from provand.workspace import labels, mixes, plans
from provand.workspace.models import Desk
from provand.workspace.race_file import readings_of
from provand.workspace.views.clock import today
from provand.workspace.views.seen import desk_of, seen_by, user_of
from provand.workspace.web import ledger_of


class Reading(NamedTuple):
    """A text that would mend a field, and the address of the page with it."""

    text: str
    address: str


class RuleShown(NamedTuple):
    """A rule for the drink of the race: what it is about, its band, whence, and why it does not lead."""

    name: str
    band: str
    source: str
    unused: str


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
    return _page(request, _Whom(_anybody(request)), texts, ())


@require_POST
def kept(request: HttpRequest) -> HttpResponse:
    """Keep the drink on the shelf, with a label worked out from the recipe."""
    return _kept(request, _Whom(_anybody(request)))


@require_GET
def mix_for(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show a recipe for the athlete of a race file: what they leave out and what is withheld stays out."""
    desk, user = desk_of(request, key)
    try:
        whom = _whom(request, desk)
    except OnHold as error:
        told = [mixes.sentence(one) for one in error.findings] if user.is_practitioner else []
        return render(request, "provand/mix.html", {"desk": desk, "state": "hold", "held": told})
    except BadInput as error:
        told = [mixes.sentence(one) for one in error.findings]
        return render(request, "provand/mix.html", {"desk": desk, "state": "faults", "faults": told})
    texts = mixes.texts_of(dict(request.GET.lists()), mixes.first_for(whom.drinker))
    return _page(request, whom, texts, ())


@require_POST
def kept_for(request: HttpRequest, key: UUID) -> HttpResponse:
    """Keep an athlete's drink on the shelf."""
    desk, _ = desk_of(request, key)
    try:
        whom = _whom(request, desk)
    except (OnHold, BadInput):
        return redirect("file_mix", desk.pk)
    return _kept(request, whom)


class _Whom(NamedTuple):
    """For whom it is mixed; the race file of the athlete, where it is for one."""

    drinker: Drinker
    desk: Desk | None = None
    name: str = ""
    rules: tuple[RuleShown, ...] = ()


def _anybody(request: HttpRequest) -> Drinker:
    return mixes.anybody(one.item for one in labels.on_shelf(seen_by(request)))


def _whom(request: HttpRequest, desk: Desk) -> _Whom:
    """Return the athlete of a race file; OnHold where nothing may be mixed, BadInput for one with faults."""
    case = plans.case_at(desk, as_of=today())
    basis = plans.basis_of(desk, case, as_of=today())
    if not basis.screening.may_issue:
        raise OnHold(*basis.reasons)
    withheld = basis.screening.withheld
    if "fluid" in withheld:
        raise OnHold(find("mix.fluid_withheld", "mix"))
    own = [one.item for one in labels.on_shelf(seen_by(request)) if one.item.texture != "drink"]
    fired = drink_rules(case, basis.screening, protocols=basis.protocols, as_of=today())
    rules = tuple(
        RuleShown(
            DRINK_RULES[rule.gives],
            rule.band,
            f"{rule.protocol}/{rule.id}, {rule.source}, {rule.mark}",
            "" if rule.used else rule.why,
        )
        for rule in fired
    )
    return _Whom(drinker_of(case, withheld, own), desk, case.athlete.name, rules)


def _kept(request: HttpRequest, whom: _Whom) -> HttpResponse:
    texts = mixes.texts_of({key: request.POST.getlist(key) for key in mixes.FIRST})
    own = labels.on_shelf(seen_by(request))
    name = request.POST.get("name", "").strip()
    try:
        recipe = mixes.recipe_of(texts, whom.drinker)
        item = labels.new_id(name, [one.id for one in own])
        data = mixes.item_data(recipe, whom.drinker.cupboard, name=name, item_id=item)
        labels.label_kept(ledger_of(request), data=data, by=user_of(request))
    except ProvandError as error:
        return _page(request, whom, texts, error.findings, name=name)
    return redirect("label", item)


def _page(
    request: HttpRequest,
    whom: _Whom,
    texts: Mapping[str, str],
    refused: tuple[Finding, ...],
    *,
    name: str = "",
) -> HttpResponse:
    drinker, shown, faults = whom.drinker, None, tuple[Finding, ...]()
    try:
        shown = mixes.shown_recipe(mixes.recipe_of(texts, drinker), drinker.withheld)
    except ProvandError as error:
        faults = error.findings
    left = [*faults] if faults else [*refused]
    asked = [field for field in mixes.FIELDS if field.key not in drinker.withheld]
    fields = [_field(field, texts, left) for field in asked]
    given = {
        "desk": whom.desk,
        "athlete": whom.name,
        "in_words": drinker.in_words,
        "rules": () if drinker.in_words else whom.rules,
        "left_out": _left_out(drinker),
        "fields": fields,
        "texts": texts,
        "choices": _choices(texts, drinker.may_go_in),
        "hows": mixes.HOWS,
        "faults": [mixes.sentence(one) for one in left],
        "shown": shown,
        "name": name,
    }
    bad = faults or refused
    return render(request, "provand/mix.html", given, status=BAD if bad else 200)


def _left_out(drinker: Drinker) -> list[str]:
    """Return what stays out of this athlete's drink; of withheld parts no word."""
    return [drinker.cupboard[key].name for key in drinker.refused if key in drinker.cupboard]


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
