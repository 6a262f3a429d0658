"""What setting a machine takes: blocks, passes, stops, reach, limits."""
