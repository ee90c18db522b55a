"""How a table is read, in sentences: its units, what goes into the note, what is left out."""

from collections.abc import Iterator

from breeding.records.incoming.answers import called
from breeding.records.incoming.reader import Reader
from breeding.words.language import tell
from breeding.words.numbers import some

_NAMED = 8  # so many are named in a note, the others counted


def column_notes(reader: Reader) -> Iterator[str]:
    """What is said of the columns of any table."""
    headers = reader.table.headers
    for meaning, unit in reader.units.items():
        label = reader.meanings[meaning].label
        said = {"c": "°C", "f": "°F"}.get(unit, unit)
        yield tell("{column}: numbers without a unit are read in {unit}.", column=label, unit=said)
    noted = [called(headers, one) for one in reader.answered.noted]
    if noted:
        yield tell("Put into the note, each with its header: {names}.", names=some(noted, _NAMED))
    held = {*reader.columns.values(), *reader.answered.noted}
    unused = [called(headers, one) for one in range(len(headers)) if one not in held]
    if unused:
        yield tell("Columns that are not brought in: {names}.", names=some(unused, _NAMED))
    if left_out := reader.answered.left_out:
        names = some([row.title for row in left_out], _NAMED)
        yield tell("Rows that are left out: {names}.", names=names)
