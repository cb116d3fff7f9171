"""The commands, a module per question; each declares its options and runs."""
