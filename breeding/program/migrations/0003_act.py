"""What people write in one go, so that twice is once and it can be undone."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("program", "0002_shown_columns"),
    ]

    operations = [
        migrations.CreateModel(
            name="Act",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "key",
                    models.CharField(
                        help_text="The token of the form.", max_length=60, unique=True
                    ),
                ),
                ("at", models.DateTimeField(db_index=True)),
                (
                    "door",
                    models.CharField(
                        help_text="The address that the form was sent to.", max_length=300
                    ),
                ),
                ("said", models.CharField(blank=True, max_length=600)),
                (
                    "said_in",
                    models.JSONField(
                        blank=True,
                        default=dict,
                        help_text="The same by language; as `said` where it is not.",
                    ),
                ),
                ("leads_to", models.CharField(blank=True, max_length=300)),
                (
                    "change_at",
                    models.CharField(blank=True, help_text="Where it is changed.", max_length=300),
                ),
                ("is_undoable", models.BooleanField(default=False)),
                ("is_put_away", models.BooleanField(default=False)),
                (
                    "person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="acts",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "undoes",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="undone_by",
                        to="program.act",
                    ),
                ),
            ],
            options={
                "ordering": ["-pk"],
            },
        ),
    ]
