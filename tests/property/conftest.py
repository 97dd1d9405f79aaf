"""Hypothesis: the same examples at every run, unless ``RGBROOTS_EXPLORE`` is set: then new ones, and more."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None, max_examples=150, database=None)
settings.register_profile("explore", deadline=None, max_examples=2000, database=None)
settings.load_profile("explore" if os.environ.get("RGBROOTS_EXPLORE") else "same")
