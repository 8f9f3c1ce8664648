"""Everything that faces a person."""
