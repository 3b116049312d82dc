"""Where it goes: outlets, prices, wants, market days, regular buyers."""
