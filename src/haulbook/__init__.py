"""The book on every animal that a small seine brings up in a seagrass bed."""

__version__ = "0.1.0"
