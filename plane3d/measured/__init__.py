"""Measured swings and pitches: read, judged, placed on the field, smoothed, and used in place of the built swing."""
