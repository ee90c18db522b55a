"""Growth: the curve, its fit to the program's own animals, and what an animal's own is."""

from breeding.animals.growth.curve import von_bertalanffy

__all__ = ["von_bertalanffy"]
