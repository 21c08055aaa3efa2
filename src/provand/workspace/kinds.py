"""What each kind of job does with one of its pieces."""

from __future__ import annotations

from collections.abc import Mapping

from provand.workspace.at_work import Work
from provand.workspace.laying import menu_of
from provand.workspace.packs import pack_of
from provand.workspace.solve_again import schedule_of

WORK: Mapping[str, Work] = {"drafts": pack_of, "issue": pack_of, "menu": menu_of, "solve": schedule_of}
