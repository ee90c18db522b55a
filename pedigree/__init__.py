"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""

from pedigree.completeness import (
    KnownAncestors,
    completeness,
    completeness_index,
    equivalent_generations,
    known_ancestors,
)
from pedigree.composition import composition
from pedigree.drawing import Card, family_tree, path_picture
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.layout import Unrecorded
from pedigree.paths import CommonAncestor, Explanation, explain
from pedigree.pedigree import Pedigree

__all__ = [
    "Card",
    "CommonAncestor",
    "DuplicateAnimal",
    "Explanation",
    "KnownAncestors",
    "LineageError",
    "LineageLoop",
    "Pedigree",
    "UnknownAnimal",
    "Unrecorded",
    "completeness",
    "completeness_index",
    "composition",
    "equivalent_generations",
    "explain",
    "family_tree",
    "known_ancestors",
    "path_picture",
]
