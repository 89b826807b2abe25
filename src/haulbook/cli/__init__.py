"""The command line: reads files, calls one verb, prints what it says."""
