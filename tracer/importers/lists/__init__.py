"""Forms that list parts and the pins of each net, line by line."""
