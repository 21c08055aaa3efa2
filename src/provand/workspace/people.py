"""Who works here: the first start, who may sign in, and who may see which athlete."""

from __future__ import annotations

from typing import Literal, NamedTuple

from django.contrib.auth.password_validation import validate_password

from provand.case.case import Practitioner
from provand.case.letterhead import check_practitioner
from provand.finding import BadInput, find
from provand.workspace import access
from provand.workspace.ledger import Ledger
from provand.workspace.models import Athlete, Practice, Share, User
from provand.workspace.trail import trail

Role = Literal["practitioner", "assistant"]


def first_start(ledger: Ledger, *, practice: str, contact: str, name: str, passphrase: str) -> User:
    """Keep the practice and its first practitioner; BadInput where somebody can sign in already."""
    with ledger.writing():
        if access.has_people():
            raise BadInput(find("workspace.started", "start"))
        audit = trail("first start", f"{practice}: {name} may sign in", by=name)
        Practice.objects.create(audit=audit, name=practice, contact=contact)
        return _made(name, passphrase, "practitioner")


def person_added(ledger: Ledger, *, name: str, passphrase: str, role: Role, by: User) -> User:
    """Let somebody else sign in; BadInput where an assistant asks, or the name is taken."""
    with ledger.writing():
        if not by.is_practitioner:
            raise BadInput(find("workspace.not_yours", name, what="only a practitioner may add people"))
        if User.objects.filter(name_key=access.key_of(name)).exists():
            raise BadInput(find("workspace.name_taken", name))
        trail("person added", f"{name}, {role}", by=by.name)
        return _made(name, passphrase, role)


class Paper(NamedTuple):
    """What stands on a practice's paper beside its name: lines at the head, their colour, own words."""

    letterhead: str = ""
    colour: str = ""
    says: str = ""


PLAIN = Paper()


def practice_kept(ledger: Ledger, *, name: str, contact: str, by: User, paper: Paper = PLAIN) -> Practice:
    """Keep what the practice is now called, how it is reached and what stands on its paper.

    BadInput where the paper could not be printed: see `check_practitioner`.
    """
    with ledger.writing():
        if not by.is_practitioner:
            raise BadInput(find("workspace.not_yours", name, what="only a practitioner names the practice"))
        kept = Practice(name=name, contact=contact, **paper._asdict())
        faults = tuple(check_practitioner(Practitioner(name=by.name, **kept.head)))
        if faults:
            raise BadInput(*faults)
        before = access.practice()
        was, told = _in_words(before) if before else "", _in_words(kept)
        kept.audit = trail("practice", told, by=by.name, before=was, after=told)
        kept.save()
        return kept


def _in_words(practice: Practice) -> str:
    return ", ".join([practice.name, *(str(value) for value in practice.head.values())])


def shared(ledger: Ledger, *, athlete: Athlete, user: User, by: User, ends: bool = False) -> None:
    """Let somebody see an athlete, or no longer; BadInput for all but the owner, and of the owner's own."""
    with ledger.writing():
        seen = access.Seen(by)
        if not by.is_practitioner or not seen.owns(athlete):
            raise BadInput(find("workspace.not_yours", athlete.name, what="only the owner shares an athlete"))
        if user.pk == by.pk:
            raise BadInput(find("workspace.own_share", athlete.name))
        words = "may no longer see" if ends else "may see"
        audit = trail("shared", f"{user.name} {words} {athlete.name}", by=by.name)
        if not athlete.shares.exists():  # kept at the terminal: whoever shares first is the owner
            Share.objects.create(audit=audit, athlete=athlete, user=by, kind="own")
        Share.objects.create(audit=audit, athlete=athlete, user=user, kind="ended" if ends else "shared")


def _made(name: str, passphrase: str, role: Role) -> User:
    user = User(name=" ".join(name.split()), name_key=access.key_of(name), role=role)
    validate_password(passphrase, user)
    user.set_password(passphrase)
    user.save()
    return user
