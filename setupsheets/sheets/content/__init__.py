"""The finished words of the sheets."""
