"""Structural Verilog."""
