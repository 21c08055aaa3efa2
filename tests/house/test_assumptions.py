"""An assumption that no code reads is a number with no user, or one that stands elsewhere too."""

from __future__ import annotations

import re

from source_tree import SRC

from provand.protocol.rules import OURS, protocol

LOADED = re.compile(r'f"store\.\{')


def test_every_assumption_is_read_by_the_code() -> None:
    text = "\n".join(path.read_text("utf-8") for path in sorted(SRC.rglob("*.py")))
    assert LOADED.search(text), "the stores are read by the state of loading"
    states = {f"store.{state}" for state in ("ordinary", "rested", "loaded")}
    unread = [
        rule.id
        for name in OURS
        for rule in protocol(name).rules
        if f'"{rule.id}"' not in text and rule.id not in states
    ]
    assert unread == []
