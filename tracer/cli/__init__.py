"""The command line: one module a command; nothing is computed here."""
