from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("workspace", "0007_languages")]

    operations = [
        migrations.AlterField(
            model_name="job",
            name="kind",
            field=models.CharField(
                choices=[
                    ("drafts", "drafts"),
                    ("issue", "issue"),
                    ("menu", "menu"),
                    ("solve", "solve"),
                ],
                max_length=10,
            ),
        ),
    ]
