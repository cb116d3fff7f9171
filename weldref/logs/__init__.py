"""Weld logs at scale: millions of records against what is published, in sets.

    file --(files.py)--> readings --(terms.py, thickness.py)--> distinct conditions
         --(conditions.py)--> the rows that apply --(answers.py)--> what each document says
         --(verdicts.py)--> a verdict for every reading --(audit.py)--> summary

A log repeats itself: millions of readings share a few thousand conditions. The rules of
`weldref.core.lookup` and `weldref.core.verdict` are asked once for each set of rows that can apply,
and what they answer is joined back to the readings.
"""
