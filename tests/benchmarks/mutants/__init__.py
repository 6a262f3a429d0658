"""How many faults the tests see: see `__main__.py`."""
