"""Procedures that are made to be clean, and the same with one fault: see `bases` and `faults`."""
