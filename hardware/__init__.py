"""Kit: buttons, lamps, sounder and transducers. Knows no refrigerants."""
