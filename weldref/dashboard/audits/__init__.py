"""Audits of written procedures and weld logs."""
