"""Arithmetic of lineage: kinship, inbreeding, paths, species, genes, trees as text."""

# `pedigree.explain` is the function, not the folder: files of the folder are imported with `from`.
from pedigree.assumed import contradicting_kin, implied_kin, kin_can_be
from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.explain.drawing import Card, TreeWords, family_tree, path_picture
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
from pedigree.figures.diversity import (
    AfterLitter,
    LivingKinship,
    after_litter_among,
    gene_diversity,
    kinship_sums,
    mean_kinship,
)
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
from pedigree.figures.newcomer import with_newcomer
from pedigree.figures.species import UnknownPart, is_hybrid, unknown_parts, why_no_cross
from pedigree.figures.spread import Spread, independent_segments, spread_of, spread_of_share
from pedigree.figures.uncertain_sires import PossibleInbreeding, possible_inbreeding
from pedigree.figures.unknown_founders import (
    UnknownFounders,
    founders_behind,
    possible_kinship,
    unknown_share,
)
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
from pedigree.traits.chances import genotype_chances
from pedigree.traits.inheritance import SexLinked, likelihoods
from pedigree.traits.many_pairs import litter_chances
from pedigree.traits.pair import PairChances, pair_chances, young_chances
from pedigree.traits.refusals import Contradiction, TooTangled
from pedigree.traits.sampled import SampledChances, sampled_chances
from pedigree.traits.sires import sire_chances
from pedigree.traits.ways_out import Doubts, Mistake, OtherBelief, WayOut, ways_out

__all__ = [
    "AfterLitter",
    "Allocation",
    "BalancedPlan",
    "Card",
    "Choice",
    "CommonAncestor",
    "Contradiction",
    "Contributions",
    "Cross",
    "Doubts",
    "DuplicateAnimal",
    "Explanation",
    "Gaps",
    "Inbred",
    "InbreedingRange",
    "KnownAncestors",
    "LineageError",
    "LineageLoop",
    "LivingKinship",
    "Mistake",
    "NoPlan",
    "OtherBelief",
    "PairChances",
    "Pedigree",
    "Plan",
    "PossibleInbreeding",
    "SampledChances",
    "SexLinked",
    "Spread",
    "TooTangled",
    "TreeWords",
    "UncertainSire",
    "UnderSire",
    "UnknownAnimal",
    "UnknownFounders",
    "UnknownPart",
    "Unrecorded",
    "WayOut",
    "after_litter_among",
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
    "founders_behind",
    "founders_left",
    "gaps",
    "gene_diversity",
    "generation_in_captivity",
    "genotype_chances",
    "heterogeneity",
    "implied_kin",
    "inbred",
    "inbreeding_range",
    "independent_segments",
    "is_hybrid",
    "kin_can_be",
    "kinship_sums",
    "known_ancestors",
    "likelihoods",
    "litter_chances",
    "mean_kinship",
    "near_pedigree",
    "optimal_contributions",
    "pair_chances",
    "partial_inbreeding",
    "path_picture",
    "plan_pairings",
    "possible_inbreeding",
    "possible_kinship",
    "realised_spread",
    "retention",
    "sampled_chances",
    "sire_chances",
    "slider_cost",
    "spread_of",
    "spread_of_share",
    "unknown_parts",
    "unknown_share",
    "ways_out",
    "why_no_cross",
    "with_newcomer",
    "within",
    "young_chances",
]
