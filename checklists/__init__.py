"""Kit: checklists as data, and a pure walk through them."""
