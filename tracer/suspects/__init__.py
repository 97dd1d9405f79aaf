"""What is wrong with a board: faults of the path, what each would show, and which one the evidence speaks for."""
