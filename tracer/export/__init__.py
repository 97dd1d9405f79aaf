"""For other programs: the output stage for a simulator, the circuit that was walked as a graph or a table."""
