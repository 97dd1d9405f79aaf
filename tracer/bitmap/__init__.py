"""The result: which memory pin feeds which bit of which colour; as JSON, CSV and on the terminal, and read back."""
