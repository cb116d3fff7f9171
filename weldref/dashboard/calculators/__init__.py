"""The formulas, each with the range it is valid for."""
