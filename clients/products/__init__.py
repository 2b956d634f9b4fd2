"""The salon's list of products: read by the stylist, kept by the owner."""
