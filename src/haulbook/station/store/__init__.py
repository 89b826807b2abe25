"""The book and what stands beside it, in and out of the database."""
