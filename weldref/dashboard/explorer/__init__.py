"""The tables themselves."""
