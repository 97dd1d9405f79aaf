"""How fast the program is, against what people would use instead: ``python -m tests.benchmarks``."""
