"""Papers: print-ready pages and, where the libraries are there, PDF."""
