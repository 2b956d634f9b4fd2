"""Pieces that come back: one taken back at its sale, the list of them, and the salon's own reasons."""
