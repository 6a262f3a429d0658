"""Setup sheets for traditional glazed doors: parts, settings, test-piece corrections, records."""

__version__ = "0.1.0"
