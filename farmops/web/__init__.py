"""What every screen shares: page or fragment, errors, formats, tags for templates. Imports no room."""
