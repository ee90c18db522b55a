"""Where CITES lists a species, as far as known on a day: dated figures that can be replaced."""

import datetime
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from breeding.animals.models import Species
from breeding.program.kinds import kind_words
from breeding.program.reference.cautions import cautions
from breeding.program.reference.fixture_files import fixture_path
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined

FILE_NAME = "listings.json"
APPENDICES = ("I", "II", "III")
ASK = message("Ask the authority where you live before you buy, sell or move an animal.")
LISTED = message("CITES Appendix {appendix} since {day}")
POPULATIONS_LISTED = message("CITES Appendix {appendix} (populations of {countries}) since {day}")
COUNTRIES = (message("Brazil"), message("Colombia"))  # of fixtures/listings.json
STALE_AFTER_DAYS = 365  # from then on it is said how old the list is; assumption


@dataclass(frozen=True)
class Listing:
    """One entry: a species or a whole genus, in which appendix, since when, which populations."""

    appendix: str
    since: datetime.date
    name: str = ""
    genus: str = ""
    populations: str = ""  # of which country; empty: all

    def covers(self, accepted_name: str) -> bool:
        """Whether this entry is about the species.

        >>> whole = Listing("III", datetime.date(2017, 1, 3), genus="Paratrygon")
        >>> whole.covers("Paratrygon aiereba"), whole.covers("Potamotrygon motoro")
        (True, False)
        """
        return accepted_name == self.name or bool(
            self.genus and accepted_name.split(" ")[0] == self.genus
        )


@dataclass(frozen=True)
class Listings:
    """All entries, with the day as of which they are known, and where to look."""

    as_known_on: datetime.date
    source: str
    pointer: str
    sentence: str
    generations: int
    generations_source: str
    entries: Sequence[Listing]
    problem: str = ""  # why the program's own list is not the one used here

    @property
    def sentence_said(self) -> str:
        """What holds beside every listing, in the language of whoever reads it."""
        return tell(self.sentence)

    @property
    def source_said(self) -> str:
        return tell(self.source)

    @property
    def generations_source_said(self) -> str:
        return tell(self.generations_source)

    def warning(self, asof: datetime.date) -> str:
        """What is wrong with relying on it that day: unreadable, or old. Empty for neither."""
        found = [self.problem] if self.problem else []
        if (asof - self.as_known_on).days > STALE_AFTER_DAYS:
            found.append(
                tell(
                    "This list is more than a year old: it says what was known on {day}. Compare "
                    "it with the official one before you rely on it: {pointer}.",
                    day=long_day(self.as_known_on),
                    pointer=self.pointer,
                )
            )
        return " ".join(found)

    def of(self, accepted_name: str) -> list[Listing]:
        """The entries for a species; of one in I or II those in III are left out."""
        found = [one for one in self.entries if one.covers(accepted_name)]
        first = min((APPENDICES.index(one.appendix) for one in found), default=0)
        return [one for one in found if APPENDICES.index(one.appendix) == first]

    def words(self, accepted_name: str, founders: Collection[str] | None = None) -> str:
        """ "CITES Appendix III (populations of Brazil) since 3 January 2017"; empty for none.

        founders: of an animal, the countries its founders of this species come from, "" for one
        that is not on record. Where only populations of other countries are listed, both are said
        and the authority decides: never that something is allowed.
        """
        found = self.of(accepted_name)
        if not found:
            return ""
        countries = sorted({one.populations for one in found if one.populations})
        said = tell(
            POPULATIONS_LISTED if countries else LISTED,
            appendix=found[0].appendix,
            countries=joined([tell(one) for one in countries]),
            day=long_day(min(one.since for one in found)),
        )
        if founders is None or not all(one.populations for one in found):
            return said
        return said + _of_founders(countries, founders)

    def law_of(self, species: Species, founders: Collection[str] | None = None) -> str:
        """Where the list has a species or its genus, as of which day, and what is noted with it."""
        listed = self.words(species.accepted_name, founders)
        known, day = "", long_day(self.as_known_on)
        if listed:
            known = tell("{listed}, as far as known on {day}.", listed=listed, day=day)
        note = tell(species.law_note) if species.law_note else ""
        return " ".join(part for part in (known, note) if part)


def _of_founders(listed: Sequence[str], founders: Collection[str]) -> str:
    """What the countries of founders say to populations that are listed.

    >>> _of_founders(["Brazil"], ["Brazil", ""])
    ''
    >>> _of_founders(["Brazil"], ["Peru", ""])
    ', if from Brazil, which is not on record'
    >>> _of_founders(["Brazil"], ["Peru"])
    '; on record its founders come from Peru: ask the authority'
    """
    known = {country.casefold() for country in founders}
    if known & {country.casefold() for country in listed}:
        return ""
    if not known or "" in known:
        countries = joined([tell(one) for one in listed], "or")
        return tell(", if from {countries}, which is not on record", countries=countries)
    return tell(
        "; on record its founders come from {countries}: ask the authority",
        countries=joined([tell(one) for one in sorted(founders)]),
    )


def read_listings(home: Path | None = None) -> Listings:
    """The file in the program's own directory when there is one, else the one that comes along.

    Raises ValueError, naming the file, for one that cannot be read.
    """
    own = home / FILE_NAME if home is not None else None
    place = own if own is not None and own.exists() else fixture_path(FILE_NAME)
    try:
        return _listings(json.loads(place.read_text("utf-8")))
    except (KeyError, TypeError, ValueError) as problem:
        raise ValueError(
            tell("{file} cannot be read as listings: {problem}", file=place.name, problem=problem)
        ) from None


def listings_in_use(home: Path) -> Listings:
    """The list to go by; one of the program's own that cannot be read is said, not stumbled on."""
    try:
        return read_listings(home)
    except ValueError as problem:
        return replace(
            read_listings(),
            problem=tell(
                "The program's own {problem}. The list that came with the program is used.",
                problem=problem,
            ),
        )


def law_words() -> str:
    """The standing cautions in short, where there is no sheet to speak of."""
    said = [one for one in cautions(kind_words())["law"].sentences if one.is_on_sheet]
    return " ".join(tell(ASK) if "sheet" in one.message else one.text for one in said)


def _listings(content: Mapping[str, Any]) -> Listings:
    entries = []
    for row in content["listings"]:
        if row["appendix"] not in APPENDICES:
            raise ValueError(f"{row['appendix']!r} is no appendix: {', '.join(APPENDICES)} are")
        if not row.get("name") and not row.get("genus"):
            raise ValueError(f"an entry names neither a species nor a genus: {row}")
        entries.append(
            Listing(
                appendix=row["appendix"],
                since=datetime.date.fromisoformat(row["since"]),
                name=row.get("name", ""),
                genus=row.get("genus", ""),
                populations=row.get("populations", ""),
            )
        )
    return Listings(
        as_known_on=datetime.date.fromisoformat(content["as_known_on"]),
        source=str(content["source"]),
        pointer=str(content["pointer"]),
        sentence=str(content["sentence"]),
        generations=int(content["generations"]),
        generations_source=str(content["generations_source"]),
        entries=tuple(entries),
    )
