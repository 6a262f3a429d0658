"""A shop in an editor: what a YAML language server and two strict checkers make of its files."""
