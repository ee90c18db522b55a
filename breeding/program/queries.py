"""Questions about the program and its people."""

from breeding.program.models import Person, Program, ShownColumns


def the_program() -> Program:
    """The one program; before it is set up, an unsaved one with every default."""
    return Program.objects.filter(pk=1).first() or Program(pk=1, name="A new program")


def has_owner() -> bool:
    return Person.objects.filter(role=Person.Role.OWNER, is_active=True).exists()


def shown_columns(person: Person, list_key: str) -> list[str] | None:
    """The columns of a list that somebody chose; None while they chose none. One query."""
    kept = ShownColumns.objects.filter(person=person, list_key=list_key).first()
    return None if kept is None else [str(name) for name in kept.columns]
