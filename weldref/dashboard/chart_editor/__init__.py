"""Our chart: the shop's own settings, typed in once and kept as own tables."""
