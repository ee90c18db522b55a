"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""

from pedigree.ancestry import completeness, composition, equivalent_generations
from pedigree.drawing import Card, family_tree
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.lineage import Pedigree
from pedigree.nodes import Unrecorded
from pedigree.paths import CommonAncestor, Explanation, explain

__all__ = [
    "Card",
    "CommonAncestor",
    "DuplicateAnimal",
    "Explanation",
    "LineageError",
    "LineageLoop",
    "Pedigree",
    "UnknownAnimal",
    "Unrecorded",
    "completeness",
    "composition",
    "equivalent_generations",
    "explain",
    "family_tree",
]
