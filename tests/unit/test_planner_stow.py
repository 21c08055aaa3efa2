"""Packs in pockets: all or none, and found by trying every way."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from provand.planner.stow import stowed


def test_the_tightest_pocket_that_lets_the_others_in_is_taken() -> None:
    assert stowed([30, 50], [100, 30]) == (1, 0)
    assert stowed([60, 50, 40], [100, 60]) == (1, 0, 0)


def test_no_pack_needs_no_pocket() -> None:
    assert stowed([], []) == ()


def test_what_does_not_all_go_in_is_not_stowed_in_part() -> None:
    assert stowed([60, 60], [110]) is None
    assert stowed([10], []) is None


@given(st.lists(st.integers(1, 9), max_size=5), st.lists(st.integers(1, 12), min_size=1, max_size=3))
def test_it_says_yes_exactly_where_some_way_exists(volumes_dl: list[int], rooms_dl: list[int]) -> None:
    def fits(places: tuple[int, ...]) -> bool:
        pairs = list(zip(volumes_dl, places, strict=True))
        return all(sum(v for v, at in pairs if at == n) <= room for n, room in enumerate(rooms_dl))

    found = stowed(volumes_dl, rooms_dl)
    ways = product(range(len(rooms_dl)), repeat=len(volumes_dl))
    assert (found is not None) == any(map(fits, ways))
    assert found is None or fits(found)
