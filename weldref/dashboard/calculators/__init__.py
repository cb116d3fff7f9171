"""The formulas, each with its validity."""
