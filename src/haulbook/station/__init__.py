"""The station: the book in a browser, for a small team.

folder      where a station lives on disk, and which database it uses
models      rows: people, places and things that stay, permit files, and the table of entries
store       entries in and out, readings made from them, reference data as the domain knows it
people      roles, accounts, signing in, devices
web         routes with their roles, answers to exceptions, templates, forms
pages       one module a page group

No rule of custody, permits or care stands here: pages load, call an office verb, and show or store what it gives.
"""
