"""A netlist in other forms: one module a form."""
