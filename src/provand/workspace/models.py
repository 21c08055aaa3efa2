"""What the ledger keeps. Rows are added and never changed: a correction is another row.

A snapshot is text with its format, as it was, never JSON that a database may write anew; a column beside it
for searching is a copy. Each row belongs to one audit row, which says who did what and when.
"""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class Audit(models.Model):
    """One act: who, when, what. Its sentence names no answer about health."""

    key = models.CharField(max_length=32, unique=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=200)
    what = models.CharField(max_length=40)
    says = models.TextField()
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
