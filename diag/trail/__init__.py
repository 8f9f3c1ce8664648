"""A case told once as a value, and what renders it."""
