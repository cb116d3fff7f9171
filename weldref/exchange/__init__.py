"""The tables as open data: described, written in four formats, compared, and what to read next."""
