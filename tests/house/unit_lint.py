"""The lint of unit suffixes: names in one statement agree, and a public float says its unit.

It reads names alone, by `ast`. Where the unit of an expression cannot be told from its names (a product, a
quotient, a name without a suffix), it says nothing.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from provand.units import SUFFIXES, unit_of

TRANSPARENT = {"low", "mid", "high", "value"}
"""Attributes in the unit of what carries them: `sweat_ml_per_h.low`."""

KEEPS_UNIT = {"min", "max", "abs", "sum", "fsum", "float", "round", "sorted"}
"""Calls whose result is in the unit of their arguments."""

CONTAINERS = {"tuple", "list", "Sequence", "Iterable", "Iterator", "Optional", "Annotated", "NDArray"}
"""Containers that hold what their name says; a mapping's keys name its numbers, so it is not among them."""


class Fault(NamedTuple):
    """A place in a file where units disagree or are not said."""

    line: int
    says: str


WORDS = {"day", "week", "race", "item"}
"""Units that are words as well: they count after `per` alone, so that `caffeine_day` is not a time."""


def named_unit(name: str) -> str | None:
    """Return the unit of a name, or None; a bare `m` or `index` is a name, not a unit."""
    unit = None if name in SUFFIXES else unit_of(name)
    return None if unit in WORDS else unit


def unit_in(node: ast.expr) -> str | None:  # noqa: PLR0911 - one return for each kind of expression
    """Return the unit of an expression as far as its names tell."""
    match node:
        case ast.Name(id=name):
            return named_unit(name)
        case ast.Attribute(value=carrier, attr=attr):
            return unit_in(carrier) if attr in TRANSPARENT else named_unit(attr)
        case ast.Subscript(value=carrier):
            return unit_in(carrier)
        case ast.UnaryOp(operand=operand):
            return unit_in(operand)
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
            return unit_in(left) or unit_in(right)
        case ast.IfExp(body=body, orelse=orelse):
            return unit_in(body) or unit_in(orelse)
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name), args=args):
            if name in KEEPS_UNIT:
                return next(filter(None, map(unit_in, args)), None)
            return named_unit(name)
    return None


def _differ(line: int, first: ast.expr, second: ast.expr, verb: str) -> Iterator[Fault]:
    one, other = unit_in(first), unit_in(second)
    if one is not None and other is not None and one != other:
        yield Fault(line, f"{ast.unparse(first)} [{one}] {verb} {ast.unparse(second)} [{other}]")


def _disagreements(node: ast.AST) -> Iterator[Fault]:
    match node:
        case ast.Call(func=func, args=args, keywords=keywords):
            for keyword in keywords:
                yield from _keyword(keyword)
            if isinstance(func, ast.Name) and func.id in KEEPS_UNIT:
                for first, second in pairwise(args):
                    yield from _differ(node.lineno, first, second, "beside")
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
            yield from _differ(node.lineno, left, right, "added to or taken from")
        case ast.Compare(left=left, comparators=others):
            for first, second in pairwise([left, *others]):
                yield from _differ(node.lineno, first, second, "compared with")
        case ast.AugAssign(target=target, op=ast.Add() | ast.Sub(), value=value):
            yield from _differ(node.lineno, target, value, "raised or lowered by")
        case (
            ast.Assign(targets=[target], value=value)
            | ast.AnnAssign(target=target, value=ast.expr() as value)
        ):
            yield from _differ(node.lineno, target, value, "is set to")
        case ast.FunctionDef(name=name):
            yield from _returns(name, node)


def _keyword(keyword: ast.keyword) -> Iterator[Fault]:
    wanted = named_unit(keyword.arg or "")
    given = unit_in(keyword.value)
    if wanted is not None and given is not None and wanted != given:
        yield Fault(
            keyword.value.lineno, f"{keyword.arg} [{wanted}] is given {ast.unparse(keyword.value)} [{given}]"
        )


def _returns(name: str, function: ast.FunctionDef) -> Iterator[Fault]:
    wanted = named_unit(name)
    for node in _own_nodes(function):
        if wanted is not None and isinstance(node, ast.Return) and node.value is not None:
            given = unit_in(node.value)
            if given is not None and given != wanted:
                yield Fault(node.lineno, f"{name} [{wanted}] returns {ast.unparse(node.value)} [{given}]")


def _own_nodes(function: ast.FunctionDef) -> Iterator[ast.AST]:
    """Yield what stands in a function, leaving out the functions inside it."""
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        yield node
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            waiting.extend(ast.iter_child_nodes(node))


def is_number(annotation: ast.expr | None) -> bool:
    """Return whether an annotation is a float or a Range, perhaps optional, perhaps many of them."""
    match annotation:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name in {"float", "Range"}
        case ast.BinOp(left=left, op=ast.BitOr(), right=right):
            return is_number(left) or is_number(right)
        case ast.Subscript(value=ast.Name(id=name) | ast.Attribute(attr=name), slice=inner):
            return name in CONTAINERS and is_number(inner)
        case ast.Tuple(elts=elements):
            return any(is_number(element) for element in elements)
        case ast.Constant(value=str(text)):
            return is_number(ast.parse(text, mode="eval").body)
    return False


def unsaid(tree: ast.Module) -> Iterator[tuple[str, Fault]]:
    """Yield each public float without a unit, as its name in the module (`Range.low`) and the fault."""
    yield from _unsaid_in(tree.body, "")


def _unsaid_in(body: list[ast.stmt], owner: str) -> Iterator[tuple[str, Fault]]:
    for node in body:
        match node:
            case ast.ClassDef(name=name) if not name.startswith("_"):
                yield from _unsaid_in(node.body, f"{owner}{name}.")
            case ast.FunctionDef(name=name) if not name.startswith("_") or name == "__init__":
                arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
                for argument in arguments:
                    yield from _says_unit(
                        argument.arg, argument.annotation, argument.lineno, f"{owner}{name}"
                    )
            case ast.AnnAssign(target=ast.Name(id=name), annotation=annotation) if owner:
                yield from _says_unit(name, annotation, node.lineno, owner.rstrip("."))


def _says_unit(name: str, annotation: ast.expr | None, line: int, owner: str) -> Iterator[tuple[str, Fault]]:
    if is_number(annotation) and not name.startswith("_") and named_unit(name) is None:
        yield f"{owner}.{name}", Fault(line, f"{owner}: {name} is a number whose name says no unit")


def disagreements(tree: ast.Module) -> list[Fault]:
    """Return every place where two names of different units meet."""
    return [fault for node in ast.walk(tree) for fault in _disagreements(node)]


def unfit_for_equations(tree: ast.Module) -> list[Fault]:
    """Return integer powers and default arguments, which equations must not have.

    An integer power may differ in its last bit from the product; a default hides an input from its card.
    """
    faults = []
    for node in ast.walk(tree):
        match node:
            case ast.BinOp(op=ast.Pow(), right=power) if _is_integer(power):
                faults.append(Fault(node.lineno, f"{ast.unparse(node)}: write a product, or math.pow"))
            case ast.FunctionDef(name=name, args=ast.arguments(defaults=defaults, kw_defaults=others)):
                if defaults or any(other is not None for other in others):
                    faults.append(Fault(node.lineno, f"{name} has a default argument"))
    return faults


def _is_integer(node: ast.expr) -> bool:
    match node:
        case ast.Constant(value=int()):
            return True
        case ast.UnaryOp(operand=operand):
            return _is_integer(operand)
    return False
