"""Roles, accounts, signing in, devices."""
