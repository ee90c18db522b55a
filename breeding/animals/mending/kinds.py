"""Every kind of record of this room that is put right."""

from breeding.animals.mending.animals import KINDS as OF_ANIMALS
from breeding.animals.mending.kin import AssumedKinKind
from breeding.animals.mending.species import KINDS as OF_SPECIES

KINDS = (*OF_ANIMALS, AssumedKinKind(), *OF_SPECIES)
