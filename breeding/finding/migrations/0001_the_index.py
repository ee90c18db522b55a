"""The index of what can be found."""

from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Built",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("signature", models.CharField(max_length=64)),
                (
                    "engine",
                    models.CharField(
                        choices=[
                            ("fts5", "SQLite's full text, by three letters"),
                            ("trigram", "PostgreSQL's index by three letters"),
                            ("plain", "no index by three letters: every text is looked through"),
                        ],
                        max_length=10,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Entry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=30)),
                ("record", models.BigIntegerField()),
                ("part", models.CharField(help_text="The column it stands in.", max_length=30)),
                ("name", models.TextField()),
                ("words", models.TextField()),
                ("compact", models.TextField()),
                ("is_withdrawn", models.BooleanField(help_text="Its record is.")),
            ],
            options={
                "verbose_name_plural": "entries",
                "indexes": [
                    models.Index(fields=["kind", "record"], name="entry_of_record"),
                    models.Index(
                        fields=["compact"], name="entry_compact", opclasses=["text_pattern_ops"]
                    ),
                ],
            },
        ),
    ]
