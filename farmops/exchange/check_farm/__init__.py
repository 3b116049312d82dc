"""Everything that must hold of the records, verified on them as they are: what is wrong, with its row."""
