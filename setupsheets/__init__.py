"""Setup sheets for traditional glazed doors: parts, settings, test-piece corrections, records."""

__version__ = "0.2.0"
