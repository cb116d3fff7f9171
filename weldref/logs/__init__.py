"""Weld logs at scale: millions of records against what is published, in sets.

    file --(files.py)--> readings --(conditions.py, thickness.py)--> distinct conditions
         --(core/profile.py)--> a verdict for every value --(verdicts.py)--> a code for every
         reading --(tally.py, output.py, drift.py)--> summary and file

A log repeats itself: millions of readings share a few thousand conditions. Each is asked once, by
the rules of `weldref.check`, and what is said of every value is joined back to the readings.
"""
