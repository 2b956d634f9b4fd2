"""The invented demo salon: who works there, what is in its drawers, and what has happened so far."""
