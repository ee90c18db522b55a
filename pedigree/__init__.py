"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""

# `pedigree.explain` is the function, not the folder: files of the folder are imported with `from`.
from pedigree.assumed import contradicting_kin, implied_kin, kin_can_be
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.explain.drawing import Card, family_tree, path_picture
from pedigree.explain.inbred import Inbred, UnderSire, inbred, near_pedigree
from pedigree.explain.paths import CommonAncestor, Explanation, explain
from pedigree.explain.sire_ways import InbreedingRange, UncertainSire, inbreeding_range
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
from pedigree.figures.gaps import Gaps, gaps, within
from pedigree.figures.inbreeding_parts import (
    ancestral_inbreeding,
    expected_survival,
    partial_inbreeding,
)
from pedigree.figures.species import UnknownPart, is_hybrid, unknown_parts, why_no_cross
from pedigree.figures.spread import Spread, independent_segments, spread_of, spread_of_share
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
    "Gaps",
    "Inbred",
    "InbreedingRange",
    "KnownAncestors",
    "LineageError",
    "LineageLoop",
    "LivingKinship",
    "NoPlan",
    "Pedigree",
    "Plan",
    "PossibleInbreeding",
    "Spread",
    "UncertainSire",
    "UnderSire",
    "UnknownAnimal",
    "UnknownPart",
    "Unrecorded",
    "ancestor_contributions",
    "ancestral_inbreeding",
    "balanced_plan",
    "completeness",
    "completeness_index",
    "composition",
    "contradicting_kin",
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
    "gaps",
    "gene_diversity",
    "generation_in_captivity",
    "heterogeneity",
    "implied_kin",
    "inbred",
    "inbreeding_range",
    "independent_segments",
    "is_hybrid",
    "kin_can_be",
    "known_ancestors",
    "mean_kinship",
    "near_pedigree",
    "optimal_contributions",
    "partial_inbreeding",
    "path_picture",
    "plan_pairings",
    "possible_inbreeding",
    "realised_spread",
    "retention",
    "slider_cost",
    "spread_of",
    "spread_of_share",
    "unknown_parts",
    "why_no_cross",
    "within",
]
