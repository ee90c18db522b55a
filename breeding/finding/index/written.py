"""The statements that make and keep the index, for both databases.

For each kind that a room has declared there is a view of what is to stand in the index, and
triggers that write it whenever one of its columns changes, in the same transaction, whoever
writes: a page, an import, an archive, a repair by hand. Nothing needs a function of Python's.
"""

import hashlib
from collections.abc import Iterator

from breeding.finding.letters import BETWEEN, ONE_FOR_MORE, ONE_FOR_ONE
from breeding.program.backup.postgres import MADE_ANEW
from breeding.program.found import Found

TABLE, WORDS = "finding_entry", "finding_words"
_SAID = "record, part, name, words, compact, is_withdrawn"


def view_of(found: Found) -> str:
    return f"{MADE_ANEW}{found.kind}"


def signature(statements: Iterator[str]) -> str:
    """A short mark of the statements: another one asks for a new index."""
    return hashlib.sha256("\n".join(statements).encode()).hexdigest()


def fill(found: Found, only: str = "") -> str:
    """Put into the index what it is to hold of one kind; of one record with a condition."""
    wanted = f"SELECT '{found.kind}', {_SAID} FROM {view_of(found)}{only}"
    return f"INSERT INTO {TABLE} (kind, {_SAID}) {wanted}"


def clear(found: Found, only: str = "") -> str:
    """Take out of the index what it holds of one kind."""
    return f"DELETE FROM {TABLE} WHERE kind = '{found.kind}'{only}"


def differing(found: Found) -> str:
    """How much of a kind is to be in the index and is not, and is in it and is not to be."""
    wanted = f"SELECT {_SAID} FROM {view_of(found)}"
    there = f"SELECT {_SAID} FROM {TABLE} WHERE kind = '{found.kind}'"
    return (
        f"SELECT (SELECT COUNT(*) FROM ({wanted} EXCEPT {there}) AS a), "
        f"(SELECT COUNT(*) FROM ({there} EXCEPT {wanted}) AS b)"
    )


def columns_of(found: Found) -> list[tuple[str, bool]]:
    """The columns of the table, each with whether it is a name."""
    columns = {one.name: one.column for one in found.model._meta.concrete_fields}
    return [(str(columns[name]), name in found.names) for name in found.columns]


def parts_of(found: Found, letters: str) -> Iterator[tuple[str, bool]]:
    """A question for the rows that fill a column (record, part, t), and whether it is a name.

    letters: SQL that makes of a column what is looked for.
    """
    table, condition = found.model._meta.db_table, f" AND {found.where}" if found.where else ""
    is_withdrawn = "(withdrawn_at IS NOT NULL)" if found.is_withdrawable else "FALSE"
    for column, is_name in columns_of(found):
        yield (
            f"SELECT id AS record, '{column}' AS part, {letters.format(column=column)} AS t, "
            f"{is_withdrawn} AS is_withdrawn "
            f"FROM {table} WHERE {column} <> ''{condition}",
            is_name,
        )


def watched(found: Found) -> list[str]:
    more = ("withdrawn_at",) if found.is_withdrawable else ()
    return [*(column for column, _ in columns_of(found)), *found.where_columns, *more]


# -------------------------------------------------------------------------------------- SQLite


def sqlite(found: Found) -> Iterator[str]:
    """The view and its three triggers."""
    table, name = found.model._meta.db_table, view_of(found)
    old, new = " AND record = OLD.id", " WHERE record = NEW.id"
    yield f"CREATE VIEW {name} AS {_sqlite_view(found)}"
    yield (f"CREATE TRIGGER {name}_new AFTER INSERT ON {table} BEGIN {fill(found, new)}; END")
    is_other = " OR ".join(f"OLD.{one} IS NOT NEW.{one}" for one in watched(found))
    yield (
        f"CREATE TRIGGER {name}_changed AFTER UPDATE OF {', '.join(watched(found))} ON {table} "
        f"WHEN {is_other} BEGIN {clear(found, old)}; {fill(found, new)}; END"
    )
    yield f"CREATE TRIGGER {name}_gone AFTER DELETE ON {table} BEGIN {clear(found, old)}; END"


def _sqlite_view(found: Found) -> str:
    return " UNION ALL ".join(
        f"SELECT record, part, {'t' if is_name else _NOTHING} AS name, "
        f"{_NOTHING if is_name else 't'} AS words, "
        f"{_without_gaps('t') if is_name else _NOTHING} AS compact, is_withdrawn FROM ({part})"
        for part, is_name in parts_of(found, _SQLITE_LETTERS)
    )


def _without_gaps(column: str) -> str:
    expression = column
    for gap in BETWEEN:
        expression = f"replace({expression}, {_quoted(gap)}, '')"
    return expression


def _quoted(letter: str) -> str:
    """As SQL says it; what ends a line is said by its number."""
    if letter < " ":
        return f"char({ord(letter)})"
    return "''''" if letter == "'" else f"'{letter}'"


def _sqlite_letters() -> str:
    """Letter after letter of those that are written otherwise; only in a text that has any."""
    more = "lower({column})"
    for letter, plain in ONE_FOR_MORE.items():
        more = f"replace({more}, '{letter}', '{plain}')"
    ones, plain = "".join(ONE_FOR_ONE), "".join(ONE_FOR_ONE.values())
    return (
        "CASE WHEN {column} NOT GLOB '*[^ -~]*' THEN lower({column}) ELSE ("
        f"WITH RECURSIVE f(n, t) AS (SELECT 0, {more} UNION ALL "
        f"SELECT n + 1, replace(t, substr('{ones}', n + 1, 1), substr('{plain}', n + 1, 1)) "
        f"FROM f WHERE n < {len(ones)}) SELECT t FROM f WHERE n = {len(ones)}) END"
    )


_NOTHING, _SQLITE_LETTERS = "''", _sqlite_letters()


def sqlite_words() -> Iterator[str]:
    """SQLite's own index of the entries by three letters, and what keeps it by the entries."""
    old = f"INSERT INTO {WORDS}({WORDS}, rowid, name, words) VALUES ('delete', OLD.id, OLD.name, "
    new = f"INSERT INTO {WORDS}(rowid, name, words) VALUES (NEW.id, NEW.name, NEW.words);"
    trigger = f"CREATE TRIGGER {MADE_ANEW}entry"
    yield (
        f"CREATE VIRTUAL TABLE {WORDS} USING fts5(name, words, content='{TABLE}', "
        "content_rowid='id', tokenize='trigram')"
    )
    yield f"{trigger}_new AFTER INSERT ON {TABLE} BEGIN {new} END"
    yield f"{trigger}_gone AFTER DELETE ON {TABLE} BEGIN {old}OLD.words); END"
    yield f"{trigger}_changed AFTER UPDATE ON {TABLE} BEGIN {old}OLD.words); {new} END"


# ---------------------------------------------------------------------------------- PostgreSQL


def postgres(found: Found) -> Iterator[str]:
    """The view, the function that the triggers call, and the triggers."""
    table, name = found.model._meta.db_table, view_of(found)
    old, new = " AND record = OLD.id", " WHERE record = NEW.id"
    is_other = " OR ".join(f"OLD.{one} IS DISTINCT FROM NEW.{one}" for one in watched(found))
    yield f"CREATE VIEW {name} AS {_postgres_view(found)}"
    yield (
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF TG_OP = 'TRUNCATE' THEN {clear(found)}; RETURN NULL; END IF; "
        f"IF TG_OP <> 'INSERT' THEN {clear(found, old)}; END IF; "
        f"IF TG_OP <> 'DELETE' THEN {fill(found, new)}; END IF; RETURN NULL; END $$"
    )
    calls = f"EXECUTE FUNCTION {name}()"
    yield f"CREATE TRIGGER {name} AFTER INSERT OR DELETE ON {table} FOR EACH ROW {calls}"
    yield (
        f"CREATE TRIGGER {name}_changed AFTER UPDATE OF {', '.join(watched(found))} ON {table} "
        f"FOR EACH ROW WHEN ({is_other}) {calls}"
    )
    yield f"CREATE TRIGGER {name}_empty AFTER TRUNCATE ON {table} FOR EACH STATEMENT {calls}"


def _postgres_view(found: Found) -> str:
    ones, gaps = "".join(ONE_FOR_ONE), BETWEEN.replace("'", "''")
    plain = "".join(ONE_FOR_ONE.values())
    letters = f"lower(translate({{column}}, '{ones}', '{plain}'))"
    for letter, more in ONE_FOR_MORE.items():
        letters = f"replace({letters}, '{letter}', '{more}')"
    without = f"translate(t, '{gaps}', '')"
    return " UNION ALL ".join(
        f"SELECT record, part, {'t' if is_name else _NOTHING} AS name, "
        f"{_NOTHING if is_name else 't'} AS words, "
        f"{without if is_name else _NOTHING} AS compact, is_withdrawn FROM ({part}) AS p"
        for part, is_name in parts_of(found, letters)
    )


def postgres_words() -> Iterator[str]:
    """The index by three letters; it needs the extension pg_trgm."""
    for column in ("name", "words"):
        yield (f"CREATE INDEX {MADE_ANEW}{column} ON {TABLE} USING gin ({column} gin_trgm_ops)")
