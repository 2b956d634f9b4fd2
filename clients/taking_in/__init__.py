"""Takes clients in from a file that somebody kept elsewhere: CSV or vCard, looked at first, then all of it or nothing.

`csv_people` and `vcard_people` read, `comparing` finds who is here already, `taking` does it. Who somebody is is taken
in and nothing else: a note may speak of her health, which is written down only with her consent.
"""
