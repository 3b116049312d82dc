"""Taking back one reading of sheets: all its rows, and nothing else."""
