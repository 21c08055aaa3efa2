"""Fuelling plans for endurance athletes, computed from their own numbers."""
