"""Pure functions on SI arrays: air, flight, pitch, bat, swing, meeting, collision, field."""
