"""Which languages a practice hands out: a native speaker's word for the text of a catalogue, on record."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from provand.case.case import Case
from provand.finding import BadInput, find
from provand.language import ENGLISH, LANGUAGES, Language, Tag
from provand.pack.tongue import Tongue, tongue_of
from provand.workspace import access
from provand.workspace.ledger import Ledger
from provand.workspace.models import Approval
from provand.workspace.trail import trail


class Word(NamedTuple):
    """What stands about a language: who read it and when; whether that holds, for the text as it is now."""

    language: Language
    speaker: str
    on: date | None
    is_approved: bool
    is_changed: bool


def tongue_for(case: Case) -> Tongue:
    """Return the language of an athlete, approved where somebody's word for its text stands."""
    return _approved(tongue_of(case.athlete.language))


def word_for(case: Case) -> Word:
    """Return what stands about the language of an athlete."""
    return _word(LANGUAGES[case.athlete.language])


def named_in(typed: str) -> Tag:
    """Return the tag of the language that a race file names, ours where it names none or cannot be read."""
    try:
        athlete = tomllib.loads(typed).get("athlete", {})
    except tomllib.TOMLDecodeError:
        return ENGLISH
    tag = athlete.get("language", ENGLISH) if isinstance(athlete, dict) else ENGLISH
    return next((one.tag for one in LANGUAGES.values() if one.tag == tag), ENGLISH)


def tongue_in(tag: str) -> Tongue:
    """Return a language by its tag, approved where somebody's word for its text stands."""
    return _approved(tongue_of(tag))


def _approved(tongue: Tongue) -> Tongue:
    kept = access.approval(tongue.tag)
    return replace(tongue, approved=kept is not None and kept.stands and kept.digest == tongue.digest)


def words(ledger: Ledger) -> tuple[Word, ...]:
    """Return what stands about each language."""
    with ledger.reading():
        return tuple(_word(language) for language in LANGUAGES.values())


def _word(language: Language) -> Word:
    tongue = tongue_of(language.tag)
    kept = access.approval(language.tag)
    if tongue.is_ours or kept is None or not kept.stands:
        return Word(language, "", None, tongue.is_ours, is_changed=False)
    holds = kept.digest == tongue.digest
    return Word(language, kept.speaker, kept.on, holds, is_changed=not holds)


def approve(ledger: Ledger, *, tag: str, speaker: str, on: date, as_of: date, by: str = "") -> Word:
    """Keep that a native speaker read a language as it is now; BadInput for another, or a day to come.

    `by` is who records it, where that is somebody else.
    """
    language = language_of(tag)
    if not speaker.strip():
        raise BadInput(find("ledger.needed", "--by"))
    if on > as_of:
        raise BadInput(find("entry.future", "--on", day=on.isoformat(), as_of=as_of.isoformat()))
    with ledger.writing():
        says = f"{language.english} was read by a native speaker, {speaker.strip()}, on {on.isoformat()}"
        audit = trail("language approved", says, by=by or speaker.strip())
        Approval.objects.create(
            audit=audit, tag=tag, digest=tongue_of(tag).digest, speaker=speaker.strip(), on=on
        )
        return _word(language)


def take_back(ledger: Ledger, *, tag: str, by: str, on: date) -> Word:
    """Keep that a language is handed out no more; BadInput where nobody's word for it stands."""
    language = language_of(tag)
    with ledger.writing():
        kept = access.approval(tag)
        if kept is None or not kept.stands:
            raise BadInput(find("language.nothing_to_withdraw", tag, language=language.english))
        audit = trail("language withdrawn", f"{language.english} is handed out no more", by=by)
        Approval.objects.create(
            audit=audit, tag=tag, digest=kept.digest, speaker=kept.speaker, on=on, stands=False
        )
        return _word(language)


def language_of(tag: str) -> Language:
    """Return the language of a tag that can be approved; BadInput names what there is."""
    known = [one for one in LANGUAGES if one != ENGLISH]
    if tag not in known:
        raise BadInput(find("language.unknown", tag, known=", ".join(known)))
    return LANGUAGES[tag]
