"""SPICE decks."""
