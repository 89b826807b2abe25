"""The verbs of the work, one file each. They take plain values and return plain values."""
