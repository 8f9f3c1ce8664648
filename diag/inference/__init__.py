"""From a deck and what was seen of it to the probability of every cause."""
