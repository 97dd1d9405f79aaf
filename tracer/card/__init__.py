"""The bench card: one sheet to hang over the bench, as PDF, HTML or SVG."""
