"""The page of settings: what is published for a weld, and whether a setting is inside it."""
