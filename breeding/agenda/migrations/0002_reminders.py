"""Calendar feeds, digests and what became of them."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("agenda", "0001_answers"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Feed",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("nonce", models.CharField(editable=False, max_length=43)),
                ("token_hash", models.CharField(editable=False, max_length=64, unique=True)),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "asked_at",
                    models.DateTimeField(help_text="When a calendar last asked for it.", null=True),
                ),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="feed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="FeedEvent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "series",
                    models.CharField(
                        help_text="Kind, and female and season or what else it is of.",
                        max_length=120,
                        unique=True,
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=uuid.uuid4,
                        editable=False,
                        help_text="By chance: two programs in one calendar never take each other's events.",
                        unique=True,
                    ),
                ),
                ("kind", models.CharField(max_length=40)),
                ("starts_on", models.DateField()),
                ("ends_on", models.DateField(help_text="The last day, counted.")),
                ("summary", models.CharField(max_length=300)),
                ("words", models.TextField()),
                ("path", models.CharField(blank=True, max_length=200)),
                ("sequence", models.PositiveIntegerField(default=0)),
                ("last_modified", models.DateTimeField()),
                ("cancelled_at", models.DateTimeField(db_index=True, null=True)),
            ],
            options={
                "ordering": ["starts_on", "series"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_on__gte", models.F("starts_on"))),
                        name="feed_event_ends_after_it_starts",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="DigestChoice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("is_on", models.BooleanField(default=False)),
                ("hour", models.PositiveSmallIntegerField(default=7)),
                ("left_out", models.JSONField(blank=True, default=list)),
                (
                    "begins_on",
                    models.DateField(help_text="The first day on which a digest may be sent."),
                ),
                (
                    "server_address",
                    models.CharField(
                        blank=True,
                        help_text="Where this person reaches the program, for links.",
                        max_length=200,
                    ),
                ),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="digest_choice",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("hour__lte", 23)), name="digest_hour_of_a_day"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Mailing",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField(help_text="The day in the program's time zone.")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting to be sent"),
                            ("claimed", "being made ready"),
                            ("handing_over", "being handed to the mail server"),
                            ("sent", "sent"),
                            ("nothing", "nothing new to tell"),
                            ("overtaken", "overtaken by a later one"),
                            ("unsure", "perhaps sent: the program stopped while handing it over"),
                        ],
                        default="waiting",
                        max_length=12,
                    ),
                ),
                ("message_id", models.CharField(max_length=200)),
                ("attempts", models.PositiveIntegerField(default=0)),
                ("next_try_at", models.DateTimeField()),
                ("claimed_at", models.DateTimeField(null=True)),
                ("sent_at", models.DateTimeField(null=True)),
                ("last_error", models.CharField(blank=True, max_length=300)),
                (
                    "told",
                    models.JSONField(
                        default=dict,
                        help_text="What it told: the key of each line, its urgency and its day.",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="mailings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-day", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("person", "day"), name="one_digest_a_person_and_day"
                    )
                ],
            },
        ),
    ]
