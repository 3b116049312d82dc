"""What was cut: crates, picks, lots, the cold room, and tonight's lines."""
