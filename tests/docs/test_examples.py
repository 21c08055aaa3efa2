"""The example of each command, as its help prints it, runs."""

from __future__ import annotations

import io
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import typer
from docs_run import run

from provand.cli.main import app

GROUP: Any = typer.main.get_command(app)
AS_OF = "2026-11-25"
TO = ["--to", "Alex Sample (athlete)", "--pieces", "safety,calendar", "--out", "out"]
EXAMPLE_CODE = "P36Z-SYW4"
PLATES = """
[[wishes.overrides]]
what = "load.dose_g_per_kg_per_day"
value = "7 g/kg/day"
by = "Robin Example"
on = 2026-11-20
why = "as before"

[menu]
blocks = 1
meals = [{ meal = "lunch", at = "12:00" }, { meal = "dinner", at = "18:00" }]
laid = [{ on = 2026-12-05, meal = "lunch", food = "white-rice", portions = 2 }]
"""
"""What a case needs for its menu: a ticked load, and meals."""


@pytest.mark.parametrize("name", [name for name in GROUP.commands if name not in ("demo", "open")])
def test_the_example_of_a_command_runs(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    command = GROUP.commands[name]
    example = re.fullmatch(r"Example: `provand ([^`]+)`", command.epilog)
    assert example
    words = shlex.split(example[1].split(" > ")[0])
    assert words[0] == name
    if name != "new":
        run(["new", "my-case.toml"], monkeypatch, capsys)
    if name in ("menu", "shopping"):
        case = tmp_path / "my-case.toml"
        case.write_text(case.read_text("utf-8") + PLATES, "utf-8")
    if "earlier/plan.json" in words:
        run(["plan", "my-case.toml", "--out", "earlier", "--as-of", AS_OF], monkeypatch, capsys)
    if EXAMPLE_CODE in words or name == "held":
        _, told = run(["issue", "my-case.toml", *TO, "--as-of", AS_OF], monkeypatch, capsys)
        words = [re.findall(r"\w{4}-\w{4}", told)[0] if word == EXAMPLE_CODE else word for word in words]
    if name == "undo":
        run(["change", "my-case.toml", "ban", "gel-25", "--as-of", AS_OF], monkeypatch, capsys)
    if name == "screen":
        monkeypatch.setattr("sys.stdin", io.StringIO("\n\nn\n"))
    if name == "release":
        health = tmp_path / "my-case.health.toml"
        hurt = re.sub(r'("injury"\nreply = )"no"', r'\1"yes"', health.read_text("utf-8"))
        health.write_text(hurt, "utf-8")
    if any("--as-of" in parameter.opts for parameter in command.params) and "--as-of" not in words:
        words += ["--as-of", AS_OF]
    status, printed = run(words, monkeypatch, capsys)
    assert status == 0, printed
    assert printed
