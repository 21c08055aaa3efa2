"""`provand foods`, as a person types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from provand.cli.main import app
from provand.finding import BadInput
from provand.safety.weights import WEIGHTS

DOCS = Path(__file__).resolve().parents[2] / "docs"
DEMO = DOCS.parent / "src" / "provand" / "demo" / "club-runner"
OWN = (DOCS / "foods.md").read_text("utf-8").partition("```toml\n")[2].partition("```")[0]
"""The own foods that the docs show."""


def said(*words: str) -> str:
    result = CliRunner().invoke(app, ["foods", *words], catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


@pytest.fixture
def own_case(tmp_path: Path) -> Path:
    """Return a runner of the demo with the own foods of the docs beside the case."""
    for name in ("case.toml", "case.health.toml"):
        text = (DEMO / name).read_text("utf-8")
        text = text.replace("[menu]\n", '[menu]\nown_foods = "our.toml"\n', 1)
        (tmp_path / name).write_text(text, "utf-8")
    (tmp_path / "our.toml").write_text(OWN, "utf-8")
    assert "own_foods" in (tmp_path / "case.toml").read_text("utf-8")
    return tmp_path / "case.toml"


def test_the_foods_of_a_case_hold_its_own_and_say_what_may_be_laid_and_why_not(own_case: Path) -> None:
    told = said("--case", str(own_case), "--as-of", "2026-11-25")
    own = next(line for line in told.splitlines() if line.startswith("our-oat-bar"))
    assert " own " in own and own.rstrip().endswith("may be laid")
    rows = json.loads(said("oat", "bar", "--case", str(own_case), "--as-of", "2026-11-25", "--json"))
    assert rows[0]["id"] == "our-oat-bar" and rows[0]["left_out"] == ""
    (cola,) = json.loads(said("cola", "--case", str(own_case), "--as-of", "2026-11-25", "--json"))
    assert cola["left_out"] == "may hold caffeine, which no menu adds"


def test_who_reads_no_weights_is_told_no_amount_of_any_food(own_case: Path) -> None:
    health = own_case.with_name("case.health.toml")
    chosen = '[[portions]]\nportions_only = true\nby = "Odd Ferrow"\non = 2026-11-20\n'
    health.write_text(f"{health.read_text('utf-8')}\n{chosen}", "utf-8")
    told = said("--case", str(own_case), "--as-of", "2026-11-25")
    assert "1 bar" in told
    assert not WEIGHTS.search(told)


def test_a_case_names_its_own_foods_so_no_other_file_is_read_beside_it(own_case: Path) -> None:
    result = CliRunner().invoke(app, ["foods", "--case", str(own_case), "--own", "x.toml"])
    assert result.exit_code != 0
    assert "a case names its own foods" in result.output


def test_all_foods_are_listed_with_a_portion_and_100_g() -> None:
    told = said()
    assert "white-rice " in told and "1 cup, 158 g" in told and "43.9 g" in told
    assert "counts as contained" in told


def test_words_find_foods() -> None:
    told = said("boild", "potatos")
    assert "boiled-potatoes" in told and "white-rice" not in told


def test_one_food_shows_the_source_of_every_value() -> None:
    told = said("honey")
    amounts = [
        line for line in told.splitlines() if line.startswith(("water", "sodium", "protein", "fructose"))
    ]
    assert len(amounts) == 4
    assert all("SR28 19296" in line for line in amounts)
    assert "marked so   Honey alone." in told


def test_what_is_unknown_says_so() -> None:
    line = next(line for line in said("jam").splitlines() if line.startswith("fructose"))
    assert "unknown" in line


def test_data_holds_portion_100_g_and_sources() -> None:
    (food,) = json.loads(said("white-rice", "--json"))
    assert food["per_100g"]["carb_g"]["mid"] == 27.77
    assert food["portion_holds"]["carb_g"]["mid"] == pytest.approx(43.88, abs=0.005)
    assert food["sources"]["sodium_mg"].startswith("SR28 20045")


def test_nothing_found_names_what_is_near() -> None:
    with pytest.raises(BadInput, match="there is no food of that name") as refused:
        CliRunner().invoke(app, ["foods", "egs"], catch_exceptions=False)
    assert "egg" in str(refused.value)


def test_own_foods_stand_before_the_others(tmp_path: Path) -> None:
    text = (DOCS / "foods.md").read_text("utf-8").split("```toml")[1].split("```")[0]
    (tmp_path / "own.toml").write_text(text, "utf-8")
    told = said("--own", str(tmp_path / "own.toml")).splitlines()
    assert told[1].startswith("our-oat-bar") and told[2].startswith("our-rice-pudding")
    assert "recipe skimmed milk 1000 g" in said("our rice pudding", "--own", str(tmp_path / "own.toml"))


def test_a_table_of_ones_own_is_searched(tmp_path: Path) -> None:
    path = tmp_path / "ours.csv"
    path.write_bytes("name;available carb g\nKäsebrot;41,5\nHonigbrot;52\n".encode("latin-1"))
    told = said("kasebrot", "--own", str(path))
    assert "row-2: Käsebrot" in told and "41.5 g" in told and "ours.csv, line 2" in told
    assert "Honigbrot" in said("row-3", "--own", str(path))
