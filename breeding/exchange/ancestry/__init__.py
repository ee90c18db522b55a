"""Ancestry as data: what one program says of animals, what several say together, and kin; pure.

A *word* is what one program says of some animals on one day, signed with its key. An animal is
named by its lasting identity: the key of the program that wrote it down and its code there. Words
are merged in any order with the same result: nobody's copy is the master.
"""

from breeding.exchange.ancestry.claims import Claim, Word
from breeding.exchange.ancestry.merged import Merged, lines_of, merged
from breeding.exchange.ancestry.reading import NeverSigned, Refused, read_word
from breeding.exchange.ancestry.writing import write_word

__all__ = [
    "Claim",
    "Merged",
    "NeverSigned",
    "Refused",
    "Word",
    "lines_of",
    "merged",
    "read_word",
    "write_word",
]
