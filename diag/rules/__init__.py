"""Facts of a case, the rules of a book, and what follows from them."""
