"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""

# `pedigree.explain` is the function, not the folder: files of the folder are imported with `from`.
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.explain.drawing import Card, family_tree, path_picture
from pedigree.explain.paths import CommonAncestor, Explanation, explain
from pedigree.figures.captivity import generation_in_captivity
from pedigree.figures.completeness import (
    KnownAncestors,
    completeness,
    completeness_index,
    equivalent_generations,
    known_ancestors,
)
from pedigree.figures.composition import composition
from pedigree.figures.crosses import Cross, crosses, heterogeneity, realised_spread
from pedigree.figures.diversity import AfterLitter, LivingKinship, gene_diversity, mean_kinship
from pedigree.figures.effective_size import effective_size
from pedigree.figures.founders import (
    ancestor_contributions,
    effective_ancestors,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    founders_left,
    retention,
)
from pedigree.figures.inbreeding_parts import (
    ancestral_inbreeding,
    expected_survival,
    partial_inbreeding,
)
from pedigree.figures.uncertain_sires import PossibleInbreeding, possible_inbreeding
from pedigree.layout import Unrecorded
from pedigree.pedigree import Pedigree
from pedigree.plans.allocation import Allocation, Choice, Plan, plan_pairings
from pedigree.plans.balanced import BalancedPlan, balanced_plan
from pedigree.plans.collisions import NoPlan
from pedigree.plans.optimal_contributions import (
    Contributions,
    diversity_gained,
    optimal_contributions,
    slider_cost,
)

__all__ = [
    "AfterLitter",
    "Allocation",
    "BalancedPlan",
    "Card",
    "Choice",
    "CommonAncestor",
    "Contributions",
    "Cross",
    "DuplicateAnimal",
    "Explanation",
    "KnownAncestors",
    "LineageError",
    "LineageLoop",
    "LivingKinship",
    "NoPlan",
    "Pedigree",
    "Plan",
    "PossibleInbreeding",
    "UnknownAnimal",
    "Unrecorded",
    "ancestor_contributions",
    "ancestral_inbreeding",
    "balanced_plan",
    "completeness",
    "completeness_index",
    "composition",
    "crosses",
    "diversity_gained",
    "effective_ancestors",
    "effective_size",
    "equivalent_generations",
    "expected_survival",
    "explain",
    "family_tree",
    "founder_equivalents",
    "founder_genomes",
    "founder_shares",
    "founders_left",
    "gene_diversity",
    "generation_in_captivity",
    "heterogeneity",
    "known_ancestors",
    "mean_kinship",
    "optimal_contributions",
    "partial_inbreeding",
    "path_picture",
    "plan_pairings",
    "possible_inbreeding",
    "realised_spread",
    "retention",
    "slider_cost",
]
