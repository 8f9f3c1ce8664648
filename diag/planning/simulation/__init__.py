"""Decks drawn from a book with their faults hidden, and policies that work on them."""
