"""Changes every animal, and then fails when it is told to."""

import os

from django.db import migrations


def rename(apps, schema_editor):
    apps.get_model("animals", "Animal").objects.update(call_name="Renamed")
    if os.environ.get("FAIL"):
        raise RuntimeError("the records are not as this version thinks")


class Migration(migrations.Migration):
    dependencies = [("animals", "0001_animals_and_parents")]
    operations = [migrations.RunPython(rename)]
