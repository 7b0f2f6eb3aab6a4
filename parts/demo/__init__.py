"""The demonstration engine: an invented project with a full record."""
