"""One deck's stay on the bench: events, their fold, their store, their file."""
