"""The long run goes on where it was broken off, and begins anew when the program has changed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import many
import pytest
from many import Tally, run, state_of


def test_a_run_that_was_broken_off_goes_on_where_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, asked, told = tmp_path / "state.json", list[range](), list[str]()

    def tallied(kind: str, seeds: range) -> Iterator[tuple[int, Tally]]:
        asked.append(seeds)
        for done in range(seeds.start + 10, seeds.stop + 1, 10):
            if done == 30 and len(asked) == 1:
                raise KeyboardInterrupt
            one = Tally()
            one.ended["held"] += 10
            yield done, one

    monkeypatch.setattr(many, "tallied", tallied)
    with pytest.raises(KeyboardInterrupt):
        run("cases", 50, state_of(path, "a"), path, told.append)
    tally = run("cases", 50, state_of(path, "a"), path, told.append)
    assert asked == [range(50), range(20, 50)]
    assert tally.ended == {"held": 50}
    assert told[0].startswith("cases: 10 of 50, 0 wrong")
    assert run("cases", 50, state_of(path, "a"), path, told.append).count == 50
    assert len(asked) == 2
    assert state_of(path, "another program")["done"] == {"cases": 0, "plans": 0}


def test_the_digest_is_of_the_program_and_of_the_proof() -> None:
    assert len(many.digest()) == 16
    assert many.digest() == many.digest()


def test_batches_come_in_order_and_add_up() -> None:
    found = list(many.tallied("cases", range(3), workers=1))
    assert [done for done, _ in found] == [3]
    assert found[0][1].count == 3
    assert found[0][1].spent_s > 0
