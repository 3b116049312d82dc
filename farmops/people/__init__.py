"""Who works here, which phones are let in, and what each may see."""
