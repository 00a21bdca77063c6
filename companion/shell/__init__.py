"""The outside: the loop, the clock, the journal and the plugging together."""
