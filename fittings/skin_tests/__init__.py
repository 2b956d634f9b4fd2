"""A client's skin tests on the screen: applied, read, struck out, and until when each counts."""
