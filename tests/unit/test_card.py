"""Cards: what the decorator takes and refuses, and that what equations say of themselves is true."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import re
from collections.abc import Callable

import pytest

from provand import card, physiology
from provand.card import card_of, cards, equation, function_of, sources
from provand.units import unit_of

CARDS = physiology.all_cards()
MODULES = sorted(module.name for module in pkgutil.iter_modules(physiology.__path__, "provand.physiology."))
HEADINGS = ("Parameters:", "Returns:", "Equation:", "Valid range:", "Source:", ">>>")


@pytest.fixture
def empty_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(card, "_registry", {})


def _register(function: Callable[..., float], **extra: object) -> Callable[..., float]:
    told: dict[str, object] = {
        "gives": "area_m2",
        "source": "EXAMPLE",
        "at": "nowhere",
        "mark": "estimate",
        "population": "nobody",
    }
    return equation(**{**told, **extra})(function)  # type: ignore[arg-type]  # wrong calls are the point


def square_m2(*, side_m: float) -> float:
    """Return the area of a square."""
    return side_m * side_m


@pytest.mark.usefixtures("empty_registry")
class TestDecorator:
    def test_returns_the_same_function(self) -> None:
        assert _register(square_m2) is square_m2
        assert function_of("square_m2") is square_m2

    def test_writes_the_card_from_the_function(self) -> None:
        _register(square_m2, holds={"side_m": (0.0, 10.0)}, turns=("side_m",))
        written = card_of(square_m2)
        assert (written.name, written.subject, written.parameters) == ("square_m2", "test_card", ("side_m",))
        assert written.summary == "Return the area of a square."
        assert written.holds == {"side_m": (0.0, 10.0)}
        assert written.turns == ("side_m",)
        assert cards() == {"square_m2": written}

    def test_refuses_a_default(self) -> None:
        def squared_m2(*, side_m: float = 1.0) -> float:
            return side_m * side_m

        with pytest.raises(TypeError, match="side_m must be keyword-only, with no default"):
            _register(squared_m2)

    def test_refuses_a_positional_parameter(self) -> None:
        def squared_m2(side_m: float) -> float:
            return side_m * side_m

        with pytest.raises(TypeError, match="side_m must be keyword-only"):
            _register(squared_m2)

    def test_refuses_a_second_registration(self) -> None:
        _register(square_m2)
        with pytest.raises(TypeError, match="second registration"):
            _register(square_m2)

    @pytest.mark.parametrize("extra", [{"holds": {"edge_m": (0.0, 1.0)}}, {"turns": ("edge_m",)}])
    def test_refuses_a_range_or_a_turn_of_an_unknown_parameter(self, extra: dict[str, object]) -> None:
        with pytest.raises(TypeError, match="unknown parameters"):
            _register(square_m2, **extra)

    def test_refuses_a_mark_that_is_not_on_the_list(self) -> None:
        with pytest.raises(ValueError, match="mark"):
            _register(square_m2, mark="certain")

    def test_knows_no_other_function(self) -> None:
        with pytest.raises(KeyError):
            card_of(square_m2)


@pytest.mark.parametrize("module", MODULES)
def test_examples_of_the_module_are_true(module: str) -> None:
    result = doctest.testmod(importlib.import_module(module))
    assert result.failed == 0
    assert result.attempted > 0


@pytest.mark.parametrize("name", sorted(CARDS))
def test_docstring_says_what_a_reader_needs(name: str) -> None:
    doc, parameters = CARDS[name].doc, CARDS[name].parameters
    assert [heading for heading in HEADINGS if heading not in doc] == []
    assert [parameter for parameter in parameters if not re.search(rf"\b{parameter}\b", doc)] == []
    assert doc.split("\n", 1)[0].endswith(".")


@pytest.mark.parametrize("name", sorted(CARDS))
def test_every_number_of_an_equation_has_a_unit(name: str) -> None:
    names = (CARDS[name].gives, *CARDS[name].parameters)
    assert [each for each in names if unit_of(each) is None] == []


@pytest.mark.parametrize("name", sorted(CARDS))
def test_range_of_a_card_is_in_order(name: str) -> None:
    assert all(low < high for low, high in CARDS[name].holds.values())


def test_each_source_says_what_it_is() -> None:
    for source in sources().values():
        assert source.cite
        assert not re.search(r"https?:", source.doi)
