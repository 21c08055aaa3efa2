"""Invented health answers by chance: flags, medicines, replies, releases, faults, and what comes in late.

What must hold whatever the program says of it is told beside the answers, by rules written out here anew.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

from drawn_case import AS_OF

from provand.safety.flags import Flag, flags
from provand.safety.medicines import medicine_classes

ISSUABLE = [flag for flag in flags() if flag.outcome in ("note", "withheld") and not flag.exclusions]
STRICT = [flag for flag in flags() if flag.outcome in ("hold", "refer") and flag.id != "under_18"]
REFERS = {flag.id for flag in flags() if flag.outcome == "refer"}
NEVER_BY_HAND = {"glucose_lowering", "chest_or_fainting", "pregnancy", *REFERS}
"""What no release by hand lifts; illness does not in race week either."""
UNKNOWN_MEDICINES = ("canaryzolam 5 mg", "blue pill canarix")
CLINICIAN, RELEASER, GUARDIAN = "Canarina Medica", "Canaro Releaser", "Canara Guardian"
PARTS = ("caffeine", "sodium", "fluid", "grams", "fructose", "loading")
WAYS = ("unsigned", "old", "not said", "left out", "another", "ahead", "unknown medicine", "born", "no file")
RECORDS = ("letters", "replies", "releases", "assents", "scores", "portions")


class DrawnHealth(NamedTuple):
    """Answers as typed, and the same with a flag that comes in after issue; what must hold of them.

    `secrets` must never travel. `held` says that nothing personal may leave, `parts` what must be withheld.
    """

    typed: dict[str, Any] | None
    late: dict[str, Any] | None
    secrets: tuple[str, ...]
    raised: tuple[str, ...]
    spoilt: str
    held: bool
    parts: tuple[str, ...]
    lifts: tuple[str, ...]


def drawn_health(
    draw: Random, name: str, born: date | None, *, excludes: bool, race_in_days: int
) -> DrawnHealth:
    """Draw answers of this athlete, with a canary in everything that is said in words."""
    raised = drawn_flags(draw, excludes=excludes)
    days = draw.choice([0, 1, 5] if race_in_days <= 7 else [0, 1, 5, 20, 60])
    on = AS_OF - timedelta(days=days)
    answers: list[dict[str, Any]] = []
    medicines: list[dict[str, Any]] = []
    for flag in flags():
        said = "yes" if flag in raised else "no"
        detail = f"canarydetail {flag.id} said in confidence" if draw.random() < 0.5 else ""
        answers.append({"question": flag.id, "reply": said, "by": name, "on": on, "detail": detail})
        for step in flag.follow_up if flag in raised else ():
            answers.append({"question": step.id, "reply": step.must_be, "by": name, "on": on, "detail": ""})
        if flag in raised and flag.by_medicine:
            medicines.append(medicine_for(draw, flag, name, on))
    if medicines:
        next(answer for answer in answers if answer["question"] == "medicines")["reply"] = "yes"
    typed: dict[str, Any] = {
        "format": "provand.health/2", "athlete": name, "answers": answers, "medicines": medicines,
        **{kind: [] for kind in RECORDS},
    }  # fmt: skip
    typed |= {"born": born} if born else {}
    lifts = {flag.id: lift(draw, typed, flag, on, race_in_days) for flag in raised if flag in STRICT}
    consent = consented(draw, typed, name, born)
    chose = draw.random() < 0.15
    if chose:
        typed["portions"].append({"portions_only": True, "by": name, "on": on})
    if draw.random() < 0.1:
        score = {"questionnaire": "canaryscale", "value": 3, "cut_off": 20, "by": CLINICIAN, "on": on}
        typed["scores"].append(score)
    spoilt = spoil(draw, typed)
    secrets = {"canary", CLINICIAN, RELEASER, GUARDIAN, *(medicine["name"] for medicine in medicines)}
    parts = {part for reply in typed["replies"] for part in reply.get("limits", ())}
    parts |= {part for flag in raised for part in flag.withheld} | ({"grams"} if chose else set())
    return DrawnHealth(
        typed=None if spoilt == "no file" else typed,
        late=late(draw, typed, name),
        secrets=tuple(sorted(secrets)),
        raised=tuple(flag.id for flag in raised),
        spoilt=spoilt,
        held=bool(spoilt) or born is None or not consent or not set(lifts.values()) <= {"lifted"},
        parts=tuple(sorted(parts)),
        lifts=tuple(lifts.values()),
    )


def drawn_flags(draw: Random, *, excludes: bool) -> list[Flag]:
    """Draw which questions are answered with yes; most such answers still let a plan be issued."""
    kind = draw.random()
    count = 0 if kind < 0.4 else 1 if kind < 0.75 else 2
    from_ = ISSUABLE if draw.random() < 0.6 else [*ISSUABLE, *STRICT]
    exclusion = [flag for flag in flags() if flag.exclusions]
    return [*draw.sample(from_, count), *(exclusion if excludes else [])]


def medicine_for(draw: Random, flag: Flag, name: str, on: date) -> dict[str, Any]:
    """Draw a medicine that bears out a yes, by a name of its class, as on a packet."""
    classes = [group for group in medicine_classes() if flag.id in group.flags]
    substance = draw.choice(draw.choice(classes).substances)
    return {"name": f"{substance} 50 mg tablets", "since": date(2023, 1, 5), "by": name, "on": on}


def lift(draw: Random, typed: dict[str, Any], flag: Flag, on: date, race_in_days: int) -> str:
    """Draw what comes of a flag that holds, add it to the answers, and say `lifted` where it may be."""
    how = draw.choices(
        [
            "",
            "cleared",
            "cleared with limits",
            "not cleared",
            "none",
            "assistant",
            "practitioner",
            "no letter",
        ],
        [30, 22, 22, 8, 5, 3, 8, 2],
    )[0]
    if how in ("assistant", "practitioner"):
        entry = {"about": flag.id, "by": RELEASER, "role": how, "on": AS_OF, "why": "canarywhy of a release"}
        typed["releases"].append(entry)
        never = flag.id in NEVER_BY_HAND or (flag.id == "illness_now" and race_in_days <= 7)
        return "lifted" if how == "practitioner" and not never else how
    if how not in ("", "no letter"):
        letter = {"about": [flag.id], "to": CLINICIAN, "by": RELEASER, "on": on}
        typed["letters"].append(letter)
    if how:
        said = "cleared" if how == "no letter" else how
        reply = {"about": [flag.id], "says": said, "by": CLINICIAN, "on": AS_OF, "kept_by": RELEASER}
        if said == "cleared with limits":
            reply["limits"] = draw.sample(PARTS, draw.choice([1, 1, 2]))
        typed["replies"].append(reply)
    without = how == "no letter" and flag.outcome == "refer"
    return "lifted" if how.startswith("cleared") or (how == "no letter" and not without) else how or "nothing"


def consented(draw: Random, typed: dict[str, Any], name: str, born: date | None) -> bool:
    """Draw the consents of a minor; return whether all are there that must be."""
    minor = born is not None and (AS_OF.year - born.year, AS_OF.month, AS_OF.day) < (18, born.month, born.day)
    if not minor:
        return True
    given = draw.choice([["guardian", "athlete"], ["guardian", "athlete"], ["guardian"], ["athlete"], []])
    for who in given:
        typed["assents"].append({"who": who, "by": GUARDIAN if who == "guardian" else name, "on": AS_OF})
    return len(given) == 2


def late(draw: Random, typed: dict[str, Any], name: str) -> dict[str, Any] | None:
    """Draw, now and then, the same answers with one that came in after issue and holds."""
    if draw.random() < 0.7:
        return None
    flag = draw.choice(STRICT)
    entry = {"question": flag.id, "reply": "yes", "by": name, "on": AS_OF, "detail": "canarydetail late"}
    kept = {
        kind: [e for e in typed[kind] if flag.id not in e.get("about", ())]
        for kind in ("replies", "releases")
    }
    return typed | kept | {"answers": [*typed["answers"], entry]}


def spoil(draw: Random, typed: dict[str, Any]) -> str:
    """Spoil the answers in one way, sometimes, and return which: each of them must come to a hold."""
    way = draw.choice(WAYS) if draw.random() < 0.15 else ""
    always = {flag.id for flag in flags() if not flag.by_medicine} - {"under_18"}
    one = draw.choice([answer for answer in typed["answers"] if answer["question"] in always])
    if way == "unsigned":
        one["by"] = ""
    elif way == "old":
        one["on"] = AS_OF - timedelta(days=90)
    elif way == "not said":  # of what is not raised: what lifts a "yes" lifts this too
        asked = (answer for answer in typed["answers"] if answer["question"] in always)
        one = one if one["reply"] == "no" else next(answer for answer in asked if answer["reply"] == "no")
        one["reply"] = "prefer not to say"
    elif way == "left out":
        typed["answers"].remove(one)
    elif way == "another":
        one["by"] = "Somebody Else"
    elif way == "ahead":
        one["on"] = AS_OF + timedelta(days=1)
    elif way == "unknown medicine":
        entry = {"name": draw.choice(UNKNOWN_MEDICINES), "by": typed["athlete"], "on": AS_OF}
        typed["medicines"].append(entry)
    elif way == "born":
        typed["born"] = date(1950, 1, 1)
    return way
