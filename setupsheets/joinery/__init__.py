"""A job into parts: lengths at face, back and over the tenons, mortises, glass, beads."""
