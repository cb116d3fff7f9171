"""Handouts and practice sheets, chosen and downloaded."""
