# Made by Django from models.py.

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Audit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=32, unique=True)),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=200)),
                ("what", models.CharField(max_length=40)),
                ("says", models.TextField()),
                ("program", models.CharField(max_length=40)),
            ],
        ),
        migrations.CreateModel(
            name="Athlete",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=200)),
                ("name_key", models.CharField(max_length=200)),
                ("born", models.DateField(null=True)),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="CaseVersion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("n", models.PositiveIntegerField()),
                ("format", models.CharField(max_length=40)),
                ("text", models.TextField()),
                ("typed", models.TextField()),
                ("typed_digest", models.CharField(db_index=True, max_length=64)),
                ("code", models.CharField(db_index=True, max_length=9)),
                ("race_day", models.DateField()),
                ("sentence", models.TextField()),
                (
                    "after",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workspace.caseversion",
                    ),
                ),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
                (
                    "restores",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workspace.caseversion",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="HealthEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=40)),
                ("format", models.CharField(max_length=40)),
                ("text", models.TextField()),
                ("digest", models.CharField(max_length=64)),
                ("by", models.CharField(max_length=200)),
                ("on", models.DateField(null=True)),
                (
                    "athlete",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="health",
                        to="workspace.athlete",
                    ),
                ),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Issue",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("n", models.PositiveIntegerField()),
                ("screening", models.TextField()),
                ("as_of", models.DateField()),
                ("difference", models.TextField()),
                ("for_holders", models.TextField()),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
                (
                    "case",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="issues",
                        to="workspace.caseversion",
                    ),
                ),
                (
                    "supersedes",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="superseded_by",
                        to="workspace.issue",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Handout",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("piece", models.CharField(max_length=40)),
                ("name", models.CharField(max_length=100)),
                ("media_type", models.CharField(max_length=100)),
                ("data", models.BinaryField()),
                ("digest", models.CharField(max_length=64)),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
                (
                    "issue",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="handouts",
                        to="workspace.issue",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PlanText",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=9, unique=True)),
                ("format", models.CharField(max_length=40)),
                ("text", models.TextField()),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="issue",
            name="plan",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="issues", to="workspace.plantext"
            ),
        ),
        migrations.CreateModel(
            name="Race",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=200)),
                ("name_key", models.CharField(max_length=200)),
                ("year", models.PositiveSmallIntegerField()),
                (
                    "athlete",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="races",
                        to="workspace.athlete",
                    ),
                ),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="issue",
            name="race",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="issues", to="workspace.race"
            ),
        ),
        migrations.CreateModel(
            name="Holder",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("person", models.CharField(max_length=200)),
                ("person_key", models.CharField(db_index=True, max_length=200)),
                ("role", models.CharField(max_length=100)),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
                ("pieces", models.ManyToManyField(related_name="holders", to="workspace.handout")),
                (
                    "issue",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holders",
                        to="workspace.issue",
                    ),
                ),
                (
                    "race",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holders",
                        to="workspace.race",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="handout",
            name="race",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="handouts", to="workspace.race"
            ),
        ),
        migrations.AddField(
            model_name="caseversion",
            name="race",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="cases", to="workspace.race"
            ),
        ),
        migrations.CreateModel(
            name="Withdrawal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("why", models.TextField()),
                (
                    "audit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="workspace.audit"
                    ),
                ),
                (
                    "issue",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="withdrawal",
                        to="workspace.issue",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddConstraint(
            model_name="athlete",
            constraint=models.UniqueConstraint(
                condition=models.Q(("born__isnull", False)), fields=("name_key", "born"), name="one_athlete"
            ),
        ),
        migrations.AddConstraint(
            model_name="athlete",
            constraint=models.UniqueConstraint(
                condition=models.Q(("born__isnull", True)),
                fields=("name_key",),
                name="one_athlete_without_birth_date",
            ),
        ),
        migrations.AddConstraint(
            model_name="healthentry",
            constraint=models.UniqueConstraint(fields=("athlete", "digest"), name="one_entry"),
        ),
        migrations.AddConstraint(
            model_name="race",
            constraint=models.UniqueConstraint(fields=("athlete", "name_key", "year"), name="one_race"),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.UniqueConstraint(fields=("race", "n"), name="one_issue_of_a_number"),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("n", 1), ("supersedes__isnull", True)),
                    models.Q(("n__gt", 1), ("supersedes__isnull", False)),
                    _connector="OR",
                ),
                name="each_follows_the_one_before",
            ),
        ),
        migrations.AddConstraint(
            model_name="handout",
            constraint=models.UniqueConstraint(
                condition=models.Q(("issue__isnull", False)),
                fields=("issue", "name"),
                name="one_file_of_a_name",
            ),
        ),
        migrations.AddConstraint(
            model_name="caseversion",
            constraint=models.UniqueConstraint(fields=("race", "n"), name="one_case_of_a_number"),
        ),
        migrations.AddConstraint(
            model_name="caseversion",
            constraint=models.CheckConstraint(
                condition=models.Q(("after__isnull", True), ("restores__isnull", True), _connector="OR"),
                name="made_or_put_back",
            ),
        ),
    ]
