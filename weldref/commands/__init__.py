"""The commands, one module for each group; each declares its options and runs."""
