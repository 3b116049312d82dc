"""Simulated seasons, the demo farm, speed. Imported by nobody but its own commands."""
