"""What may not be cut yet, and why."""
