"""The public names of the package; what they do is shown and tested on the page that is the package's docstring."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import tracer


def test_every_public_name_is_there_and_on_the_page() -> None:
    assert set(tracer.__all__) == set(tracer._HOMES)
    for name in tracer.__all__:
        assert getattr(tracer, name).__doc__
        assert name in dir(tracer)
        assert name in str(tracer.__doc__)


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'trace_all'"):
        getattr(tracer, "trace_all")  # noqa: B009


def test_importing_the_package_loads_none_of_it() -> None:
    code = "import sys, tracer; print([m for m in sys.modules if m.startswith('tracer.')])"
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert done.stdout.strip() == "[]"
