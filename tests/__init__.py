"""Tests; helpers are imported by their place: `tests.joinery.designs`."""
