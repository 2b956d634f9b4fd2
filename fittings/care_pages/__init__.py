"""Pages of the care plan: what falls due for whom, what a piece's dates rest on, and the client's own "washed" page."""
