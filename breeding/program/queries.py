"""Questions about the program and its people."""

from breeding.program.models import Person, Program


def the_program() -> Program:
    """The one program; before it is set up, an unsaved one with every default."""
    return Program.objects.filter(pk=1).first() or Program(pk=1, name="A new program")


def has_owner() -> bool:
    return Person.objects.filter(role=Person.Role.OWNER, is_active=True).exists()
