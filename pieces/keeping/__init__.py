"""Pages on which the catalogue is kept: makers, bases, pieces, shades, variants, pictures."""
