"""The catalogue of findings and the code that makes them match, entry for entry and fact for fact."""

from __future__ import annotations

import ast
import string
from collections.abc import Iterator
from fnmatch import fnmatchcase
from typing import NamedTuple

from source_tree import SRC, modules

from provand.finding import catalogue


class Made(NamedTuple):
    """A call of `find`: where, its code (`group.*` when its end varies), its facts, if `**` may add more."""

    where: str
    code: str
    facts: frozenset[str]
    open: bool


def calls_of_find(path: str, tree: ast.Module) -> Iterator[Made]:
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="find"), args=[first, *_], keywords=keywords):
                facts = frozenset(keyword.arg for keyword in keywords if keyword.arg)
                more = any(keyword.arg is None for keyword in keywords)
                if code := code_in(first):
                    yield Made(f"{path}:{node.lineno}", code, facts, more)


def code_in(node: ast.expr) -> str:
    """Return the code that a call names, with `*` for what an f-string puts in; empty for a variable."""
    match node:
        case ast.Constant(value=str(code)):
            return code
        case ast.JoinedStr(values=parts):
            return "".join(code_in(part) or "*" for part in parts)
    return ""


def entries_of(code: str) -> list[str]:
    """Return the entries of the catalogue that a code means."""
    return [entry for entry in catalogue() if fnmatchcase(entry, code)]


def facts_told(code: str) -> set[str]:
    """Return the facts that the sentence and the next step of an entry name."""
    entry = catalogue()[code]
    fields = [field for text in (entry.says, entry.next) for _, field, _, _ in string.Formatter().parse(text)]
    return {field for field in fields if field}


def _made() -> list[Made]:
    return [made for path, tree in modules().items() for made in calls_of_find(path, tree)]


def _mentions() -> set[str]:
    """Return every text constant of the code and every quoted text of its data but the catalogue."""
    words = {
        node.value
        for tree in modules().values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    data = [path for path in SRC.rglob("*.toml") if path.name != "findings.toml"]
    return words | {word for path in data for word in path.read_text("utf-8").split('"')}


def test_every_finding_made_stands_in_the_catalogue() -> None:
    absent = [f"{made.where} {made.code}" for made in _made() if not entries_of(made.code)]
    assert not absent, "\n".join(absent)


def test_every_entry_of_the_catalogue_is_used() -> None:
    used = _mentions() | {entry for made in _made() for entry in entries_of(made.code)}
    assert not sorted(set(catalogue()) - used)


def test_every_fact_a_finding_tells_is_given_where_it_is_made() -> None:
    short = [
        f"{made.where} {entry} lacks {sorted(missing)}"
        for made in _made()
        if not made.open
        for entry in entries_of(made.code)
        if (missing := facts_told(entry) - made.facts)
    ]
    assert not short, "\n".join(short)


def test_calls_of_find_are_seen_with_their_facts() -> None:
    tree = ast.parse('find("a.b", place, low=1)\nfind(f"a.{end}", **facts)\nfind(code)\ntext.find("x")')
    assert list(calls_of_find("m.py", tree)) == [
        Made("m.py:1", "a.b", frozenset({"low"}), False),
        Made("m.py:2", "a.*", frozenset(), True),
    ]
