"""Messages to clients: which are wanted, in which words, by which channel, and what became of each.

The deeds are in `fittings.reminding`. No message carries a word about health, and none is sent without her consent.
"""
