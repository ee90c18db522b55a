"""Forms that arrived and could not be written, kept for who typed them."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("program", "0003_act"),
    ]

    operations = [
        migrations.CreateModel(
            name="KeptForm",
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
                (
                    "address",
                    models.CharField(help_text="Where the form was sent to.", max_length=2000),
                ),
                (
                    "fields",
                    models.JSONField(default=list, help_text="Names and values, in their order."),
                ),
                (
                    "files",
                    models.JSONField(
                        default=list, help_text="Field, name, kind and place of each."
                    ),
                ),
                ("kept_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="kept_forms",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-kept_at", "-pk"],
            },
        ),
    ]
