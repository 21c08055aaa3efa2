"""Records refuse what cannot be; their bytes and their code are the same everywhere."""

from __future__ import annotations

import json
import math
from functools import cached_property
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, ValidationError

from provand.figure import Range
from provand.plan.withheld import WEIGHTS
from provand.record import SYMBOLS, Record, canonical, code, rounded


class Cup(Record):
    size_ml: float = Field(json_schema_extra={"bounds": [20, 1000]})
    fill_frac: Range | None = Field(default=None, json_schema_extra={"bounds": [0, 1]})
    name: str = ""


def test_a_record_is_frozen_and_takes_no_unknown_key() -> None:
    cup = Cup(size_ml=200)
    with pytest.raises(ValidationError, match="frozen"):
        cup.size_ml = 300  # type: ignore[misc]
    with pytest.raises(ValidationError, match="Extra inputs"):
        Cup(size_ml=200, sise_ml=3)  # type: ignore[call-arg]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 19.99, 1000.1, -200])
def test_a_number_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(ValidationError):
        Cup(size_ml=value)


def test_a_range_is_bounded_at_both_ends() -> None:
    assert Cup(size_ml=200, fill_frac=Range.of(0, 1))
    with pytest.raises(ValidationError, match="from 0 to 1 is allowed"):
        Cup(size_ml=200, fill_frac=Range.of(0.5, 1.2))


def test_the_bytes_do_not_depend_on_order_last_bits_or_negative_zero() -> None:
    first = canonical({"b": 0.1 + 0.2, "a": [-0.0, 1.0], "é": "Zoë"})
    assert first == canonical({"é": "Zoë", "a": [0, 1], "b": 0.3})
    assert first == '{"a":[0,1],"b":0.3,"é":"Zoë"}'.encode()


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_the_bytes_never_hold_what_is_no_number(value: float) -> None:
    with pytest.raises((ValueError, OverflowError)):
        canonical({"a": value})


def test_a_record_and_its_plain_data_have_the_same_bytes() -> None:
    cup = Cup(size_ml=200, fill_frac=Range.of(0.5, 0.75), name="🥤")
    assert canonical(cup) == canonical(cup.model_dump(mode="json"))
    assert Cup.model_validate_json(canonical(cup)) == cup


@given(value=st.floats(-1e12, 1e12))
def test_rounding_once_is_rounding_for_good(value: float) -> None:
    once = rounded(value)
    assert rounded(once) == once
    assert once == pytest.approx(value, rel=5.1e-9, abs=0)
    assert json.loads(canonical([once])) == [once]
    assert math.copysign(1, rounded(-0.0)) == 1


DATA: st.SearchStrategy[Any] = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@given(data=DATA)
def test_bytes_read_back_give_the_same_bytes(data: Any) -> None:
    assert canonical(json.loads(canonical(data))) == canonical(data)


def test_a_code_is_two_groups_of_four_of_thirty_symbols_without_vowels() -> None:
    assert code(b"a plan") == code(b"a plan")
    assert code(b"a plan") != code(b"a plan ")
    assert len(SYMBOLS) == len(set(SYMBOLS)) == 30
    assert not set(SYMBOLS) & set("AEIOUL")
    first, last = code(b"").split("-")
    assert set(first + last) <= set(SYMBOLS)
    assert (len(first), len(last)) == (4, 4)


def test_codes_of_many_plans_differ() -> None:
    assert len({code(str(n).encode()) for n in range(5000)}) == 5000


def test_the_code_of_known_bytes_never_changes() -> None:
    """Worked by hand from SHA-256 of no bytes, e3b0c442...b855, by division by thirty."""
    number = int("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", 16)
    symbols = ""
    for _ in range(8):
        symbols += SYMBOLS[number % 30]
        number //= 30
    assert code(b"") == f"{symbols[:4]}-{symbols[4:]}"


def test_no_code_reads_as_a_weight() -> None:
    codes = [code(str(number).encode()) for number in range(3000)]
    assert not [made for made in codes if WEIGHTS.search(made)]
    assert len(set(codes)) == len(codes)


class Worked(Record):
    """A record that works something out once."""

    side_m: float

    @cached_property
    def area_m2(self) -> float:
        return self.side_m * self.side_m


def test_a_copy_works_out_anew_what_the_other_kept() -> None:
    small = Worked(side_m=2.0)
    assert small.area_m2 == 4.0
    assert small.model_copy(update={"side_m": 3.0}).area_m2 == 9.0
    assert small == Worked(side_m=2.0)
