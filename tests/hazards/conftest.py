"""Lets the hazard tests share the invented athletes and plans of the unit tests."""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
for folder in (HERE, HERE.parent / "unit"):
    sys.path.insert(0, str(folder))
