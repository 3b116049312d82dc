"""Sheets in and out, as people really have them."""
