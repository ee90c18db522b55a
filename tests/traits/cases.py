"""A trait and what was seen of it, for the tests of this room."""

from fractions import Fraction

from breeding.program import clock
from breeding.traits.models import Trait
from breeding.traits.services import add_trait, write_look
from tests import cast


def recessive(name="Paper Honey", *, share=Fraction(1, 10), **facts):
    facts = {"inheritance": Trait.Inheritance.RECESSIVE, "founder_share": share, **facts}
    return add_trait(by=None, name=name, **facts)


def look(trait, animal, seen, *, on=None, **more):
    """What was seen today, or on a day written out."""
    today = clock.today()
    on = cast.day(on) if isinstance(on, str) else on or today
    return write_look(trait, animal, seen, on=on, today=today, by=None, **more)


def hidden_family(trait):
    """Two that do not show it have one young that does and one that does not."""
    rigel, vega = cast.male("Rigel"), cast.female("Vega")
    mira = cast.female("Mira", sire=rigel, dam=vega)
    altair = cast.male("Altair", sire=rigel, dam=vega)
    look(trait, mira, "shows")
    look(trait, altair, "not")
    for parent in (rigel, vega):
        look(trait, parent, "not")
    return rigel, vega, mira, altair
