"""Traits of one gene: who carries it, by what chance, and what young two animals will have."""
