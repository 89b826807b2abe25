"""Alive: sea water, the bucket's clock, company, the way home, the first month in a tank, and what kills.

seawater      oxygen, density, salinity, freezing, ammonia: plain numbers and ``math``, as on the phone
planning      every house value in one place, each editable, each labelled "planning default"
mass, demand  an animal's mass and its oxygen demand, each as a range
bucket        minutes left, room, water change, warming, ammonia
company       who eats whom, where a new animal goes, which bucket is emptied first
acclimation   mixing laws and the schedule that ends in a card
tank          ration, live food, quarantine clock, checks, stocking, refusal days
what_kills    kept animals read back from the book
cautions      hazards, handling, and who decides
kit           what the phone is given of all this
"""
