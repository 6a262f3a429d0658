"""What the program tells to other programs: one module for each form of JSON, `json_values` first.

Each form has a schema of its name under `schemas/json/`. Lengths are told once as exact
millimetres and once as words; the classes of the program are not shown.
"""
