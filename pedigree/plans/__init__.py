"""Who with whom, and how many young from each: the best choices under rules, with their proof."""
