"""What a parentage sheet says, in words and numbers already decided, fit to be kept for ever."""

import json
import typing
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from datetime import date
from typing import Any

from breeding.program.reference.cautions import cautions
from breeding.words.kinds import RAYS, KindWords
from breeding.words.language import message, tell
from breeding.words.style import capital

NOT_RECORDED = message("not recorded")
EMERGENCY = message("Emergency")  # how the number of the emergency services is labelled
VERSION = 1
LATER_ROWS = ("Treatments", "Its water", "Spread", "Traits")
# Roles and sexes are kept as keys, whatever the language of the sheet: frames go by them.
ROLES = (message("sire"), message("dam"), message("possible sire"))
SEX_UNKNOWN = message("sex unknown")
SEXES = (message("male"), message("female"), SEX_UNKNOWN)


@dataclass(frozen=True)
class PersonOfTree:
    """A parent as the sheet shows it: known, unknown, or one of several that are possible."""

    role: str  # "sire", "dam", "possible sire"
    code: str = ""
    name: str = ""
    is_known: bool = True
    size: str = ""  # "52 cm disc width"
    origin: str = ""  # "wild caught 2014", "P. motoro, born here 2020"
    share: str = ""  # of a possible sire: "60 %"
    portrait: str = ""  # its key among the pictures; empty when there is none
    portrait_caption: str = ""  # "photograph, 12 Sep 2026", "drawing, 12 Sep 2026"

    @classmethod
    def unknown(cls, role: str) -> "PersonOfTree":
        return cls(role=role, is_known=False)

    @property
    def shown_name(self) -> str:
        return (self.name or self.code) if self.is_known else tell("unknown")

    @property
    def role_words(self) -> str:
        return tell(self.role)


@dataclass(frozen=True)
class AnimalOfSheet:
    """The animal that the sheet is about. What nobody wrote down says so."""

    code: str
    sex: str
    name: str = ""
    species: str = "species not recorded"
    strain: str = ""
    born: str = NOT_RECORDED
    litter: str = NOT_RECORDED
    measurements: str = NOT_RECORDED
    identification: str = NOT_RECORDED
    feeding: str = NOT_RECORDED
    condition: str = NOT_RECORDED
    treatments: str = ""  # empty on sheets from before they were asked for
    origin: str = NOT_RECORDED
    portrait: str = ""
    portrait_caption: str = ""
    size_called: str = "disc width"
    # As exactly as it is known and in no language ("2026-03"); empty on sheets from before.
    born_mark: str = ""

    @property
    def shown_name(self) -> str:
        return self.name or self.code

    @property
    def sex_words(self) -> str:
        return tell(self.sex)


@dataclass(frozen=True)
class Passage:
    """A heading and its text; what is urgent stands framed and in bold."""

    heading: str
    text: str
    is_urgent: bool = False


@dataclass(frozen=True)
class TelephoneNumber:
    """Whom to call: "emergency", "poison centre", and the number."""

    label: str
    number: str


def standard_cautions(
    kinds: KindWords = RAYS,
    wanted: Sequence[str] = ("spine", "emergency", "law", "animals", "medicines"),
) -> tuple[Passage, ...]:
    """Spine, emergency, law, animal and medicines, as every sheet must carry them.

    Those of the spine only for animals that have one.
    """
    known = cautions(kinds)
    return tuple(
        Passage(known[key].heading, known[key].short, is_urgent=key == "emergency")
        for key in wanted
        if known[key].short
    )


def standard_promise(kinds: KindWords = RAYS, *, is_hybrid: bool) -> str:
    """What nobody can promise of a hybrid, or of any other animal."""
    return cautions(kinds)["promise_hybrid" if is_hybrid else "promise"].short


def standard_arrival(*, is_long_journey: bool | None) -> str:
    """How to receive an animal after a short or a long journey; None: not known, both are said."""
    ways = [] if is_long_journey else ["arrival_short"]
    if is_long_journey is not False:
        ways.append("arrival_long")
    return " ".join(cautions()[key].short for key in ("arrival", *ways, "arrival_then"))


@dataclass(frozen=True)
class SheetFacts:
    """Everything on one parentage sheet.

    `sires` holds one known or unknown sire, or the several that are possible, each with its
    share. `tree` is SVG text, or DOT text still to be drawn; `tree_words` says the same in a
    sentence for those who do not see it. `scientific_names` are set in italics wherever they
    occur.
    """

    program_name: str
    sheet_number: str  # "2026-017"
    issued_on: date
    issued_by: str
    animal: AnimalOfSheet
    sires: tuple[PersonOfTree, ...]
    dam: PersonOfTree
    issued_for: str = ""  # "the buyer of pup 26-03-4"
    ancestry: str = NOT_RECORDED  # "13 of 14 possible ancestors are known, over 3 generations"
    species_shares: str = NOT_RECORDED
    inbreeding: str = NOT_RECORDED  # F, what it compares to, and how much ancestry it rests on
    generations: str = NOT_RECORDED
    spread: str = ""  # how far one animal of a later cross may lie from its expected shares
    water: str = ""  # of the tank it comes from
    traits: str = ""  # each with what it is of it, by chances
    corrects: str = ""  # the number of the sheet that this one takes the place of
    tree: str = ""
    tree_words: str = ""
    promise: str = field(default_factory=lambda: standard_promise(is_hybrid=False))
    arrival: str = field(default_factory=lambda: standard_arrival(is_long_journey=False))
    first_weeks: str = ""
    cautions: tuple[Passage, ...] = field(default_factory=standard_cautions)
    telephone_numbers: tuple[TelephoneNumber, ...] = ()
    scientific_names: tuple[str, ...] = ()
    language: str = "en"
    parents_are_kin: bool = False
    breeder_address: str = ""  # of the program, in lines
    breeder_telephone: str = ""

    def __post_init__(self) -> None:
        if not self.sires:
            raise ValueError('A sheet names a sire, if only PersonOfTree.unknown("sire").')
        if not self.sheet_number.strip():
            raise ValueError("A sheet needs a number, for example 2026-017.")

    @property
    def title(self) -> str:
        return tell("Parentage sheet {number}", number=self.sheet_number)

    @property
    def told_left(self) -> tuple[tuple[str, str], ...]:
        """What stands left of the animal's portrait."""
        animal = self.animal
        return _said((tell("born"), animal.born), (tell("litter"), animal.litter), always=1)

    @property
    def told_right(self) -> tuple[tuple[str, str], ...]:
        """What stands right of the animal's portrait."""
        animal = self.animal
        known_by = (tell("known by"), animal.identification)
        return _said((animal.size_called, animal.measurements), known_by, always=1)

    @property
    def issuer_lines(self) -> tuple[str, ...]:
        """By whom it was issued and for whom, and in place of which sheet."""
        said = {"person": self.issued_by, "buyer": self.issued_for}
        by = tell("by {person}", **said)
        if self.issued_for:
            by = tell("by {person}, for {buyer}", **said)
        if not self.corrects:
            return (by,)
        return (by, tell("in place of sheet {number}", number=self.corrects))

    @property
    def breeder_lines(self) -> tuple[str, ...]:
        """How the breeder is reached: the address in its lines, then the telephone."""
        address = tuple(line.strip() for line in self.breeder_address.splitlines())
        called = ""
        if self.breeder_telephone:
            called = tell("Telephone {number}", number=self.breeder_telephone)
        return tuple(line for line in (*address, called) if line)

    @property
    def second_page_heading(self) -> str:
        return tell("{animal}: what is on record, and its care", animal=self.animal.shown_name)

    @property
    def has_emergency_number(self) -> bool:
        """Without one the sheet leaves a line to write it on."""
        return any(one.label in (EMERGENCY, tell(EMERGENCY)) for one in self.telephone_numbers)

    @property
    def rows(self) -> tuple[tuple[str, str], ...]:
        """The table of facts: what, and how it stands in the records."""
        return (*self.rows_of_life, *self.rows_of_descent)

    @property
    def rows_of_life(self) -> tuple[tuple[str, str], ...]:
        """How it was born and raised, and what it is known by."""
        animal = self.animal
        return _filled(
            (message("Born"), animal.born),
            (message("Litter"), animal.litter),
            (capital(animal.size_called), animal.measurements),
            (message("Feeds on"), animal.feeding),
            (message("Condition"), animal.condition),
            (message("Treatments"), animal.treatments),
            (message("Its water"), self.water),
            (message("Known by"), animal.identification),
        )

    @property
    def rows_of_descent(self) -> tuple[tuple[str, str], ...]:
        """What it is by its ancestors, as far as they are known."""
        return _filled(
            (message("Species"), self.species_shares),
            (message("Spread"), self.spread),
            (message("Traits"), self.traits),
            (message("Generation"), self.generations),
            (message("Ancestry"), self.ancestry),
            (message("Inbreeding"), self.inbreeding),
            (message("Origin"), self.animal.origin),
        )

    @property
    def advice(self) -> tuple[Passage, ...]:
        """What is said beside the cautions: promises, arrival, the first weeks."""
        passages = (
            Passage(tell("What nobody can promise"), self.promise),
            Passage(tell("On arrival"), self.arrival),
            Passage(tell("The first weeks"), self.first_weeks),
        )
        return tuple(one for one in passages if one.text)

    def to_json(self) -> str:
        """As JSON text that `from_json` reads back to the same facts."""
        return json.dumps(
            {"version": VERSION, **_plain(self)}, ensure_ascii=False, sort_keys=True, indent=1
        )

    @classmethod
    def from_json(cls, text: str) -> "SheetFacts":
        """The facts of a sheet as it was issued. Raises ValueError naming what does not fit."""
        try:
            row = json.loads(text)
        except json.JSONDecodeError as error:
            raise ValueError(f"These are no facts of a sheet: {error}.") from None
        if not isinstance(row, dict) or row.pop("version", None) != VERSION:
            raise ValueError(f"These are no facts of a sheet of version {VERSION}.")
        facts = _read(cls, row, "sheet")
        assert isinstance(facts, cls)  # noqa: S101 - for the type checker
        return facts


def _filled(*rows: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """A sheet from before a row was thought of does not have it."""
    return tuple((tell(label), text) for label, text in rows if text or label not in LATER_ROWS)


def _said(*rows: tuple[str, str], always: int) -> tuple[tuple[str, str], ...]:
    """The first rows whatever they say, of the others those that say something."""
    nothing = (NOT_RECORDED, tell(NOT_RECORDED))
    return tuple(row for n, row in enumerate(rows) if n < always or row[1] not in nothing)


# ------------------------------------------------------------------------------ to and from JSON


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {part.name: _plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


def _read(kind: Any, value: Any, where: str) -> Any:
    """A value of this kind from plain JSON; `where` names it in an error."""
    if is_dataclass(kind):
        return _read_parts(kind, value, where)
    if typing.get_origin(kind) is tuple:
        if not isinstance(value, list):
            raise ValueError(f"{where} is a list, not {value!r}.")
        one = typing.get_args(kind)[0]
        return tuple(_read(one, part, f"{where} {n}") for n, part in enumerate(value, 1))
    if kind is date:
        try:
            return date.fromisoformat(value)
        except (TypeError, ValueError):
            raise ValueError(f"{where} is a day like 2026-11-25, not {value!r}.") from None
    if type(value) is not kind:
        words = {str: "text", bool: "true or false"}[kind]
        raise ValueError(f"{where} is {words}, not {value!r}.")
    return value


def _read_parts(kind: Any, value: Any, where: str) -> Any:
    if not isinstance(value, Mapping):
        raise ValueError(f"{where} is a group of facts, not {value!r}.")
    kinds = typing.get_type_hints(kind)
    known = {part.name: part for part in fields(kind)}
    for name in value.keys() - known.keys():
        raise ValueError(f"{where} has a fact called {name!r}, which no sheet has.")
    for name, part in known.items():
        needed = part.default is MISSING and part.default_factory is MISSING
        if needed and name not in value:
            raise ValueError(f"{where} lacks {name}.")
    return kind(**{name: _read(kinds[name], value[name], f"{where}: {name}") for name in value})
