"""Every block of the pages that lead by the hand is carried out, in order, in a folder of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from docs_run import blocks, change, missing, run, steps


@pytest.mark.parametrize("page", ["README.md", "docs/tutorial.md", "docs/own-protocol.md"])
def test_a_page_can_be_followed_step_by_step(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    done = 0
    for block in blocks(page):
        if block.kind == "diff":
            change(Path(block.about), block.lines)
        elif block.kind == "toml":
            with Path(block.about).open("a", encoding="utf-8") as file:
                file.write("\n" + "\n".join(block.lines) + "\n")
        else:
            for step in steps(block.lines):
                status, printed = run(step.command, monkeypatch, capsys)
                absent = missing(step.expected, printed)
                assert not absent, f"{step.command}: {absent}\nin\n{printed}"
                assert status == int(block.about.removeprefix("status ") or 0), printed
                done += 1
    assert done > 3
