"""The statistics of the owner's review: rates with their doubt, rankings that small counts do not lead, what returned
pieces had in common, how long pieces last, what to order. Plain numbers in and out: no Django, no records.
"""
