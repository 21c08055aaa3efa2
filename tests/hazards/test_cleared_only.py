"""The type checker refuses a hand-out that is given a plan which nobody cleared."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLANTED = """\
from pathlib import Path

from provand.pack.write import write_pack
from provand.plan.document import Cleared, Plan


def sound(cleared: Cleared, out: Path) -> None:
    write_pack(cleared, out)


def planted(plan: Plan, out: Path) -> None:
    write_pack(plan, out)
"""


def test_the_type_checker_refuses_a_hand_out_of_a_bare_plan(tmp_path: Path) -> None:
    snippet = tmp_path / "planted.py"
    snippet.write_text(PLANTED, "utf-8")
    checked = subprocess.run(
        [sys.executable, "-m", "mypy", "--no-error-summary", str(snippet)],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    told = checked.stdout.strip().splitlines()
    assert len(told) == 1, checked.stdout + checked.stderr
    assert f":{len(PLANTED.splitlines())}: error: " in told[0]
    assert '"write_pack" has incompatible type "Plan"; expected "Cleared"' in told[0]
