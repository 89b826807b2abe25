"""English: 14 May 2027, 05:42."""
