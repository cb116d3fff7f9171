"""Audits: written procedures against what is published, and weld logs."""
