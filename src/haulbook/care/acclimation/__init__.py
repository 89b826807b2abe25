"""The way home: mixing laws in plain numbers, and the schedule that brings animals to their tank's water.

mixing    drip, fill, part changes, constant rate
schedule  steps with the ammonia-first rule; ends in a printable card (`publish.acclimation_card`)
"""
