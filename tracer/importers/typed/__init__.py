"""What people type: bench notes and tables."""
