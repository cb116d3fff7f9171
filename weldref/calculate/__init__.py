"""Formulas by name with units, and what follows from the settings."""
