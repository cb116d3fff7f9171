"""List the kinds of statement, grades and marks; a lookup need not import pandera for them."""

VERDICT_BASES = ("limit", "recommended", "acceptable-window", "general-practice")
"""Kinds of statement that say what one may set: only these give verdicts."""

SEEN_BASES = ("procedure-used", "test-condition", "tested-range", "optimum", "measured")
"""Kinds of statement that say what somebody once did: shown as "also seen"."""

STATUSES = ("uncertain", "misprint")
"""Marks of a row that is kept and shown but never gives a verdict."""

COMMON_PRACTICE = "common-practice"
"""The source of rows that the trade holds and no document that was seen prints."""
