"""Questions answered by many plays at once, always through the pieces of play.py."""
