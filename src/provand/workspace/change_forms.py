"""Changes asked on a page: each form is read off the record of its change, so a new change needs no form."""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any, Literal, NamedTuple, Union, get_args, get_origin

from provand.case.case import Case
from provand.case.change import Change
from provand.case.scene import Changing
from provand.larder.item import Item
from provand.larder.shelf import shelf

AT_THE_MENU = {"lay menu", "portions", "swap food", "stay food"}
ELSEWHERE = {
    "pin",
    "unpin",
    "move",
    "swap",
    "solve",
    "ban",
    "unban",
    "override",
    "lift",
    "edit",
    *AT_THE_MENU,
}
"""Changes that have their place at an intake, at a figure, in the race file, or at the menu."""
OF_A_CREW = "crew cannot reach"
"""Asked only where the case names a crew."""

Kind = Literal["text", "day", "yes or no", "choice", "choices", "words"]
Choice = tuple[str, str]


class Field(NamedTuple):
    """One thing that a change asks."""

    name: str
    label: str
    help: str
    kind: Kind
    choices: tuple[Choice, ...] = ()
    required: bool = False
    value: str = ""
    values: tuple[str, ...] = ()


class Form(NamedTuple):
    """One change as it is asked."""

    kind: str
    title: str
    why: str
    fields: tuple[Field, ...]
    open: bool = False


def kinds() -> dict[str, type[Changing]]:
    """Return every change by its kind."""
    union, *_ = get_args(Change)
    return {get_args(one.model_fields["kind"].annotation)[0]: one for one in get_args(union)}


def what_happened(case: Case, *, today: date, typed: Mapping[str, Any] | None = None) -> list[Form]:
    """Return the forms of what may happen; `typed` is what was sent and could not be, with its kind."""
    return [
        _form(kind, change, case, today, typed if typed and typed.get("kind") == kind else None)
        for kind, change in kinds().items()
        if kind not in ELSEWHERE and (kind != OF_A_CREW or case.crew_points)
    ]


def _form(
    kind: str, change: type[Changing], case: Case, today: date, typed: Mapping[str, Any] | None
) -> Form:
    fields = tuple(_filled(one, typed, today) for one in _fields(change, case))
    return Form(kind, kind.capitalize(), (change.__doc__ or "").strip(), fields, open=typed is not None)


def _fields(change: type[Changing], case: Case) -> Iterator[Field]:
    for name, field in change.model_fields.items():
        if name != "kind":
            kind, choices = _asked(name, field.annotation, case)
            label = name.replace("_", " ").capitalize()
            yield Field(name, label, field.description or "", kind, choices, field.is_required())


def _asked(name: str, annotation: Any, case: Case) -> tuple[Kind, tuple[Choice, ...]]:
    """Return how a field is asked: by what it holds, and by what its name points at in the case."""
    inner = _without_none(annotation)
    if inner is date:
        return "day", ()
    if inner is bool:
        return "yes or no", ()
    if get_origin(inner) is Literal:
        return "choice", tuple((str(one), str(one)) for one in get_args(inner))
    pointed = {
        "item": _named(case.items),
        "station": tuple((s.name, s.name) for s in case.course.stations),
        "point": tuple((point.name, point.name) for point in case.crew_points if not point.out_of_reach),
    }
    if get_origin(inner) is tuple:
        return (
            ("choices", _named({**_by_id(shelf()), **_by_id(case.items)}.values()))
            if (name == "serves")
            else ("words", ())
        )
    return ("choice", pointed[name]) if name in pointed else ("text", ())


def _without_none(annotation: Any) -> Any:
    if get_origin(annotation) in (Union, types.UnionType):
        return next(one for one in get_args(annotation) if one is not type(None))
    return annotation


def _by_id(items: Iterable[Item]) -> dict[str, Item]:
    return {item.id: item for item in items}


def _named(items: Iterable[Item]) -> tuple[Choice, ...]:
    return tuple((item.id, item.name) for item in items)


def _filled(field: Field, typed: Mapping[str, Any] | None, today: date) -> Field:
    if typed is None:
        return field._replace(value=today.isoformat() if field.kind == "day" else "")
    given = typed.get(field.name)
    if isinstance(given, list | tuple):
        return field._replace(values=tuple(given), value=", ".join(given))
    return field._replace(value="" if given is None else str(given))


def given(kind: str, one: Mapping[str, str], many: Mapping[str, list[str]]) -> dict[str, Any]:
    """Return what a form sent, as a change takes it: nothing where nothing was typed, lists as lists."""
    change = kinds().get(kind)
    told: dict[str, Any] = {"kind": kind}
    for name, field in change.model_fields.items() if change else ():
        if name == "kind":
            continue
        if get_origin(_without_none(field.annotation)) is tuple:
            parts = [part.strip() for text in many.get(name, []) for part in text.split(",")]
            if name in many and (any(parts) or field.is_required()):
                told[name] = [part for part in parts if part]
            elif field.is_required():
                told[name] = []
        elif one.get(name, "").strip():
            told[name] = one[name]
    return told
