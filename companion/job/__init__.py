"""What is happening: one charging job as a pure state machine."""
