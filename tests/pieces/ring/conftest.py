"""House numbers that readings of the ring are judged by."""

import pytest

from salon.colour.bands import BandLimits


@pytest.fixture
def limits():
    return BandLimits(disappears=2, close=4, shows=6)
