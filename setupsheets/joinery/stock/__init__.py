"""The wood: cut list, boards, weight, and what the seasons do to it."""
