"""YAML in and out: faults with their place, reading, schemas, objects, writing, upgrades."""
