"""The book: entries that move animals from place to place, and what follows from them."""
