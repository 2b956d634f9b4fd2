"""Pages of the drawers: a unit with its ledger and moves, labels, stocktakes."""
