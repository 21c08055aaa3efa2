"""What the ledger keeps. Rows are added and never changed: a correction is another row.

Two kinds of row do change: who may sign in (`User`), and the file that is being typed (`Desk`), each of whose
changes has its audit row with what stood before and after.

A snapshot is text with its format, as it was, never JSON that a database may write anew; a column beside it
for searching is a copy. Each row belongs to one audit row, which says who did what and when.
"""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q


class Audit(models.Model):
    """One act: who, when, what, and what it changed. It names no answer about health."""

    key = models.CharField(max_length=32, unique=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=200)
    what = models.CharField(max_length=40)
    says = models.TextField()
    before = models.TextField(default="")
    after = models.TextField(default="")
    program = models.CharField(max_length=40)


class Kept(models.Model):
    """A row that is added by one act, and stays as it is."""

    audit = models.ForeignKey(Audit, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class Athlete(Kept):
    """A person who is planned for, told from others by name and birth date."""

    name = models.CharField(max_length=200)
    name_key = models.CharField(max_length=200)
    born = models.DateField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["name_key", "born"], condition=Q(born__isnull=False), name="one_athlete"
            ),
            models.UniqueConstraint(
                fields=["name_key"], condition=Q(born__isnull=True), name="one_athlete_without_birth_date"
            ),
        )


class Race(Kept):
    """A race of one athlete, by name and year, as the names of its calendar events tell it from others."""

    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="races")
    name = models.CharField(max_length=200)
    name_key = models.CharField(max_length=200)
    year = models.PositiveSmallIntegerField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["athlete", "name_key", "year"], name="one_race"),)


class CaseVersion(Kept):
    """A case as it was: its canonical text, and the file as typed.

    `after` is the version that it was made from; `restores` the one that an undo put back.
    """

    race = models.ForeignKey(Race, on_delete=models.PROTECT, related_name="cases")
    n = models.PositiveIntegerField()
    format = models.CharField(max_length=40)
    text = models.TextField()
    typed = models.TextField()
    typed_digest = models.CharField(max_length=64, db_index=True)
    code = models.CharField(max_length=9, db_index=True)
    race_day = models.DateField()
    sentence = models.TextField()
    after = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="+")
    restores = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["race", "n"], name="one_case_of_a_number"),
            models.CheckConstraint(
                condition=Q(after__isnull=True) | Q(restores__isnull=True), name="made_or_put_back"
            ),
        )


class HealthEntry(Kept):
    """One entry of a health file as it was. It stands apart: nothing of it enters any other table."""

    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="health")
    kind = models.CharField(max_length=40)
    format = models.CharField(max_length=40)
    text = models.TextField()
    digest = models.CharField(max_length=64)
    by = models.CharField(max_length=200)
    on = models.DateField(null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["athlete", "digest"], name="one_entry"),)


class PlanText(Kept):
    """The bytes of a plan under its code: a code stands for one text alone."""

    code = models.CharField(max_length=9, unique=True)
    format = models.CharField(max_length=40)
    text = models.TextField()


class Issue(Kept):
    """A plan as issued. Each follows the one before, so a race has one last issue: the one that counts."""

    race = models.ForeignKey(Race, on_delete=models.PROTECT, related_name="issues")
    n = models.PositiveIntegerField()
    plan = models.ForeignKey(PlanText, on_delete=models.PROTECT, related_name="issues")
    case = models.ForeignKey(CaseVersion, on_delete=models.PROTECT, related_name="issues")
    screening = models.TextField()
    as_of = models.DateField()
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="superseded_by"
    )
    difference = models.TextField()
    for_holders = models.TextField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["race", "n"], name="one_issue_of_a_number"),
            models.CheckConstraint(
                condition=Q(n=1, supersedes__isnull=True) | Q(n__gt=1, supersedes__isnull=False),
                name="each_follows_the_one_before",
            ),
        )


class Handout(Kept):
    """A file that people hold, to the byte; `issue` is empty for a safety page without a plan."""

    race = models.ForeignKey(Race, on_delete=models.PROTECT, related_name="handouts")
    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, null=True, related_name="handouts")
    piece = models.CharField(max_length=40)
    name = models.CharField(max_length=100)
    media_type = models.CharField(max_length=100)
    data = models.BinaryField()
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["issue", "name"], condition=Q(issue__isnull=False), name="one_file_of_a_name"
            ),
        )


class Holder(Kept):
    """A person to whom pieces were given, in a role as typed."""

    race = models.ForeignKey(Race, on_delete=models.PROTECT, related_name="holders")
    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, null=True, related_name="holders")
    person = models.CharField(max_length=200)
    person_key = models.CharField(max_length=200, db_index=True)
    role = models.CharField(max_length=100)
    pieces = models.ManyToManyField(Handout, related_name="holders")


class Withdrawal(Kept):
    """An issue that no longer counts, with the reason."""

    issue = models.OneToOneField(Issue, on_delete=models.PROTECT, related_name="withdrawal")
    why = models.TextField()


class People(BaseUserManager["User"]):
    """Finds who signs in by name."""

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(name_key=" ".join((username or "").split()).casefold())


class User(AbstractBaseUser):
    """Somebody who may sign in. An assistant sees no health answer and releases nothing."""

    ROLES = (("practitioner", "practitioner"), ("assistant", "assistant"))

    name = models.CharField(max_length=120)
    name_key = models.CharField(max_length=120, unique=True)
    role = models.CharField(max_length=20, choices=ROLES)
    is_active = models.BooleanField(default=True)

    objects = People()
    USERNAME_FIELD = "name_key"

    @property
    def is_practitioner(self) -> bool:
        return self.role == "practitioner"


class Practice(Kept):
    """What the practice is called, how it is reached, what stands on its paper; the last row counts."""

    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120, blank=True)
    letterhead = models.CharField(max_length=400, blank=True)
    colour = models.CharField(max_length=7, blank=True)
    says = models.CharField(max_length=300, blank=True)

    @property
    def head(self) -> dict[str, Any]:
        """What a race file says of the practice beside who makes the plan; nothing that is empty."""
        told: dict[str, Any] = {"contact": self.contact}
        lines = [line.strip() for line in self.letterhead.splitlines() if line.strip()]
        return told | {
            key: value
            for key, value in (("letterhead", lines), ("colour", self.colour), ("says", self.says))
            if value
        }


class Approval(Kept):
    """A native speaker's word for one text of a language, or that it is taken back; the last row counts.

    `digest` is that of the catalogue which was read: another text is another language to nobody's word.
    """

    tag = models.CharField(max_length=10)
    digest = models.CharField(max_length=64)
    speaker = models.CharField(max_length=200)
    on = models.DateField()
    stands = models.BooleanField(default=True)


class Share(Kept):
    """Who may see an athlete: the last row of an athlete and a person counts."""

    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="shares")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="shares")
    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in ("own", "shared", "ended")])


class Desk(models.Model):
    """A race file as it is being typed, sound or not. `revision` counts its changes, so that none is lost.

    `race` is the race that it was last read as; `standing` the version of the case that the page shows, which
    undo and redo move along. `line` is a copy for the day's list, `line_key` what it rests on,
    and `line_calls` whether it is due, due for a practitioner, or held.
    """

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="desks")
    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, null=True, related_name="desks")
    race = models.ForeignKey(Race, on_delete=models.PROTECT, null=True, related_name="desks")
    standing = models.ForeignKey(CaseVersion, on_delete=models.PROTECT, null=True, related_name="+")
    typed = models.TextField()
    revision = models.PositiveIntegerField(default=0)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, related_name="+")
    changed_at = models.DateTimeField(null=True)
    title = models.CharField(max_length=200, default="")
    title_key = models.CharField(max_length=200, default="", db_index=True)
    race_day = models.DateField(null=True, db_index=True)
    put_away = models.BooleanField(default=False)
    line = models.TextField(default="")
    line_private = models.TextField(default="")
    line_key = models.CharField(max_length=120, default="")
    line_calls = models.CharField(max_length=20, default="")


class DeskFile(Kept):
    """A file that a race file names, such as its course; the last one of a name counts."""

    desk = models.ForeignKey(Desk, on_delete=models.PROTECT, related_name="files")
    name = models.CharField(max_length=255)
    data = models.BinaryField()


class Note(Kept):
    """What was said or seen, on a day, by somebody; a correction is another note, and both stay.

    An incident stands in the way of the next issue until a note answers it.
    """

    KINDS = ("contact", "call", "incident", "answer")

    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="notes")
    race = models.ForeignKey(Race, on_delete=models.PROTECT, null=True, related_name="notes")
    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in KINDS])
    on = models.DateField()
    text = models.TextField()
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="corrected_by")
    answers = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="answered_by")


class Label(Kept):
    """An item of the practice's own shelf, as typed; the last row of an id counts."""

    item = models.CharField(max_length=40)
    typed = models.TextField()
    ended = models.BooleanField(default=False)


class Job(Kept):
    """Work on several race files that somebody asked for at once; what came of each is told by its ends."""

    KINDS = ("drafts", "issue", "menu", "solve")

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in KINDS])
    given = models.TextField(default="")


class JobPiece(Kept):
    """One race file of a job, in its place in the order."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="pieces")
    n = models.PositiveIntegerField()
    desk = models.ForeignKey(Desk, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["job", "n"], name="one_piece_of_a_number"),)


class JobMark(Kept):
    """A job was begun, stopped, or asked to go on; the last mark counts. `on` is the day it is judged by."""

    KINDS = ("begun", "stopped", "again")

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="marks")
    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in KINDS])
    on = models.DateField()


class JobEnd(Kept):
    """What came of a piece at one try: done, on hold, or failed and why. The last end of a piece counts.

    Why a screening holds is not told here: nothing of an answer about health enters another table.
    """

    KINDS = ("done", "held", "failed")

    piece = models.ForeignKey(JobPiece, on_delete=models.PROTECT, related_name="ends")
    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in KINDS])
    says = models.TextField(default="")
    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, null=True, related_name="+")
