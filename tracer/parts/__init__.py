"""Part types: what the tool knows of chips, passives and connectors."""
