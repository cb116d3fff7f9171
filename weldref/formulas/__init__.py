"""The arithmetic of the trade: pure functions in SI units."""
