"""Tags of waits."""
