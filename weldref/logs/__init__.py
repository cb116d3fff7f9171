"""Weld logs at scale: millions of records against what is published, in sets.

    file --(files.py)--> readings --(conditions.py, thickness.py)--> distinct conditions
         --(core/profiles.py)--> a verdict for every value --(codes.py, verdicts.py)--> a code for
         every reading --(tally.py, output.py, drift.py)--> summary and file

A log repeats itself: millions of readings share a few thousand conditions. Each is asked once, by
the rules of `weldref.check`, and the verdict on every value is joined back to the readings.
"""
