"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""

from pedigree.balanced_plan import BalancedPlan, balanced_plan
from pedigree.captivity import generation_in_captivity
from pedigree.completeness import (
    KnownAncestors,
    completeness,
    completeness_index,
    equivalent_generations,
    known_ancestors,
)
from pedigree.composition import composition
from pedigree.contributions import (
    Contributions,
    diversity_gained,
    optimal_contributions,
    slider_cost,
)
from pedigree.crosses import Cross, crosses, heterogeneity, realised_spread
from pedigree.diversity import AfterLitter, LivingKinship, gene_diversity, mean_kinship
from pedigree.drawing import Card, family_tree, path_picture
from pedigree.effective_size import effective_size
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.founders import (
    ancestor_contributions,
    effective_ancestors,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    founders_left,
    retention,
)
from pedigree.gaps import Gaps, gaps, within
from pedigree.inbred import Inbred, UnderSire, inbred, near_pedigree
from pedigree.inbreeding_parts import ancestral_inbreeding, expected_survival, partial_inbreeding
from pedigree.layout import Unrecorded
from pedigree.pairing_collisions import NoPlan
from pedigree.pairing_plan import Allocation, Choice, Plan, plan_pairings
from pedigree.paths import CommonAncestor, Explanation, explain
from pedigree.pedigree import Pedigree
from pedigree.sire_ways import InbreedingRange, UncertainSire, inbreeding_range
from pedigree.species import UnknownPart, is_hybrid, unknown_parts, why_no_cross
from pedigree.spread import Spread, independent_segments, spread_of, spread_of_share
from pedigree.uncertain import PossibleInbreeding, possible_inbreeding

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
    "inbred",
    "inbreeding_range",
    "independent_segments",
    "is_hybrid",
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
