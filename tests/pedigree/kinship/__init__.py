"""Both engines of kinship, against exact fractions and against independent libraries."""
