"""Rows made and changed, in order."""
