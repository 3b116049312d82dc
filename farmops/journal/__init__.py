"""Every job done, once; what it changed; what was refused. Corrections and undo are entries too."""
