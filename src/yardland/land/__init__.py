"""Land: areas and edges on the ground, fences with shared edges once, shapes of a plan, roof water, shade."""
