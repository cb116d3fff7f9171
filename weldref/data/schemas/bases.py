"""List the kinds of statement; kept apart so that a lookup need not import pandera."""

VERDICT_BASES = ("limit", "recommended", "acceptable-window", "general-practice")
"""Kinds of statement that say what one may set: only these give verdicts."""

SEEN_BASES = ("procedure-used", "test-condition", "tested-range", "optimum", "measured")
"""Kinds of statement that say what somebody once did: shown as "also seen"."""

COMMON_PRACTICE = "common-practice"
"""The source of rows that the trade holds and no document that was seen prints."""
