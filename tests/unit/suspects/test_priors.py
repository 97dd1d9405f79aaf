"""A file of priors of the user: what it may not say."""

from __future__ import annotations

import pytest

from tests.hostile import in_time
from tracer.base.errors import PartDataError
from tracer.suspects.priors import load_priors


@pytest.mark.parametrize(
    "value", ["9" * 6000, "1e400", "nan", "-1", "true", '"x"', "[" * 50_000, "1979-05-27"]
)
def test_what_is_no_number_of_minutes_is_refused(value: str) -> None:
    with in_time(), pytest.raises(PartDataError) as caught:
        load_priors(f"[minutes]\nread = {value}\n", "p.toml")
    assert caught.value.fix
