"""The bench card: a working paper for the bench, as PDF, HTML or SVG."""
