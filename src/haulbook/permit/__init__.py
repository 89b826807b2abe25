"""Permit clauses as data: what is left of each, what was found, and the tables an agency gets."""
