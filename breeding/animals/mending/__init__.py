"""How animals, assumed kinship, species and strains are changed, withdrawn and brought back."""

from breeding.animals.mending.animals import KINDS as OF_ANIMALS
from breeding.animals.mending.kin import AssumedKinKind
from breeding.animals.mending.species import KINDS as OF_SPECIES

KINDS = (*OF_ANIMALS, AssumedKinKind(), *OF_SPECIES)
