"""When an owned piece wants care and when the next one should be ordered: pure, knows no Django and no records."""
