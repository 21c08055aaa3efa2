"""The protocols of a case: shipped ones, or the practitioner's own file beside the case."""

from __future__ import annotations

from datetime import date

from provand.case.case import Case
from provand.case.door import Beside
from provand.case.files import toml_in
from provand.protocol.own import Protocols, own, shipped
from provand.protocol.rules import SHIPPED


def protocols_of(case: Case, beside: Beside, *, as_of: date) -> Protocols:
    """Return the protocols that a case wishes for; `beside` gives the bytes of a file that it names.

    BadInput carries every fault of a practitioner's own file, each with the file's name and the rule.
    """
    name = case.wishes.protocol
    if name in SHIPPED:
        return shipped(name)
    return own(toml_in(beside(name), name), name=name, as_of=as_of)
