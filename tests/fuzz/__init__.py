"""Fuzzing of every reader, longer than a test run allows: ``python -m tests.fuzz [--seconds N] [--only NAME] [--seed N]``.

`targets` says what is read and what must hold of it, `seeds` where the first inputs come from, `mutators` how they
change (on top of `tests/property/mutations.py`), `sentences` makes inputs from the grammars in `grammars/`, `coverage`
tells which of them reached a line that none reached before, and `engine` is the loop. What was found is kept, as small
as it gets (packed, for some are long by nature), in `tests/cases/fuzz/`, one folder a target, and
`tests/property/test_fuzz_corpus.py` reads it at every test run.
"""
