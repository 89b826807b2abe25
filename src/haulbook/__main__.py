"""Lets ``python -m haulbook`` do what ``haulbook`` does."""

from haulbook.cli.app import main

main()
