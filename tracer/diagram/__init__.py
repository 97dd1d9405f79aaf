"""The picture of a map: memory on the left, connector on the right."""
