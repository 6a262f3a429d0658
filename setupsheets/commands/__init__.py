"""The command line: one module per command, nothing but reading options and printing."""
