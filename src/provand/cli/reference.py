"""`schema` and `equation`: what the files hold, and what the equations are."""

from __future__ import annotations

import difflib
from typing import Any

from pydantic import ValidationError
from rich.markup import escape

from provand.card import Card, function_of, sources
from provand.case.case import Case
from provand.case.health import Health
from provand.case.keys import key_table
from provand.cli import say
from provand.figure import Range, Trace
from provand.finding import BadInput, Finding, find
from provand.physiology import all_cards
from provand.plan.document import Plan
from provand.record import Record
from provand.units import read_number, shown_unit, unit_of

FILES: dict[str, type[Record]] = {"case": Case, "health": Health, "plan": Plan}


def schema(of: str, *, keys: bool) -> None:
    """Print a JSON schema, or the typed keys of a TOML file."""
    if of not in FILES:
        raise BadInput(find("cli.unknown_name", of, kind="file", near=_near(of, list(FILES))))
    record = FILES[of]
    if not keys:
        say.data(record.model_json_schema(mode="serialization"))
        return
    if record is Plan:
        raise BadInput(find("cli.not_typed", of))
    table = say.columns("key", "what", "allowed")
    for row in key_table(record):
        table.add_row(escape(row.key), escape(row.doc), escape(row.allowed))
    say.table(table)


def _near(name: str, names: list[str]) -> str:
    close = difflib.get_close_matches(name, names, n=3, cutoff=0.5)
    return "Did you mean " + " or ".join(close) + "?" if close else "There are " + ", ".join(names[:12]) + "."


def _values(card: Card, pairs: list[str]) -> dict[str, float]:
    faults: list[Finding] = []
    values: dict[str, float] = {}
    for pair in pairs:
        name, sign, number = pair.partition("=")
        unit = unit_of(name)
        if not sign or name not in card.parameters or unit is None:
            faults.append(
                find("cli.unknown_name", pair, kind="value", near=_near(name, list(card.parameters)))
            )
            continue
        try:
            values[name] = float(number)
            if values[name] - values[name] != 0:
                raise ValueError
        except ValueError:
            try:
                values[name] = read_number(number, unit, name, -1e12, 1e12)
            except BadInput as error:
                faults.extend(error.findings)
    faults.extend(
        find("cli.value_missing", card.name, name=name, unit=shown_unit(unit_of(name) or ""))
        for name in card.parameters
        if name not in values and not any(pair.startswith(f"{name}=") for pair in pairs)
    )
    if faults:
        raise BadInput(*faults)
    return values


def _card_data(card: Card) -> dict[str, Any]:
    return {
        **card.model_dump(mode="json"),
        "cite": sources()[card.source].cite,
        "doi": sources()[card.source].doi,
    }


def equation(name: str | None, pairs: list[str], *, as_json: bool) -> None:
    """List the equations, show one card, or compute one."""
    cards = all_cards()
    if name is None:
        if as_json:
            say.data([_card_data(card) for card in cards.values()])
            return
        table = say.columns("equation", "gives", "source", "mark")
        for card in sorted(cards.values(), key=lambda c: (c.subject, c.name)):
            table.add_row(card.name, card.gives, f"{card.source}, {card.at}", card.mark)
        say.table(table)
        return
    if name not in cards:
        raise BadInput(find("cli.unknown_name", name, kind="equation", near=_near(name, list(cards))))
    card = cards[name]
    if not pairs:
        if as_json:
            say.data(_card_data(card))
            return
        print(f"{card.name}({', '.join(card.parameters)}) gives {card.gives}\n\n{card.doc}\n")
        print(f"source      {sources()[card.source].cite} ({card.at}); mark: {card.mark}")
        print(f"population  {card.population}")
        for parameter, (low, high) in card.holds.items():
            print(f"range       {parameter} {low:g} to {high:g}")
        if card.note:
            print(f"note        {card.note}")
        return
    values = _values(card, pairs)
    trace = Trace()
    inputs = {n: trace.given(f"given.{n}", Range.exact(v), f"typed {v:g}") for n, v in values.items()}
    try:
        figure = trace.apply(function_of(name), f"result.{card.gives}", **inputs)
    except (ArithmeticError, ValueError) as error:
        why = "the numbers leave no finite value" if isinstance(error, ValidationError) else str(error)
        raise BadInput(find("cli.cannot_compute", name, why=why)) from error
    if as_json:
        say.data(figure.model_dump(mode="json"))
        return
    print(f"{card.gives} = {figure.value.mid:.9g} {shown_unit(figure.unit)}".rstrip())
    say.findings(figure.caveats)
