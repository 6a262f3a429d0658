"""What every test shares: no clock in property tests, and the same cases on every clean clone."""

import os

from hypothesis import settings

# A slow machine is not a wrong answer: speed is measured in tests/benchmarks/. With CI set the
# cases are the same each time; at the bench they differ from run to run and so find more.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")
