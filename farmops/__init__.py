"""Bench to Stall: from the sowing bench to the market stall, for a farm that sells what it grows."""

__version__ = "0.1.0"
