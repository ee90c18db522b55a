"""Water tests, and whether water is fit."""
