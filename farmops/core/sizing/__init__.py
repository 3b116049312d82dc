"""What to sow: the weekly integer programme, and the plants that a want comes to."""
