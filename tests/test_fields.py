"""Every field of every record can be typed, comes in, goes out, or says here why it does not."""

import inspect
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import pytest
from django.apps import apps
from django.db import models
from django.forms import BaseForm
from django.test.utils import isolate_apps

from breeding.records.meanings import BY_KEY
from tests.forms import form_classes, is_of_the_house

BY_PROGRAM = "set by the program"
BY_ROLE = "follows from the role"
BY_ACT = "written by the act"
BY_CHANCE = "drawn by chance"
OF_THE_PAGE = "the page is about it"
SIGNED_IN = "whoever is signed in"
FROM_THE_FILE = "data, from fixtures/species.json"
FROM_THE_PICTURE = "from the picture"
FROZEN = "kept as it was issued"
ACCEPTED = "a row of the season's plan, accepted as it stands"
NO_COLUMN = "no column of the table of animals means it"
NO_IMPORT = "no table of these comes in"
NO_EXPORT = "no table of these goes out"
OF_THE_ROW = "the row is about it"
OF_A_PERSON = "each person's own, who signs in and chooses"
SECRET = "opens something to whoever has it"
TOLD = "what was told, and when"
RECKONED = "reckoned, and reckoned anew at any time"
NOT_USED = "Django's own; nothing here reads it"

# ---------------------------------------------------------------------------------- the forms

# Forms that are made from no model, and whose record they write. A form of a model finds itself.
FORM_OF = {
    "agenda.AnswerForm": "agenda.Answer",
    "agenda.DigestForm": "agenda.DigestChoice",
    "animals.FiguresForm": "animals.ProfileFigure",
    "animals.StateForm": "animals.Animal",
    "buyers.ComeBackForm": "buyers.HandOver",
    "buyers.HandOverForm": "buyers.HandOver",
    "buyers.ReservationForm": "buyers.Reservation",
    "buyers.WishForm": "buyers.Wish",
    "housing.RangeForm": "housing.WaterRange",
    "housing.StayForm": "housing.Stay",
    "housing.WaterTestForm": "housing.WaterTest",
    "litters.BirthForm": "litters.Litter",
    "litters.PupForm": "litters.Pup",
    "litters.RestForm": "pairings.Rest",
    "offers.SalesForm": "offers.SalesPage",
    "offers.SalesLinkForm": "offers.SalesLink",
    "pairings.NurseryForm": "pairings.NurseryTick",
    "pairings.OutcomeForm": "pairings.Outcome",
    "pairings.PairingForm": "pairings.Pairing",
    "pairings.ScanForm": "pairings.Scan",
    "pairings.SeparateForm": "pairings.Pairing",
    "pairings.SightingForm": "pairings.Sighting",
    "pairings.SignKindForm": "pairings.SignKind",
    "planning.LookAheadForm": "planning.LookAhead",
    "program.PersonChangeForm": "program.Person",
    "program.PersonForm": "program.Person",
    "program.WithdrawForm": "program.Withdrawable",
    "sheets.LinkForm": "sheets.SheetLink",
    "sheets.SharingForm": "sheets.Sharing",
    "sheets.SheetForm": "sheets.Sheet",
}
# Fields that are typed under another name, or in a form that is of another record too.
TYPED_AS = {
    "animals.Animal.born_on": "animals.AnimalForm.born",
    "animals.Animal.born_precision": "animals.AnimalForm.born",
    "animals.Animal.portrait": "animals.PhotographForm.as_portrait",
    "animals.Photograph.picture": "animals.PhotographForm.file",
    "animals.PossibleSire.share": "animals.AnimalForm.possible_share_1",
    "animals.PossibleSire.sire": "animals.AnimalForm.possible_sire_1",
    "animals.SpeciesShare.share": "animals.AnimalForm.species_share_1",
    "animals.SpeciesShare.species": "animals.AnimalForm.species_1",
    "animals.ProfileFigure.certainty": "animals.FiguresForm.gestation_mean_days_certainty",
    "animals.ProfileFigure.source": "animals.FiguresForm.gestation_mean_days_source",
    "animals.ProfileFigure.value": "animals.FiguresForm.gestation_mean_days_value",
    "agenda.DigestChoice.left_out": "agenda.DigestForm.groups",
    "buyers.HandOver.came_back_because": "buyers.ComeBackForm.because",
    "buyers.HandOver.came_back_on": "buyers.ComeBackForm.on",
    "housing.Stay.side": "housing.StayForm.place",
    "housing.Stay.tank": "housing.StayForm.place",
    "housing.WaterSystem.name": "housing.TankForm.new_system",
    "litters.Litter.outcome": "litters.BirthForm.premature",
    "litters.Pup.alive": "litters.PupForm.fate",
    "pairings.NurseryTick.item": "pairings.NurseryForm.tick",
    "pairings.Pairing.moved_to": "pairings.SeparateForm.tank",
    "pairings.Pairing.separation_note": "pairings.SeparateForm.note",
    "program.Person.email": "agenda.DigestForm.email",
    "program.Person.first_name": "program.PersonForm.called",
    "records.ImportDraft.file_name": "records.TableForm.file",
    "records.ImportDraft.text": "records.TableForm.pasted",
    "sheets.SheetWithdrawal.reason": "program.WithdrawForm.reason",
    "program.Withdrawable.withdrawn_reason": "program.WithdrawForm.reason",
}
NOT_TYPED = {
    "agenda.DigestChoice.begins_on": BY_PROGRAM,
    "agenda.DigestChoice.person": SIGNED_IN,
    "agenda.DigestChoice.server_address": "the address under which the page was open",
    "agenda.Feed": "opened, renewed and closed by buttons",
    "agenda.FeedEvent": "what calendars were told",
    "agenda.Mailing": "what was mailed",
    "animals.Animal.code": "given by the program, or by a table that comes in",
    "animals.Measurement.animal": OF_THE_PAGE,
    "animals.Photograph.animal": OF_THE_PAGE,
    "animals.Photograph.height_px": FROM_THE_PICTURE,
    "animals.Photograph.thumbnail": FROM_THE_PICTURE,
    "animals.Photograph.width_px": FROM_THE_PICTURE,
    "animals.PossibleSire.animal": OF_THE_PAGE,
    "animals.Profile": FROM_THE_FILE,
    "animals.ProfileFigure.name": FROM_THE_FILE,
    "animals.ProfileFigure.profile": OF_THE_PAGE,
    "animals.Revision": BY_PROGRAM,
    "animals.Species": FROM_THE_FILE,
    "animals.SpeciesShare.animal": OF_THE_PAGE,
    "animals.Strain": "comes in with a table of animals",
    "buyers.HandOver.animal": OF_THE_PAGE,
    "buyers.HandOver.reservation": "the open one of this buyer",
    "buyers.Reservation.animal": OF_THE_PAGE,
    "buyers.Reservation.fulfilled_on": "the day of the hand-over",
    "buyers.Reservation.reserved_on": "today",
    "buyers.Wish.contact": OF_THE_PAGE,
    "housing.Stay.animal": OF_THE_PAGE,
    "housing.WaterRange.least": "each quantity has fields of its own",
    "housing.WaterRange.most": "each quantity has fields of its own",
    "housing.WaterRange.source": "nobody can say it yet; pages call it this program's own choice",
    "housing.WaterRange.what": "each quantity has fields of its own",
    "housing.WaterSystem.note": "a system is named with its tank, and has no page",
    "housing.WaterTest.tank": OF_THE_PAGE,
    "litters.Litter.code": "given by the program",
    "litters.Pup.animal": BY_ACT,
    "litters.Pup.litter": OF_THE_PAGE,
    "litters.Pup.number": "counted on",
    "offers.SalesLink.page": OF_THE_PAGE,
    "offers.SalesPage.litter": OF_THE_PAGE,
    "origin.OriginPaper.animal": OF_THE_PAGE,
    "origin.OriginPaper.document_sha256": "from the document",
    "origin.OriginPaper.document_type": "from the document",
    "pairings.NurseryTick.female": OF_THE_PAGE,
    "pairings.NurseryTick.on": "today",
    "pairings.NurseryTick.outcome": "the birth after which males were kept away",
    "pairings.Outcome.female": OF_THE_PAGE,
    "pairings.Pairing.inbreeding_expected": "reckoned on the day",
    "pairings.Pairing.reason": "asked for beside the form, from the program's threshold on",
    "pairings.Rest.outcome": OF_THE_PAGE,
    "pairings.Scan.female": OF_THE_PAGE,
    "pairings.SignKind.asks_severity": FROM_THE_FILE,
    "pairings.SignKind.explanation": FROM_THE_FILE,
    "pairings.SignKind.is_off_food": FROM_THE_FILE,
    "pairings.SignKind.key": FROM_THE_FILE,
    "pairings.SignKind.label": FROM_THE_FILE,
    "pairings.SignKind.position": FROM_THE_FILE,
    "planning.LookAhead.assumptions": "the form's figures, each with where it is from",
    "planning.LookAhead.done": BY_PROGRAM,
    "planning.LookAhead.first_year": BY_PROGRAM,
    "planning.LookAhead.heard_of_at": BY_PROGRAM,
    "planning.LookAhead.in_all": BY_PROGRAM,
    "planning.LookAhead.result": BY_PROGRAM,
    "planning.LookAhead.state": BY_PROGRAM,
    "planning.LookAhead.stop_wished": "a button",
    "planning.LookAhead.trouble": BY_PROGRAM,
    "planning.PlannedPairing.female": ACCEPTED,
    "planning.PlannedPairing.inbreeding_expected": ACCEPTED,
    "planning.PlannedPairing.male": ACCEPTED,
    "planning.PlannedPairing.not_before": ACCEPTED,
    "planning.PlannedPairing.note": ACCEPTED,
    "planning.PlannedPairing.tank": ACCEPTED,
    "program.Person.date_joined": BY_PROGRAM,
    "program.Person.groups": NOT_USED,
    "program.Person.is_staff": BY_ROLE,
    "program.Person.is_superuser": NOT_USED,
    "program.Person.last_login": BY_PROGRAM,
    "program.Person.last_name": NOT_USED,
    "program.Person.user_permissions": NOT_USED,
    "program.Program.is_demo": "set by load_demo",
    "program.Recorded.recorded_at": BY_PROGRAM,
    "program.Recorded.recorded_by": SIGNED_IN,
    "program.ShownColumns": "ticked in the head of each list",
    "program.SignInLink": "made by start and make_link",
    "program.Withdrawable.withdrawn_at": BY_PROGRAM,
    "program.Withdrawable.withdrawn_by": SIGNED_IN,
    "records.ImportDraft.animals": "what the table became",
    "records.ImportDraft.columns": "one field for each column of the table",
    "records.ImportDraft.written_at": BY_PROGRAM,
    "sheets.Link.closed_at": "a button",
    "sheets.Link.token": BY_CHANCE,
    "sheets.Link.token_hash": BY_CHANCE,
    "sheets.Sheet.animal": OF_THE_PAGE,
    "sheets.Sheet.corrects": "the sheet from whose page it is issued",
    "sheets.Sheet.facts": FROZEN,
    "sheets.Sheet.file": FROZEN,
    "sheets.Sheet.file_frame_sha256": FROZEN,
    "sheets.Sheet.issued_at": BY_PROGRAM,
    "sheets.Sheet.issued_by": SIGNED_IN,
    "sheets.Sheet.issued_on": "today",
    "sheets.Sheet.number": BY_PROGRAM,
    "sheets.Sheet.public_key": FROZEN,
    "sheets.Sheet.signature": FROZEN,
    "sheets.Sheet.tree_svg": FROZEN,
    "sheets.SheetLink.sheet": OF_THE_PAGE,
    "sheets.SheetPicture": FROZEN,
    "sheets.SheetWithdrawal.sheet": OF_THE_PAGE,
    "sheets.SheetWithdrawal.withdrawn_on": "today",
}

# --------------------------------------------------------------------------------- the import

# Columns whose meaning has another name than the field.
IMPORTED_AS = {
    "animals.Animal.born_on": "born",
    "animals.Animal.born_precision": "born",
    "animals.Measurement.disc_width_mm": "disc_width",
    "animals.Measurement.weight_g": "weight",
    "animals.Measurement.on": "measured_on",
    "animals.PossibleSire.sire": "sire",
    "animals.PossibleSire.share": "sire",
    "animals.SpeciesShare.species": "species",
    "animals.SpeciesShare.share": "species",
    "animals.Strain.name": "strain",
}
NOT_IMPORTED = {
    "agenda.Answer": "an answer to a line of the day, which no other record knows",
    "agenda.DigestChoice": OF_A_PERSON,
    "agenda.Feed": SECRET,
    "agenda.FeedEvent": TOLD,
    "agenda.Mailing": TOLD,
    "animals.Animal.portrait": "pictures come in one by one",
    "animals.Measurement.condition": NO_COLUMN,
    "animals.Measurement.girth_mm": NO_COLUMN,
    "animals.Measurement.note": NO_COLUMN,
    "animals.Measurement.animal": OF_THE_ROW,
    "animals.PossibleSire.animal": OF_THE_ROW,
    "animals.SpeciesShare.animal": OF_THE_ROW,
    "animals.Photograph": "pictures come in one by one",
    "animals.Profile": FROM_THE_FILE,
    "animals.ProfileFigure": FROM_THE_FILE,
    "animals.Revision": BY_PROGRAM,
    "animals.Species": FROM_THE_FILE,
    "animals.Strain.description": NO_COLUMN,
    "animals.Strain.species": NO_COLUMN,
    "buyers.Contact": NO_IMPORT,
    "buyers.HandOver": NO_IMPORT,
    "buyers.Reservation": NO_IMPORT,
    "buyers.Wish": NO_IMPORT,
    "housing.Stay": NO_IMPORT,
    "housing.Tank": NO_IMPORT,
    "housing.WaterRange": "a setting of the program",
    "housing.WaterSystem": NO_IMPORT,
    "housing.WaterTest": NO_IMPORT,
    "litters.Litter": NO_IMPORT,
    "litters.Pup": NO_IMPORT,
    "offers.SalesLink": SECRET,
    "offers.SalesPage": "drawn up of what is here",
    "origin.OriginPaper": "papers come in one by one, with their documents",
    "pairings.NurseryTick": NO_IMPORT,
    "pairings.Outcome": NO_IMPORT,
    "pairings.Pairing": NO_IMPORT,
    "pairings.Rest": NO_IMPORT,
    "pairings.Scan": NO_IMPORT,
    "pairings.Sighting": NO_IMPORT,
    "pairings.SignKind": FROM_THE_FILE,
    "planning.LookAhead": RECKONED,
    "planning.PlannedPairing": "accepted from a plan of this program",
    "program.Person": OF_A_PERSON,
    "program.Program": "a setting of the program",
    "program.Recorded.recorded_at": BY_PROGRAM,
    "program.Recorded.recorded_by": "whoever brings the table in",
    "program.ShownColumns": OF_A_PERSON,
    "program.SignInLink": SECRET,
    "records.ImportDraft": "the table itself",
    "sheets.Sharing": "a setting of the program",
    "sheets.Sheet": FROZEN,
    "sheets.SheetLink": SECRET,
    "sheets.SheetPicture": FROZEN,
    "sheets.SheetWithdrawal": FROZEN,
}

# --------------------------------------------------------------------------------- the export

# The fields that an export writes; when there is one, it says so itself.
EXPORTED: frozenset[str] = frozenset()
NOT_EXPORTED = {
    "agenda.Answer": "an answer to a line of the day, which no other program asks",
    "agenda.DigestChoice": OF_A_PERSON,
    "agenda.Feed": SECRET,
    "agenda.FeedEvent": TOLD,
    "agenda.Mailing": TOLD,
    "animals.Animal": NO_EXPORT,
    "animals.Measurement": NO_EXPORT,
    "animals.Photograph": NO_EXPORT,
    "animals.PossibleSire": NO_EXPORT,
    "animals.Profile": NO_EXPORT,
    "animals.ProfileFigure": NO_EXPORT,
    "animals.Revision": BY_PROGRAM,
    "animals.Species": NO_EXPORT,
    "animals.SpeciesShare": NO_EXPORT,
    "animals.Strain": NO_EXPORT,
    "buyers.Contact": NO_EXPORT,
    "buyers.HandOver": NO_EXPORT,
    "buyers.Reservation": NO_EXPORT,
    "buyers.Wish": NO_EXPORT,
    "housing.Stay": NO_EXPORT,
    "housing.Tank": NO_EXPORT,
    "housing.WaterRange": NO_EXPORT,
    "housing.WaterSystem": NO_EXPORT,
    "housing.WaterTest": NO_EXPORT,
    "litters.Litter": NO_EXPORT,
    "litters.Pup": NO_EXPORT,
    "offers.SalesLink": SECRET,
    "offers.SalesPage": NO_EXPORT,
    "origin.OriginPaper": NO_EXPORT,
    "pairings.NurseryTick": NO_EXPORT,
    "pairings.Outcome": NO_EXPORT,
    "pairings.Pairing": NO_EXPORT,
    "pairings.Rest": NO_EXPORT,
    "pairings.Scan": NO_EXPORT,
    "pairings.Sighting": NO_EXPORT,
    "pairings.SignKind": NO_EXPORT,
    "planning.LookAhead": RECKONED,
    "planning.PlannedPairing": NO_EXPORT,
    "program.Person": OF_A_PERSON,
    "program.Program": NO_EXPORT,
    "program.ShownColumns": OF_A_PERSON,
    "program.SignInLink": SECRET,
    "records.ImportDraft": "the table itself",
    "sheets.Sharing": NO_EXPORT,
    "sheets.Sheet": NO_EXPORT,
    "sheets.SheetLink": SECRET,
    "sheets.SheetPicture": NO_EXPORT,
    "sheets.SheetWithdrawal": NO_EXPORT,
}


@dataclass(frozen=True)
class Door:
    """A way of fields in or out: which it takes, and why it leaves out the others.

    A reason stands at a field (room.Model.field), at a field of the base of several records, or
    at a record none of whose fields goes this way (room.Model).
    """

    called: str
    takes: frozenset[str]
    reasons: Mapping[str, str]

    def complaints(self, fields: Mapping[str, str]) -> list[str]:
        """What is wrong, for the fields that there are, each with the name its base gives it."""
        return sorted([*self._unsaid(fields), *self._stale(fields)])

    def _unsaid(self, fields: Mapping[str, str]) -> Iterator[str]:
        for name, base in fields.items():
            said = {name, base, record_of(name)} & self.reasons.keys()
            if not said and not {name, base} & self.takes:
                yield f"{name}: not in {self.called}, and no reason why"

    def _stale(self, fields: Mapping[str, str]) -> Iterator[str]:
        taken = {name for name, base in fields.items() if {name, base} & self.takes}
        covered = taken | {record_of(name) for name in taken} | {fields[name] for name in taken}
        there = {*fields, *fields.values(), *map(record_of, fields)}
        for name, reason in self.reasons.items():
            if not reason.strip():
                yield f"{name}: an empty reason"
            elif name not in there:
                yield f"{name}: a reason for what is no more there"
            elif name in covered:
                yield f"{name}: in {self.called}, so that its reason is out of date"
            elif name in fields and record_of(name) in self.reasons:
                yield f"{name}: a reason that its record has given already"


def record_of(name: str) -> str:
    return name.rpartition(".")[0]


def rooms_models() -> list[type[models.Model]]:
    rooms = [room for room in apps.get_app_configs() if room.name.startswith("breeding.")]
    return [model for room in rooms for model in room.get_models()]


def fields_of(found: Iterable[type[models.Model]]) -> dict[str, str]:
    """Room.Model.field of every stored field, with the name that an abstract base gives it."""
    return {
        f"{model._meta.label}.{field.name}": f"{base_of(model, field.name)}.{field.name}"
        for model in found
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if not field.auto_created
    }


def base_of(model: type[models.Model], name: str) -> str:
    """The abstract model of the house that a field comes from, or the model itself."""
    holding = [
        one
        for one in model.__mro__
        if is_of_the_house(one) and name in {field.name for field in one._meta.local_fields}
    ]
    return str((holding or [model])[-1]._meta.label)


def typed() -> frozenset[str]:
    """The fields that some form of the house has, under their own name or that of the table."""
    forms = {f"{room_of(kind)}.{kind.__name__}": kind for kind in form_classes()}
    found = set(TYPED_AS)
    for called, kind in forms.items():
        options = getattr(kind, "_meta", None)
        record = options.model._meta.label if options else FORM_OF.get(called)
        of_it = {name for names in FIELDS.items() for name in names if record_of(name) == record}
        found |= {name for name in of_it if has_field(kind, name.rpartition(".")[2])}
    for name, where in TYPED_AS.items():
        called, _, field = where.rpartition(".")
        assert has_field(forms[called], field), f"{name}: there is no {where}"
    return frozenset(found)


def has_field(kind: type[BaseForm], name: str) -> bool:
    """Whether a form declares the field, or makes it as it is built (`self.fields[...] = `)."""
    if name in kind.base_fields:
        return True
    written = "".join(inspect.getsource(one) for one in kind.__mro__ if is_of_the_house(one))
    literal = re.findall(r'self\.fields\["(\w+)"\] = ', written)
    patterns = [
        re.sub(r"\{[^}]*\}", r"\\w+", made)
        for made in re.findall(r'self\.fields\[f"([^"]+)"\] = ', written)
        if re.search(r"[a-z]{2}", re.sub(r"\{[^}]*\}", "", made))
    ]
    return name in literal or any(re.fullmatch(one, name) for one in patterns)


def room_of(kind: type) -> str:
    return kind.__module__.split(".")[1]


def imported() -> frozenset[str]:
    """The fields of animals and of what is written with them that a column can mean."""
    for name, meaning in IMPORTED_AS.items():
        assert meaning in BY_KEY, f"{name}: no column means {meaning}"
    alike = {f"animals.Animal.{meaning}" for meaning in BY_KEY} & FIELDS.keys()
    return frozenset(alike | set(IMPORTED_AS))


FIELDS = fields_of(rooms_models())
DOORS = {
    "a form": Door("any form", typed(), NOT_TYPED),
    "the import": Door("the meanings of a column", imported(), NOT_IMPORTED),
    "the export": Door("the export", EXPORTED, NOT_EXPORTED),
}


@pytest.mark.parametrize("door", DOORS.values(), ids=DOORS)
def test_every_field_goes_through_the_door_or_says_why_not(door):
    assert door.complaints(FIELDS) == []


def test_what_the_tables_name_is_there():
    there = {*FIELDS, *FIELDS.values()}
    assert set(TYPED_AS) <= there
    assert set(IMPORTED_AS) <= there
    assert set(FORM_OF.values()) <= {record_of(name) for name in there}
    assert set(FORM_OF) <= {f"{room_of(kind)}.{kind.__name__}" for kind in form_classes()}


@isolate_apps("breeding.animals")
def a_new_field() -> dict[str, str]:
    """The fields of animals once somebody has added one to the model, and to nothing else."""

    class Animal(models.Model):
        scale_note = models.CharField(max_length=200, blank=True)

        class Meta:
            app_label = "animals"

        def __str__(self) -> str:
            return self.scale_note

    return FIELDS | fields_of([Animal])


@pytest.mark.parametrize("door", ["a form", "the import"])
def test_a_new_field_of_a_model_and_nothing_else_is_found(door):
    door = DOORS[door]
    why = f"not in {door.called}, and no reason why"
    assert door.complaints(a_new_field()) == [f"animals.Animal.scale_note: {why}"]


def test_a_field_of_a_new_record_is_found_at_every_door():
    fields = FIELDS | {"animals.Scale.note": "animals.Scale.note"}
    for door in DOORS.values():
        assert [one.partition(":")[0] for one in door.complaints(fields)] == ["animals.Scale.note"]


def test_a_reason_must_give_a_reason():
    door = replace(DOORS["a form"], reasons=NOT_TYPED | {"animals.Animal.code": " "})
    assert door.complaints(FIELDS) == ["animals.Animal.code: an empty reason"]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("animals.Animal.scale_note", "a reason for what is no more there"),
        ("animals.Scale", "a reason for what is no more there"),
        ("animals.Animal.markings", "in any form, so that its reason is out of date"),
        ("animals.Animal", "in any form, so that its reason is out of date"),
        ("animals.Species.key", "a reason that its record has given already"),
    ],
)
def test_a_reason_that_is_out_of_date_is_found(name, why):
    door = replace(DOORS["a form"], reasons=NOT_TYPED | {name: "because"})
    assert f"{name}: {why}" in door.complaints(FIELDS)


def test_the_first_field_that_an_export_writes_ends_the_reason_of_its_record():
    door = replace(DOORS["the export"], takes=frozenset({"housing.Tank.name"}))
    found = door.complaints(FIELDS)
    assert "housing.Tank: in the export, so that its reason is out of date" in found
