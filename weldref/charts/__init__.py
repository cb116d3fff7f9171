"""Charts of ranges, of formulas and of diagrams."""
