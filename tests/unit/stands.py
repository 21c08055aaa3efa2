"""A case as typed, screened and cleared, with all that its plan was made of."""

from __future__ import annotations

import tomllib
from pathlib import Path

from starter_case import STARTER, TODAY

from provand.case.door import case_of, in_folder, read_health
from provand.plan.look import look
from provand.plan.protocols import protocols_of
from provand.plan.standing import Standing
from provand.safety.screening import Screening, screen


def standing(path: Path = STARTER, *, text: str = "", withheld: tuple[str, ...] = ()) -> Standing:
    """Return the standing plan of a case file, or of another text of it, with parts withheld as well."""
    typed, beside = tomllib.loads(text or path.read_text("utf-8")), in_folder(path.parent)
    case = case_of(typed, beside=beside, as_of=TODAY)
    screening = screen(case, read_health(path), as_of=TODAY)[0]
    more = tuple(sorted({*screening.withheld, *withheld}))
    screening = Screening.model_validate(screening.model_dump() | {"withheld": more})
    protocols = protocols_of(case, beside, as_of=TODAY)
    looked = look(case, screening, protocols=protocols, as_of=TODAY)
    assert looked.cleared is not None, looked.error
    return Standing(looked.cleared, typed, case, screening, protocols, beside, TODAY)
