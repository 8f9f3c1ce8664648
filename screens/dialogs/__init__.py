"""Windows over a screen: each asks one thing and returns one value."""
