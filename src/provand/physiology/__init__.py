"""Published equations, one module a subject, each with a card that says where it comes from."""

from __future__ import annotations

import importlib
import pkgutil

from provand.card import Card, cards


def all_cards() -> dict[str, Card]:
    """Import every module of physiology and return every card by the equation's name."""
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
    return cards()
