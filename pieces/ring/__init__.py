"""The salon's own shade ring read from photos: taking a picture, reading shades from it, and what both ways tell."""
