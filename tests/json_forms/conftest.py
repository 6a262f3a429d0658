"""The example shops to write into, as the commands' tests have them."""

from tests.commands.conftest import larder, vestibule

__all__ = ["larder", "vestibule"]
