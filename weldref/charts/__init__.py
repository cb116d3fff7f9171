"""Pictures of ranges, of formulas and of diagrams."""
