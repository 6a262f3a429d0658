"""What a cutter as set takes out of the wood, as polygons."""
