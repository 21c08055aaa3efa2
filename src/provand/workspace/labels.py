"""The practice's own shelf: labels as typed, read by the door, kept row by row; what a race file takes."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import tomlkit

from provand.case.checks import check_items
from provand.case.recipes import check_recipes
from provand.case.typed import Step, add
from provand.case.walk import Walk
from provand.finding import BadInput, Finding, find
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.workspace.access import Seen
from provand.workspace.entry import Asked, in_field, label_sections, typed_value
from provand.workspace.ledger import Ledger
from provand.workspace.models import Label, User
from provand.workspace.trail import trail

PREFIX = "items."
TWO_SIZES = ("label.pack", "label.serving")
"""Keys that take a mass and a volume."""
AND = re.compile(r"\s*;\s*|\s+and\s+")
LONGEST_ID = 40
LONGEST_TEXT = 5000
"""Letters of one entry; the longest list of ingredients is far shorter."""


class Shelved(NamedTuple):
    """One item of the practice's shelf, as it was last typed."""

    id: str
    item: Item


# Reading.


def asked() -> dict[str, Asked]:
    """Return every field of a label by its key in an item (`label.carb`)."""
    return {one.key.removeprefix(PREFIX): one for section in label_sections() for one in section.fields}


def data_of(posted: Mapping[str, str], item_id: str, standing: str = "") -> dict[str, Any]:
    """Return the plain data of an item from the texts of its fields; what is empty is left out.

    What stands of it keeps its recipe, which the page of drinks alone writes.
    """
    data: dict[str, Any] = {"id": item_id, "label": {}}
    recipe = tomllib.loads(standing).get("recipe")
    if recipe is not None:
        data["recipe"] = recipe
    for key, field in asked().items():
        value = _value(key, field, posted.get(key, ""))
        if value is None:
            continue
        head, _, last = key.rpartition(".")
        (data[head] if head else data)[last] = value
    return data


def _value(key: str, field: Asked, text: str) -> Any:
    sizes = [size for size in AND.split(text.strip()) if size]
    return sizes if key in TWO_SIZES and len(sizes) > 1 else typed_value(field, text)


def texts_of(typed: str) -> dict[str, str]:
    """Return the texts of a label's fields from its typed text."""
    data = tomllib.loads(typed)
    found = {}
    for key in asked():
        head, _, last = key.rpartition(".")
        value = (data.get(head, {}) if head else data).get(last, "")
        both = key in TWO_SIZES and isinstance(value, list)
        found[key] = " and ".join(str(one) for one in value) if both else in_field(value)
    return found


def read(data: Mapping[str, Any]) -> Item:
    """Return the item that plain data describes; BadInput tells every fault, `about` its key in the item."""
    walk = Walk()
    for key, text in {**data, **{f"label.{key}": text for key, text in data["label"].items()}}.items():
        if isinstance(text, str) and len(text) > LONGEST_TEXT:
            facts = {"letters": f"{len(text):,}", "most": f"{LONGEST_TEXT:,}"}
            walk.fail(find("workspace.too_long", f"items[1].{key}", **facts))
    items = walk.records(Item, [data], "items", "items")
    walk.fail(*check_items(items or ()))
    if walk.faults:
        raise BadInput(*(_at_home(fault, str(data["id"])) for fault in walk.faults))
    assert items is not None
    return items[0]


def _at_home(fault: Finding, item_id: str) -> Finding:
    about = fault.about
    for before in ("items[1]", f"items.{item_id}"):
        about = about.removeprefix(before).removeprefix(".")
    return fault.model_copy(update={"about": about})


def on_shelf(seen: Seen) -> tuple[Shelved, ...]:
    """Return the items of the practice's own shelf, in the order of their names."""
    found = [Shelved(row.item, read(tomllib.loads(row.typed))) for row in seen.labels()]
    return tuple(sorted(found, key=lambda one: one.item.name.casefold()))


def new_id(name: str, taken: Iterable[str]) -> str:
    """Return an id for a name: lower case with hyphens, and a number where another item has it."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    word = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    word = (word if word[:1].isalpha() else f"item-{word}").strip("-")[: LONGEST_ID - 4].rstrip("-")
    known = {*taken, *(item.id for item in shelf())}
    return next(one for n in range(1, 1000) if (one := word if n == 1 else f"{word}-{n}") not in known)


def taken(data: Mapping[str, Any], labels: Iterable[Label]) -> list[Step]:
    """Return the edits that take into a race file each item of the shelf that it names and does not hold."""
    items = data.get("items", [])
    held = {one.get("id") for one in items if isinstance(one, Mapping)} if isinstance(items, list) else set()
    shelved = {label.item: tomllib.loads(label.typed) for label in labels}
    named = set(_named(data))
    mixed_from = {source for item in named & set(shelved) for source in _sources(shelved[item])}
    wanted = (named | mixed_from) - held
    return [add("items", typed) for item, typed in shelved.items() if item in wanted]


def _sources(typed: Mapping[str, Any]) -> Iterable[str]:
    """Return what a drink of the shelf is mixed from."""
    recipe = typed.get("recipe", {})
    return [str(one) for one in recipe.get("sources", [])]


def _named(data: Mapping[str, Any]) -> Iterable[str]:
    athlete, course = data.get("athlete", {}), data.get("course", {})
    for row in _rows(athlete, "rehearsed"):
        yield str(row.get("item", ""))
    refused = athlete.get("refused", []) if isinstance(athlete, Mapping) else []
    yield from (str(one) for one in refused) if isinstance(refused, list) else ()
    for point in _rows(data.get("crew"), "points"):
        hands = point.get("hands", [])
        yield from (str(one) for one in hands) if isinstance(hands, list) else ()
    for station in _rows(course, "stations"):
        yield from (str(one.get("item", "")) for one in _rows(station, "serves"))


def _rows(table: Any, key: str) -> list[Mapping[str, Any]]:
    rows = table.get(key) if isinstance(table, Mapping) else None
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []


# Writing.


def label_kept(ledger: Ledger, *, data: Mapping[str, Any], by: User) -> Label:
    """Keep an item of the shelf as typed, beside what stood of it before; BadInput for one that cannot be."""
    item = read(data)
    if item.recipe is not None:
        own = [one.item for one in on_shelf(Seen(by)) if one.id != item.id and one.item.recipe is None]
        faults = [_at_home(fault, item.id) for fault in check_recipes((item, *own))]
        if faults:
            raise BadInput(*faults)
    typed = tomlkit.dumps(data)
    with ledger.writing():
        before = Seen(by).labels().filter(item=item.id).first()
        if before is not None and before.typed == typed:
            return before
        audit = trail("label", item.name, by=by.name, before=before.typed if before else "", after=typed)
        return Label.objects.create(audit=audit, item=item.id, typed=typed)


def label_ended(ledger: Ledger, *, item: str, by: User) -> None:
    """Take an item off the shelf; race files that took it keep it. BadInput where it is not there."""
    with ledger.writing():
        before = Seen(by).labels().filter(item=item).first()
        if before is None:
            raise BadInput(find("entry.unknown_item", item, item=item, near=""))
        audit = trail("label ended", item, by=by.name, before=before.typed)
        Label.objects.create(audit=audit, item=item, typed=before.typed, ended=True)
