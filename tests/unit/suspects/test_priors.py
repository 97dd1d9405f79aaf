"""A file of priors of the user: what it may not say."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile import DUNLIN, run


@pytest.mark.parametrize(
    "value", ["9" * 6000, "1e400", "nan", "-1", "true", '"x"', "[" * 50_000, "1979-05-27"]
)
def test_priors(value: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "p.toml"
    path.write_text(f"[minutes]\nread = {value}\n")
    code, _, error = run(capsys, "suspect", DUNLIN, "--seen", "red=missing", "--priors", path)
    assert (code, "fix:" in error or "no number" in error) == (2, True)
