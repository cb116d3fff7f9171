"""What else to choose: starts, polarity, gas, filler, shade, preheat and handbook tables."""
