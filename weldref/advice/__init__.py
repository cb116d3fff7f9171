"""Advice on a setting: the card, polarity, gas, filler, lens shade, preheat, handbook tables."""
