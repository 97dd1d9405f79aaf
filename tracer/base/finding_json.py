"""Findings in JSON: where a document lists them, and with their codes where they are read back."""

from __future__ import annotations

from typing import get_args

from tracer.base.findings import Finding, Severity
from tracer.base.json_form import Key, ListOf, Record, Text, Word

__all__ = ["FINDINGS", "FINDINGS_WITH_CODES"]

_KEYS = (
    Key("severity", Word(get_args(Severity))),
    Key("where", ListOf(Text()), "Parts, pins, nets or file:line that it is about."),
    Key("text", Text(filled=True)),
)

FINDINGS = ListOf(Record(Finding, *_KEYS))
FINDINGS_WITH_CODES = ListOf(
    Record(
        Finding, *_KEYS, Key("code", Text("[a-z]+(-[a-z]+)*"), "What it is, for programs; new ones may come.")
    )
)
