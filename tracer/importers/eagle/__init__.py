"""Eagle: schematics and boards as XML."""
