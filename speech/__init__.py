"""Kit: hear and speak. Knows no refrigerants; word lists are handed to it."""
