"""Side-by-side measurements: ratios against a peer in one run, never limits of a test."""
