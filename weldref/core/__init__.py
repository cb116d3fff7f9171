"""The engine of an answer: terms, gases, units, the situation, the rows that apply, the verdict."""
