"""`provand mix`: the recipe as it is printed, as data, as a card, and for a case with what it withholds."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from ended import Command

from provand.cli import mixing
from provand.plan.withheld import WEIGHTS
from provand.safety.screening import Screening

DAY = "2026-11-25"
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"
BOTTLE = ("mix", "--carb", "60", "--sodium", "500", "--volume", "750 ml", "--from", "sugar,salt")


def test_a_recipe_tells_weights_spoons_both_volumes_and_how_it_adds_up(provand: Command) -> None:
    done = provand(*BOTTLE)
    assert done.status == 0, done.err
    for words in (
        "table sugar  47 g",
        "it makes 779 ml",
        "made up to 750 ml",
        "721 ml of water",
        "3 tablespoons and 2¼ teaspoons of table sugar",
        "757 mg/l (647 to 866)",
        "47.0 g / 0.779 l = 60.3 g/l",
        "never how much to drink",
        "lifts no limit of fluid",
    ):
        assert words in done.out, words


def test_made_up_to_takes_the_volume_as_the_mark(provand: Command) -> None:
    done = provand(*BOTTLE, "--made-up-to")
    assert "fill up to 750 ml: that takes 722 ml of water" in done.out


def test_as_data_it_holds_the_same(provand: Command) -> None:
    done = provand(*BOTTLE, "--json")
    told = json.loads(done.out)
    assert told["as_wished"] is True
    assert told["weigh"][0] == {"ingredient": "sugar", "name": "table sugar", "g": 47, "pieces": None}
    assert told["added to"] == {"water_ml": 750, "drink_ml": 779.1}
    assert told["made up to"]["drink_ml"] == 750
    assert told["spoons"][1]["quarter_teaspoons"] == 1


def test_what_cannot_be_had_ends_with_status_4_and_the_nearest(provand: Command) -> None:
    done = provand("mix", "--carb", "60 g/l", "--ratio", "2:1")
    assert done.status == 4
    assert done.out.startswith("Not as wished; the nearest that can be had:")
    assert "62 g" in done.out
    assert (
        json.loads(provand("mix", "--carb", "60 g/l", "--ratio", "2:1", "--json").out)["as_wished"] is False
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--carb", "60 g"), "carb: '60 g'"),
        (("--carb", "60 g/l", "--from", "shugar"), "Did you mean 'sugar'?"),
        (("--carb", "60 g/l", "--volume", "750"), "has more than one reading"),
        ((), "nothing is wished of the drink"),
    ],
)
def test_a_wish_that_cannot_be_read_says_what_where_and_what_is_allowed(
    provand: Command, words: tuple[str, ...], said: str
) -> None:
    done = provand("mix", *words)
    assert done.status == 2
    assert said in done.err
    assert not done.out


def test_the_card_is_what_the_athlete_is_given(provand: Command) -> None:
    card = provand(*BOTTLE, "--card").out
    assert card.startswith("Weigh 47 g of table sugar, 1.0 g of table salt.")
    assert "osm" not in card.lower()


def test_for_a_case_its_withheld_sodium_is_neither_added_nor_told(provand: Command) -> None:
    case = str(DEMO / "treated-pressure" / "case.toml")
    for more in ((), ("--json",), ("--card",)):
        done = provand(*BOTTLE, "--case", case, "--as-of", DAY, *more)
        assert done.status == 0, done.err
        assert "Sodium is withheld" in done.out
        assert "table salt" not in done.out
        assert "mg/l" not in done.out
        assert "osm" not in done.out.lower()


def test_for_a_case_the_rules_for_its_drink_stand_beside(provand: Command) -> None:
    done = provand(*BOTTLE, "--case", str(DEMO / "warm-hills" / "case.toml"), "--as-of", DAY)
    assert "race.drink_sodium: 500 mg/l (common-practice/N5" in done.out
    assert "race.drink_sodium: 20 to 30 mmol/l" in done.out


def test_on_hold_there_is_no_recipe(provand: Command) -> None:
    done = provand(*BOTTLE, "--case", str(DEMO / "on-hold" / "case.toml"), "--as-of", DAY)
    assert done.status == 3
    assert not done.out


@pytest.mark.parametrize(
    ("left_out", "source", "why"),
    [
        ('allergens = ["gluten"]', "maltodextrin", "not stated to be free from gluten"),
        ('excluded = ["maltodextrin"]', "maltodextrin", "contains maltodextrin"),
        ('diet = "vegan"', "sugar", "not stated to be vegan"),
    ],
)
def test_for_a_case_what_it_leaves_out_stays_out_of_its_drink(
    provand: Command, tmp_path: Path, left_out: str, source: str, why: str
) -> None:
    for path in (DEMO / "treated-pressure").iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    case = tmp_path / "case.toml"
    case.write_text(case.read_text("utf-8").replace("[athlete]\n", f"[athlete]\n{left_out}\n", 1), "utf-8")
    done = provand(
        "mix", "--carb", "60", "--from", f"{source}, fructose", "--case", str(case), "--as-of", DAY
    )
    assert done.status == 0, done.err
    assert f"is left out: {why}" in done.out
    alone = provand("mix", "--carb", "60", "--from", source, "--case", str(case), "--as-of", DAY)
    assert alone.status == 4
    assert why in alone.err


@pytest.fixture
def in_portions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every screening withhold weights."""
    held = Screening(outcome="withheld", withheld=("grams",), sodium_line_mmol_per_l=140.0)
    monkeypatch.setattr(mixing, "screen", lambda *_, **__: (held, ()))


@pytest.mark.usefixtures("in_portions")
@pytest.mark.parametrize("more", [(), ("--json",), ("--card",), ("--ratio", "2:1"), ("--sodium", "2 g/l")])
def test_who_reads_no_weights_reads_none_whatever_is_asked(provand: Command, more: tuple[str, ...]) -> None:
    case = str(DEMO / "warm-hills" / "case.toml")
    done = provand(*BOTTLE, "--case", case, "--as-of", DAY, *more)
    assert "tablespoons" in done.out
    assert not WEIGHTS.search(done.out), WEIGHTS.search(done.out)
    if more[:1] in (("--ratio",), ("--sodium",)):
        assert done.status == 4
        assert "the nearest that can be had" in done.out


@pytest.mark.usefixtures("in_portions")
def test_a_product_without_a_spoon_is_not_handed_to_who_reads_no_weights(provand: Command) -> None:
    case = str(DEMO / "warm-hills" / "case.toml")
    done = provand("mix", "--carb", "60", "--from", "powder", "--case", case, "--as-of", DAY)
    assert done.status == 4
    assert not done.out
    assert not WEIGHTS.search(done.err)


def test_the_cupboard_lists_what_a_drink_can_be_mixed_from(provand: Command) -> None:
    listed = provand("mix", "--cupboard").out
    assert "dextrose, grape sugar" in listed
    assert "free from gluten only by its own pack" in listed
