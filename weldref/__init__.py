"""Published welding-parameter ranges, every number with its source."""
