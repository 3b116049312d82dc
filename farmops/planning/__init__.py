"""From records to the arithmetic and back: what to bring, what to sow."""
