"""Sheets into the farm's tables, all or nothing: what is new is written, what is there is counted, the rest refused."""
