"""Reads `fixtures/species.json`: species, figures and signs are data with a source."""

import json
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.pairings.models import SignKind
from breeding.program.reference.fixture_files import fixture_path


def read_species_file() -> dict[str, Any]:
    """The file as it lies there."""
    content: dict[str, Any] = json.loads(fixture_path("species.json").read_text("utf-8"))
    return content


@transaction.atomic
def load_species() -> int:
    """Add what is missing and leave alone what a keeper may have edited. Returns rows added.

    A species that somebody withdrew, or wrote down before the file knew it, is not missing.
    """
    content = read_species_file()
    added = 0
    profiles: dict[str, Profile] = {profile.key: profile for profile in Profile.objects.all()}
    known = set(ProfileFigure.objects.values_list("profile__key", "name"))
    figures = []
    for row in content["profiles"]:
        key = row["key"]
        if key not in profiles:
            profiles[key] = Profile.objects.create(
                key=key,
                label=row["label"],
                for_hybrids=row.get("for_hybrids", False),
                for_unknown=row.get("for_unknown", False),
            )
            added += 1
        for name, figure in (content["for_every_profile"] | row["figures"]).items():
            if (key, name) not in known:
                figures.append(ProfileFigure(profile=profiles[key], name=name, **figure))
    ProfileFigure.objects.bulk_create(figures)
    there = set(Species.every.values_list("key", flat=True))  # one withdrawn stays withdrawn
    there |= _added_by_hand(content)
    species = [
        Species(**(content["for_every_species"] | row | {"profile": profiles[row["profile"]]}))
        for row in content["species"]
        if row["key"] not in there
    ]
    Species.objects.bulk_create(species)
    seen = set(SignKind.objects.values_list("key", flat=True))
    signs = [
        SignKind(position=position, **row)
        for position, row in enumerate(content["signs"])
        if row["key"] not in seen
    ]
    SignKind.objects.bulk_create(signs)
    added += len(figures) + len(species) + len(signs)
    if added:
        revisions.figures_changed()
    return added


def _added_by_hand(content: Mapping[str, Any]) -> set[str]:
    """The keys of the file whose species somebody has written down on screen before it came."""
    named = set(Species.objects.values_list("accepted_name", flat=True))
    return {row["key"] for row in content["species"] if row["accepted_name"] in named}


def labels_of_signs() -> list[str]:
    """What signs are called, as a picture of one keeps it."""
    return [str(row["label"]) for row in read_species_file()["signs"]]
