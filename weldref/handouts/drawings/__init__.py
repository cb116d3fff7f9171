"""Draw the joint, the welding symbol and the position of a situation, black on white, as SVG."""
