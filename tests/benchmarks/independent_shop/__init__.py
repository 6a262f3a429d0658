"""A simulated shop that shares nothing with the belief it tries: see `__main__`."""
