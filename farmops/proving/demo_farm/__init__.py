"""An invented farm: place, people, figures and records are made up, from one seed. Nothing of it was ever grown."""
