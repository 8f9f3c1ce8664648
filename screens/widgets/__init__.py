"""Parts that several screens draw with."""
