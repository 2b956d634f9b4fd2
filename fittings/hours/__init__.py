"""Spans of time, the wall clock and the week: which moments are open, and at which a visit could begin."""
